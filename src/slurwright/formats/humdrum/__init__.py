"""Humdrum **kern: read by way of MEI, each note traced back to its line and field."""

from slurwright.formats.humdrum.scorefile import open_humdrum

__all__ = ["open_humdrum"]

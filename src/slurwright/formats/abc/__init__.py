"""ABC 2.1, from a file or typed in: read by way of MusicXML, each note traced back to its letter in the text."""

from slurwright.formats.abc.scorefile import open_abc

__all__ = ["open_abc"]

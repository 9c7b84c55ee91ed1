"""MEI (Music Encoding Initiative) in common music notation, read straight from its XML."""

from slurwright.formats.mei.scorefile import open_mei

__all__ = ["open_mei"]

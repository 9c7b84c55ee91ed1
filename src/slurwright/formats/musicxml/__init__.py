"""MusicXML: read packed or plain, part-wise or time-wise scores into parts."""

from slurwright.formats.musicxml.opened import OpenedMusicXml, open_musicxml

__all__ = ["OpenedMusicXml", "open_musicxml"]

"""MusicXML out of parts: a clean part-wise document of what a `Part` holds."""

from slurwright.formats.musicxml_writer.document import write_musicxml

__all__ = ["write_musicxml"]

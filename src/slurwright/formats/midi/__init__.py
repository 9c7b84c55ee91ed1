"""Standard MIDI files: performances turned back into written notes of one line."""

from slurwright.formats.midi.scorefile import open_midi

__all__ = ["open_midi"]

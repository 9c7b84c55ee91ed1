"""Is this the part that was played before? A name for its content that survives marks, engraving and formats."""

import hashlib

from slurwright.score.part import Note, Part

__all__ = ["fingerprint"]


def fingerprint(part: Part) -> str:
    """Name a part by what is played: 32 hexadecimal digits.

    What counts is which sounds come when, how long, in which bar, tied or slurred how. What a player may change
    without changing the music does not: fingerings, the clef and key it is read in, dynamics, tempo, words, titles.

    Args:
        part: as it is written, or written out as it is played; the two have different names.
    """
    words = [_note(note) for note in part.notes]
    words += sorted(f"slur {slur.first} {slur.last}" for slur in part.slurs)
    return hashlib.sha256("\n".join(words).encode()).hexdigest()[:32]


def _note(note: Note) -> str:
    ties = f"{int(note.tied_from_previous)}{int(note.tied_to_next)}"
    return (
        f"{note.measure} {note.onset_quarter} {note.duration_quarter} {note.sounding.midi} {ties} {int(note.grace)}"
    )

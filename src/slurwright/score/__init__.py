"""Score: a part as values, the order in which it is played, and the line that the plan works on."""

from slurwright.score.line import Line, Move, Sound
from slurwright.score.part import (
    Beam,
    Direction,
    DirectionKind,
    Hairpin,
    Jump,
    Key,
    Measure,
    Note,
    NoteValue,
    Notice,
    Part,
    Rest,
    Slur,
    TimeSignature,
    Tuplet,
)

__all__ = [
    "Beam",
    "Direction",
    "DirectionKind",
    "Hairpin",
    "Jump",
    "Key",
    "Line",
    "Measure",
    "Move",
    "Note",
    "NoteValue",
    "Notice",
    "Part",
    "Rest",
    "Slur",
    "Sound",
    "TimeSignature",
    "Tuplet",
]

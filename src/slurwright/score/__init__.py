"""Score: a part as values, the order in which it is played, and the line that the plan works on."""

from slurwright.score.building import NoteDraft, PartDraft, finished, restated
from slurwright.score.line import Line, Move, Sound, line_of
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
from slurwright.score.played import jump_notices, played_measures

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
    "NoteDraft",
    "NoteValue",
    "Notice",
    "Part",
    "PartDraft",
    "Rest",
    "Slur",
    "Sound",
    "TimeSignature",
    "Tuplet",
    "finished",
    "jump_notices",
    "line_of",
    "played_measures",
    "restated",
]

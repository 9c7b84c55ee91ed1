"""Score: a part as values, the order in which it is played, and the line that the plan works on."""

from slurwright.score.accidentals import Accidental, accidentals, key_alteration
from slurwright.score.building import NoteDraft, PartDraft, finished
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
from slurwright.score.reading import in_reading, read_as
from slurwright.score.unrolled import unrolled
from slurwright.score.values import NOTE_TYPES, length_of_value, value_of_length, values_of_gap

__all__ = [
    "NOTE_TYPES",
    "Accidental",
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
    "accidentals",
    "finished",
    "in_reading",
    "jump_notices",
    "key_alteration",
    "length_of_value",
    "line_of",
    "played_measures",
    "read_as",
    "unrolled",
    "value_of_length",
    "values_of_gap",
]

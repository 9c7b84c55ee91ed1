"""What was gathered from an MEI staff, for the events that hang on its notes."""

from dataclasses import dataclass, field
from fractions import Fraction

from slurwright.formats.musicxml.bars import Bar
from slurwright.formats.xmlsafe import Element
from slurwright.score.building import PartDraft

__all__ = ["MeasureSpan", "StaffNotes"]


@dataclass(slots=True)
class MeasureSpan:
    """One measure element: where it lies and what its beats are."""

    element: Element
    index: int
    """Index of its first measure; a rest of several measures stands for more than one."""
    onset: Fraction
    end: Fraction
    beat_type: int


@dataclass(slots=True)
class StaffNotes:
    """What was read of the staff, for the control events: notes by id, events by place."""

    draft: PartDraft
    spans: list[MeasureSpan] = field(default_factory=list)
    note_of_id: dict[str, int] = field(default_factory=dict)
    onset_of_id: dict[str, tuple[int, Fraction]] = field(default_factory=dict)
    """Measure index and onset of notes, chords and rests of this staff, other layers' as well."""
    bars: list[Bar] = field(default_factory=list)
    slur_words: list[tuple[int, str]] = field(default_factory=list)
    """Note and its ``@slur``."""

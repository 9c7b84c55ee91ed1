"""Which accidentals a reader must see: those that the key and the measure so far do not say already."""

from slurwright.pitch import STEPS
from slurwright.score import Key, Part

__all__ = ["shown_accidentals"]

_SHARPS = "FCGDAEB"


def shown_accidentals(part: Part) -> frozenset[int]:
    """Find the notes that carry a printed accidental, as indices into ``Part.notes``."""
    shown: set[int] = set()
    state: dict[tuple[str, int], int] = {}
    measure = -1
    for note in part.notes:
        if note.measure != measure:
            measure, state = note.measure, {}
        place = (note.written.step, note.written.octave)
        in_force = state.get(place, _in_key(part.measures[measure].key, note.written.step))
        if note.tied_from_previous and place not in state:
            continue
        if note.written.alter != in_force or note.shown_accidental:
            shown.add(note.index)
        state[place] = note.written.alter
    return frozenset(shown)


def _in_key(key: Key, step: str) -> int:
    """Alteration of a step by the key signature alone [semitones]."""
    order = _SHARPS.index(step) if step in STEPS else 0
    if key.fifths > 0:
        return (key.fifths + 6 - order) // 7
    return -((-key.fifths + order) // 7)

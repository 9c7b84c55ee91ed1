"""Which notes need a printed accidental: the rules of the bar line, the octave, the key and the tie.

Common practice (as in K. Stone, Music Notation in the Twentieth Century, 1980; from memory). An accidental holds for
its own line or space, in its octave, until the bar line. A tied note needs none, even across the bar line, but does
not carry it on into the new bar. What the file prints beyond need is cautionary and is kept.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.pitch import STEPS, WrittenPitch
from slurwright.score.part import Key, Note, Part

__all__ = ["Accidental", "accidental_name", "accidentals", "key_alteration", "needed_accidentals"]

_NAMES = {
    -3: "triple-flat",
    -2: "flat-flat",
    -1: "flat",
    0: "natural",
    1: "sharp",
    2: "double-sharp",
    3: "triple-sharp",
}
_SHARPS_IN_ORDER = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class Accidental:
    """One accidental to print."""

    name: str
    """As MusicXML names it: "sharp", "flat", "natural", "double-sharp", "flat-flat"."""
    cautionary: bool = False
    """True where it is not needed but printed as a reminder."""


def key_alteration(step: str, key: Key) -> int:
    """What the key signature does to a letter, sharps above zero [semitones].

    Args:
        step: a letter.
        key: signature in force.

    """
    place = _SHARPS_IN_ORDER.index(step)
    if key.fifths > 0:
        return (key.fifths + 6 - place) // 7
    return -((-key.fifths + place) // 7)


def accidentals(part: Part) -> Mapping[int, Accidental]:
    """Say which notes get an accidental, and which: note index -> accidental.

    What the file prints without need is kept as cautionary.
    """
    needed = needed_accidentals(part)
    printed = dict(needed)
    for note in part.notes:
        if note.shown_accidental and note.index not in needed:
            printed[note.index] = Accidental(_NAMES[note.written.alter], cautionary=True)
    return {index: printed[index] for index in sorted(printed)}


def needed_accidentals(part: Part) -> dict[int, Accidental]:
    """Say which notes need an accidental by the rules alone: note index -> accidental."""
    keys = _alterations(part)
    needed: dict[int, Accidental] = {}
    measure = -1
    holding: dict[tuple[str, int], int] = {}
    before: Note | None = None
    for note in part.notes:
        if note.measure != measure:
            measure, holding = note.measure, {}
        pitch = note.written
        spot = (pitch.step, pitch.octave)
        tied = note.tied_from_previous and before is not None and before.written == pitch
        if not tied and holding.get(spot, keys[note.measure][pitch.step]) != pitch.alter:
            needed[note.index] = Accidental(_NAMES[pitch.alter])
            holding[spot] = pitch.alter
        before = note
    return needed


def _alterations(part: Part) -> Sequence[Mapping[str, int]]:
    """For each measure what its key does to each letter."""
    tables: dict[Key, Mapping[str, int]] = {}
    result = []
    for measure in part.measures:
        if measure.key not in tables:
            tables[measure.key] = {step: key_alteration(step, measure.key) for step in STEPS}
        result.append(tables[measure.key])
    return result


def accidental_name(pitch: WrittenPitch) -> str:
    """Name the accidental that a pitch would be printed with."""
    return _NAMES[pitch.alter]

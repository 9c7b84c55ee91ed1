"""A part written out as it is played: every repeat and jump in full, nothing to turn back to."""

import re
from dataclasses import replace
from fractions import Fraction

from slurwright.score.part import Direction, DirectionKind, Hairpin, Measure, Note, Part, Rest, Slur
from slurwright.score.played import played_measures

__all__ = ["unrolled"]

_JUMP_WORDS = re.compile(r"\b(d\.?\s?[cs]\b|da\s+capo|dal\s+segno|segno|coda|fine)", re.IGNORECASE)


def unrolled(part: Part) -> Part:
    """Write a part out in full, so that a passage can be treated differently each time it is played.

    Notes keep their ``place``, so that several notes may share one. Bars keep their printed numbers. What would
    lead over a jump without being played so (a tie, a slur, a hairpin) ends at the jump.

    Args:
        part: with repeats and jumps.

    Raises:
        PartError: the repeats do not end.
    """
    runs = _runs([index for index, _ in played_measures(part)])
    measures: list[Measure] = []
    notes: list[Note] = []
    rests: list[Rest] = []
    slurs: list[Slur] = []
    hairpins: list[Hairpin] = []
    directions: list[Direction] = []
    clock = Fraction(0)
    for run in runs:
        shift = clock - part.measures[run.start].onset_quarter
        ends = part.measures[run.stop - 1].onset_quarter + part.measures[run.stop - 1].duration_quarter
        place = len(measures) - run.start
        chosen = [note for note in part.notes if note.measure in run]
        start = len(notes) - chosen[0].index if chosen else 0
        inside = range(chosen[0].index, chosen[-1].index + 1) if chosen else range(0)
        notes += [_moved(note, start, place, shift, inside) for note in chosen]
        rests += [
            replace(rest, measure=rest.measure + place, onset_quarter=rest.onset_quarter + shift)
            for rest in part.rests
            if rest.measure in run
        ]
        slurs += [
            replace(slur, first=max(slur.first, inside.start) + start, last=min(slur.last, inside.stop - 1) + start)
            for slur in part.slurs
            if max(slur.first, inside.start) < min(slur.last, inside.stop - 1)
        ]
        hairpins += _hairpins(part, part.measures[run.start].onset_quarter, ends, shift)
        directions += [
            replace(direction, measure=direction.measure + place, onset_quarter=direction.onset_quarter + shift)
            for direction in part.directions
            if direction.measure in run and not _sends_elsewhere(direction, part.measures[direction.measure])
        ]
        measures += [_plain(part.measures[index], place, shift) for index in run]
        clock = ends + shift
    measures[-1] = replace(measures[-1], final_bar=True)
    return replace(
        part,
        measures=tuple(measures),
        notes=tuple(notes),
        rests=tuple(rests),
        slurs=tuple(slurs),
        hairpins=tuple(hairpins),
        directions=tuple(directions),
    )


def _sends_elsewhere(direction: Direction, measure: Measure) -> bool:
    """True for the words of a jump, which has been taken already."""
    return bool(measure.jumps) and direction.kind is DirectionKind.WORDS and bool(_JUMP_WORDS.search(direction.text))


def _runs(order: list[int]) -> list[range]:
    """Gather measures that are played one after the other as they are written."""
    runs: list[range] = []
    for index in order:
        if runs and runs[-1].stop == index:
            runs[-1] = range(runs[-1].start, index + 1)
        else:
            runs.append(range(index, index + 1))
    return runs


def _moved(note: Note, start: int, place: int, shift: Fraction, inside: range) -> Note:
    return replace(
        note,
        index=note.index + start,
        measure=note.measure + place,
        onset_quarter=note.onset_quarter + shift,
        tied_from_previous=note.tied_from_previous and note.index - 1 in inside,
        tied_to_next=note.tied_to_next and note.index + 1 in inside,
    )


def _hairpins(part: Part, begins: Fraction, ends: Fraction, shift: Fraction) -> list[Hairpin]:
    """Take the hairpins, or the pieces of them, that lie in a stretch of the part."""
    found = []
    for hairpin in part.hairpins:
        start, end = max(hairpin.start_quarter, begins), min(hairpin.end_quarter, ends)
        if start < end:
            found.append(replace(hairpin, start_quarter=start + shift, end_quarter=end + shift))
    return found


def _plain(measure: Measure, place: int, shift: Fraction) -> Measure:
    return replace(
        measure,
        index=measure.index + place,
        onset_quarter=measure.onset_quarter + shift,
        repeat_starts=False,
        repeat_ends=0,
        endings=(),
        ending_starts=False,
        ending_stops=False,
        jumps=(),
    )

"""A part as the lips and fingers meet it: sounds (ties joined) and the moves between them.

This is all that the plan needs to know of a part. `line_of` makes it from a `Part`.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from slurwright.errors import PartError
from slurwright.pitch import SoundingPitch
from slurwright.score.part import Measure, Note, Part
from slurwright.score.played import played_measures
from slurwright.score.quick import quickly_made

__all__ = ["BREATH_S", "GRACE_S", "Line", "Move", "Sound", "line_of"]

GRACE_S = 0.09
"""Time of a grace note (common practice: as short as it speaks) [s]."""
BREATH_S = 0.4
"""Time of a quick breath at a breath mark (common practice) [s]."""
_TOUCH_QUARTERS = 1e-6
"""Closer than any two places of notation can be without being one [quarters]."""
_PORTATO = ("staccato", "tenuto", "staccatissimo", "detached-legato")


@quickly_made
@dataclass(frozen=True, slots=True)
class Sound:
    """One note as it sounds: a written note, or several joined by ties."""

    index: int
    """Place in ``Line.sounds``, from 0."""
    notes: tuple[int, ...]
    """Indices into ``Part.notes``, one or more; ties carry their fingering."""
    sounding: SoundingPitch
    onset_quarter: Fraction
    duration_quarter: Fraction
    """Zero for a grace note; `duration_s` has the time it gets."""
    duration_s: float
    """How long it lasts at its tempo [s]; a grace note is given a short length."""
    dynamic: float
    """Dynamic at its start [steps from mf]."""
    grace: bool = False
    times: int = 1
    """How often it is played, repeats and jumps counted; at least 1."""


@quickly_made
@dataclass(frozen=True, slots=True)
class Move:
    """From one sound to the sound that is played next."""

    source: int
    target: int
    """Indices into ``Line.sounds``; ``target`` is ``source + 1`` except where a repeat or a jump leads elsewhere."""
    slurred: bool
    time_s: float
    """Time from the first sound's onset to the second's [s]: what the fingers have for the change."""
    gap_s: float
    """Silence between the two: rests, a breath [s]."""
    dynamic: float
    """Dynamic at the change [steps from mf]."""
    times: int = 1
    """How often this move is made when the part is played through, repeats and jumps counted; at least 1."""


@dataclass(frozen=True, slots=True)
class Line:
    """Sounds in written order, and every move that is really made between them."""

    sounds: tuple[Sound, ...]
    moves: tuple[Move, ...]
    """Sorted by (source, target). A written neighbour pair that is never played in sequence has no move."""

    def sound_of_note(self) -> dict[int, int]:
        """Map each index into ``Part.notes`` to the index of the sound that it belongs to."""
        return {note: sound.index for sound in self.sounds for note in sound.notes}


def line_of(part: Part) -> Line:
    """Make the line of a part: ties joined, times in seconds, and every move in the order of play.

    Conventions (common practice). A grace note lasts `GRACE_S`, never more than half of what follows, and takes
    its time from the note that it leads to. A breath mark takes `BREATH_S`, at most half of its note, from the
    note before it. A fermata is not lengthened: the shorter time is the harder case. A slur joins two sounds
    unless a rest or a breath parts them, they have the same pitch (the tongue must tell them apart), or both
    carry dots or lines (portato).

    Raises:
        PartError: the part has no notes, or its repeats do not end.

    """
    if not part.notes:
        raise PartError("no notes to play", where=part.name)
    groups = _joined_by_ties(part)
    lengths = _lengths_s(part, groups)
    breaths = [_breath_s(part.notes[group[-1]], length) for group, length in zip(groups, lengths, strict=True)]
    steps = _steps(part, groups)
    counts = Counter(sound for sound, _ in steps)
    sounds = tuple(
        _sound(part, index, group, length_s=lengths[index] - breaths[index], times=max(1, counts[index]))
        for index, group in enumerate(groups)
    )
    return Line(sounds, _moves(part, sounds, steps, breaths))


def _joined_by_ties(part: Part) -> list[tuple[int, ...]]:
    """Group note indices into sounds."""
    groups: list[tuple[int, ...]] = []
    tied = False
    for index, note in enumerate(part.notes):
        if tied and note.tied_from_previous:
            groups[-1] += (index,)
        else:
            groups.append((index,))
        tied = note.tied_to_next
    return groups


def _lengths_s(part: Part, groups: Sequence[tuple[int, ...]]) -> list[float]:
    """How long each sound lasts, grace notes paid for by what they lead to [s]."""
    single = [_seconds(_approximate(note.duration_quarter), note.tempo_qpm) for note in part.notes]
    lengths = [single[group[0]] if len(group) == 1 else sum(single[i] for i in group) for group in groups]
    pending: list[int] = []
    for index, length in enumerate(lengths):
        if length == 0.0:
            pending.append(index)
            continue
        if pending:
            each = min(GRACE_S, 0.5 * length / len(pending))
            lengths[index] -= each * len(pending)
            for grace in pending:
                lengths[grace] = each
            pending = []
    for grace in pending:
        lengths[grace] = GRACE_S
    return lengths


def _seconds(quarters: float, tempo_qpm: float) -> float:
    return quarters * 60.0 / tempo_qpm


def _approximate(quarters: Fraction) -> float:
    """The same as ``float(quarters)``, which takes four times as long."""
    return quarters.numerator / quarters.denominator


def _breath_s(last: Note, length_s: float) -> float:
    signs = last.articulations
    return min(BREATH_S, 0.5 * length_s) if signs and ("breath" in signs or "caesura" in signs) else 0.0


def _sound(part: Part, index: int, group: tuple[int, ...], *, length_s: float, times: int) -> Sound:
    first = part.notes[group[0]]
    return Sound(
        index=index,
        notes=group,
        sounding=first.sounding,
        onset_quarter=first.onset_quarter,
        duration_quarter=first.duration_quarter
        if len(group) == 1
        else sum((part.notes[i].duration_quarter for i in group), Fraction(0)),
        duration_s=length_s,
        dynamic=first.dynamic,
        grace=part.notes[group[-1]].grace,
        times=times,
    )


def _steps(part: Part, groups: Sequence[tuple[int, ...]]) -> list[tuple[int, float]]:
    """Every sound in the order of play, with its onset in the performance [quarters]."""
    sound_of = {note: sound for sound, group in enumerate(groups) for note in group}
    by_measure: dict[int, list[Note]] = {}
    for note in part.notes:
        by_measure.setdefault(note.measure, []).append(note)
    steps: list[tuple[int, float]] = []
    shift, shift_quarter = 0.0, Fraction(0)
    last: Measure | None = None
    before: int | None = None
    for index, _ in played_measures(part):
        measure = part.measures[index]
        if last is None or last.index != index - 1:
            end = last.onset_quarter + last.duration_quarter + shift_quarter if last else Fraction(0)
            shift_quarter = end - measure.onset_quarter
            shift = float(shift_quarter)
        last = measure
        for note in by_measure.get(index, ()):
            held = note.tied_from_previous and before == note.index - 1 and sound_of[note.index] == sound_of[before]
            if not held:
                steps.append((sound_of[note.index], _approximate(note.onset_quarter) + shift))
            before = note.index
    return steps


def _moves(
    part: Part, sounds: Sequence[Sound], steps: Sequence[tuple[int, float]], breaths: Sequence[float]
) -> tuple[Move, ...]:
    """Count the moves that are made and say what each one is like."""
    counts: dict[tuple[int, int], int] = {}
    gaps: dict[tuple[int, int], float] = {}
    lengths = [_approximate(sound.duration_quarter) for sound in sounds]
    for (source, onset), (target, next_onset) in pairwise(steps):
        step = source, target
        counts[step] = counts.get(step, 0) + 1
        silence = next_onset - onset - lengths[source]
        silence = silence if silence > _TOUCH_QUARTERS else 0.0
        gaps[step] = min(silence, gaps.get(step, silence))
    covered = _SlurCover(part)
    moves = []
    for source, target in sorted(counts):
        gap_s = breaths[source]
        if silence := gaps[source, target]:
            gap_s += _seconds(silence, _tempo_after(part, sounds[source]))
        last, first = part.notes[sounds[source].notes[-1]], part.notes[sounds[target].notes[0]]
        moves.append(
            Move(
                source=source,
                target=target,
                slurred=gap_s == 0.0
                and covered.joins(last.index, first.index)
                and last.sounding.midi != first.sounding.midi
                and not _portato(last, first),
                time_s=sounds[source].duration_s + gap_s,
                gap_s=gap_s,
                dynamic=first.dynamic,
                times=counts[source, target],
            )
        )
    return tuple(moves)


def _tempo_after(part: Part, sound: Sound) -> float:
    return part.notes[sound.notes[-1]].tempo_qpm


def _portato(last: Note, first: Note) -> bool:
    """Dots or lines on both notes under a slur ask for a soft tongue."""
    return any(mark in last.articulations and mark in first.articulations for mark in _PORTATO)


class _SlurCover:
    """Which notes have a slur going on behind them, and which are led to by one."""

    def __init__(self, part: Part) -> None:
        size = len(part.notes) + 1
        self._joined = [False] * size
        for slur in part.slurs:
            for index in range(slur.first, slur.last):
                self._joined[index] = True

    def joins(self, last: int, first: int) -> bool:
        """True if a slur leads from one note to the other; over a jump, if one leads out and one leads in."""
        return self._joined[last] and (first > 0 and self._joined[first - 1])

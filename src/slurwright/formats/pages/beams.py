"""Which notes of a measure share a beam: as the file says, else by the beats of the time signature."""

from collections.abc import Sequence
from fractions import Fraction

from slurwright.formats.pages.nest import Run
from slurwright.score import Beam, Measure, Note, Rest, TimeSignature

__all__ = ["beams_by_beats", "beams_of_file", "grace_beams"]

_FLAGGED = frozenset({"eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"})
_UNEVEN = {5: (3, 2), 7: (2, 2, 3), 8: (3, 3, 2), 10: (3, 3, 2, 2), 11: (3, 3, 3, 2)}
"""How a measure of so many eighths falls into groups when nothing says otherwise. Common practice."""

Event = Note | Rest


def beams_of_file(events: Sequence[Event]) -> tuple[Run, ...]:
    """Take the beams of one measure from the notes' own marks."""
    runs: list[Run] = []
    for graces in (False, True):
        first: int | None = None
        for place, event in enumerate(events):
            if isinstance(event, Rest) or event.grace is not graces:
                continue
            if event.beam is Beam.BEGIN:
                first = place
            elif event.beam is Beam.NONE:
                first = None
            elif event.beam is Beam.END and first is not None:
                runs.append(Run("beam", first, place))
                first = None
    return tuple(_without_overlap(runs))


def beams_by_beats(events: Sequence[Event], measure: Measure, *, missing_quarter: Fraction) -> tuple[Run, ...]:
    """Beam one measure by beats, plain eighths in larger groups; rests and long notes part the beams.

    Args:
        events: notes and rests of the measure in order.
        measure: where they stand.
        missing_quarter: what an upbeat lacks at its start [quarters].

    """
    starts = _group_starts(measure.time)
    mains = [place for place, event in enumerate(events) if not _is_grace(event)]
    runs: list[Run] = []
    for group in _by_group(mains, events, measure, missing_quarter, starts):
        runs += _flagged_runs(group, events)
    return (*_joined_eighths(runs, events, measure, missing_quarter), *grace_beams(events))


def grace_beams(events: Sequence[Event]) -> tuple[Run, ...]:
    """Beam neighbouring grace notes that have flags."""
    graces = [
        place
        for place, event in enumerate(events)
        if isinstance(event, Note) and event.grace and event.value.type in _FLAGGED
    ]
    runs: list[Run] = []
    for place in graces:
        if runs and runs[-1].last == place - 1:
            runs[-1] = Run("beam", runs[-1].first, place)
        else:
            runs.append(Run("beam", place, place))
    return tuple(run for run in runs if run.last > run.first)


def _group_starts(time: TimeSignature) -> tuple[Fraction, ...]:
    """Say where beam groups begin, from the start of a full measure [quarters]."""
    unit = Fraction(4, time.beat_type)
    if time.groups:
        lengths: tuple[int, ...] = time.groups
    elif time.beat_type >= 8 and time.beats % 3 == 0:
        lengths = (3,) * (time.beats // 3)
    elif time.beat_type >= 8 and time.beats in _UNEVEN:
        lengths = _UNEVEN[time.beats]
    elif time.beat_type >= 8:
        lengths = (2,) * (time.beats // 2) + (1,) * (time.beats % 2)
    else:
        unit = Fraction(1)
        lengths = (1,) * (time.length_quarter // 1)
    starts = [Fraction(0)]
    for length in lengths:
        starts.append(starts[-1] + length * unit)
    return tuple(starts)


def _by_group(
    mains: list[int],
    events: Sequence[Event],
    measure: Measure,
    missing_quarter: Fraction,
    starts: tuple[Fraction, ...],
) -> list[list[int]]:
    groups: dict[int, list[int]] = {}
    for place in mains:
        onset = events[place].onset_quarter - measure.onset_quarter + missing_quarter
        groups.setdefault(sum(start <= onset for start in starts), []).append(place)
    return list(groups.values())


def _flagged_runs(group: list[int], events: Sequence[Event]) -> list[Run]:
    """Find neighbours in one group that can share a beam."""
    runs: list[Run] = []
    before: int | None = None
    for place in group:
        event = events[place]
        if not (isinstance(event, Note) and event.value.type in _FLAGGED):
            before = None
            continue
        if before is None:
            runs.append(Run("beam", place, place))
        else:
            runs[-1] = Run("beam", runs[-1].first, place)
        before = place
    return [run for run in runs if run.last > run.first]


def _joined_eighths(
    runs: list[Run], events: Sequence[Event], measure: Measure, missing_quarter: Fraction
) -> list[Run]:
    """Join groups of plain eighths within half a measure of four beats, or a whole one of two or three."""
    time = measure.time
    if time.groups or time.beat_type > 4:
        return runs
    reach = Fraction(2) if time.length_quarter % 2 == 0 else time.length_quarter
    if reach > 3:
        return runs

    def stretch(run: Run) -> int:
        return int((events[run.first].onset_quarter - measure.onset_quarter + missing_quarter) // reach)

    joined: list[Run] = []
    for run in runs:
        last = joined[-1] if joined else None
        touching = last is not None and last.last + 1 == run.first and stretch(last) == stretch(run)
        if last is not None and touching and _plain_eighths(last, events) and _plain_eighths(run, events):
            joined[-1] = Run("beam", last.first, run.last)
        else:
            joined.append(run)
    return joined


def _plain_eighths(run: Run, events: Sequence[Event]) -> bool:
    return all(
        isinstance(event, Note) and event.value.type == "eighth" and not event.value.dots and not event.value.tuplet
        for event in events[run.first : run.last + 1]
    )


def _is_grace(event: Event) -> bool:
    return isinstance(event, Note) and event.grace


def _without_overlap(runs: list[Run]) -> list[Run]:
    """Keep main beams whole: a grace beam inside one lies wholly in it, anything else is dropped."""
    kept: list[Run] = []
    for run in sorted(runs, key=lambda run: (run.first, -run.last)):
        if not kept or run.first > kept[-1].last or run.last <= kept[-1].last:
            kept.append(run)
    return kept

"""In which order do the asked notes sound, and what comes between? The way through a passage with its faults."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slurwright.errors import Fault as Complaint
from slurwright.errors import RequestError
from slurwright.synth.faults import (
    Breathing,
    Excerpt,
    ExtraNote,
    Fault,
    GoBack,
    LeaveOut,
    OctaveAway,
    OutOfTune,
    Pause,
    SlurAs,
    Wanted,
    WrongNote,
)
from slurwright.synth.script import Standing

__all__ = ["Step", "route_of"]


@dataclass(frozen=True, slots=True)
class Step:
    """One note on the way through the passage, in marked time."""

    asked: int | None
    hz: float
    """0 for a note that is left out [Hz]."""
    length_s: float
    until_next_s: float
    """From this onset to the next [s]."""
    standing: Standing = Standing.ASKED
    slurred: bool = False
    by_lip: bool = False
    """The slur leads to another partial of the same fingering."""
    pause_s: float = 0.0
    """Silence that comes on top [s]."""
    faults: tuple[Fault, ...] = ()
    """What else goes wrong here."""


def route_of(wanted: Sequence[Wanted], faults: Sequence[Fault]) -> list[Step]:
    """Go through a passage as the faults say.

    Args:
        wanted: the notes that are asked, onsets rising.
        faults: what goes wrong; each happens once, but a note that is out of tune is so each time.

    Raises:
        RequestError: a fault at a note that is not there, or a slur where none is asked.
    """
    _check(wanted, faults)
    excerpts = [fault for fault in faults if isinstance(fault, Excerpt)]
    at, last = (excerpts[0].first, excerpts[0].last) if excerpts else (0, len(wanted) - 1)
    waiting = list(faults)
    steps: list[Step] = []
    while at <= last:
        here = [fault for fault in waiting if not isinstance(fault, Excerpt) and _place(fault) == at]
        waiting = [fault for fault in waiting if fault not in here or isinstance(fault, OutOfTune)]
        _come_to(steps, here)
        step = _step(wanted, at, here)
        back = next((fault for fault in here if isinstance(fault, GoBack)), None)
        if back:
            step = replace(step, slurred=False, until_next_s=step.length_s, pause_s=back.pause_s)
        if not any(isinstance(fault, LeaveOut) and fault.closed_up for fault in here):
            steps.append(step)
        at = back.to if back else at + 1
    if steps:
        steps[-1] = replace(steps[-1], slurred=False)
    return steps


def _place(fault: Fault) -> int:
    """At which asked note a fault happens."""
    match fault:
        case ExtraNote() | Pause() | Breathing():
            return fault.before
        case GoBack():
            return fault.after
        case Excerpt():
            return fault.first
        case _:
            return fault.at


def _come_to(steps: list[Step], here: Sequence[Fault]) -> None:
    """What happens before a note: silence, another note."""
    for fault in here:
        if isinstance(fault, Pause) and steps:
            steps[-1] = replace(steps[-1], slurred=False, pause_s=steps[-1].pause_s + fault.length_s)
        elif isinstance(fault, ExtraNote):
            joined = bool(steps) and steps[-1].slurred
            steps.append(Step(None, fault.hz, fault.length_s, fault.length_s, Standing.EXTRA, joined))


def _step(wanted: Sequence[Wanted], at: int, here: Sequence[Fault]) -> Step:
    """One asked note with what becomes of it."""
    note = wanted[at]
    until_next_s = wanted[at + 1].onset_s - note.onset_s if at + 1 < len(wanted) else note.length_s
    by_lip = at + 1 < len(wanted) and bool(note.series_hz) and note.series_hz == wanted[at + 1].series_hz
    step = Step(
        at, note.hz, note.length_s, until_next_s, slurred=note.slurred_to_next, by_lip=by_lip, faults=tuple(here)
    )
    for fault in here:
        if isinstance(fault, WrongNote):
            step = replace(step, hz=fault.hz, standing=Standing.WRONG)
        elif isinstance(fault, OctaveAway):
            step = replace(step, hz=note.hz * 2.0**fault.octaves, standing=Standing.OCTAVE)
        elif isinstance(fault, LeaveOut):
            step = replace(step, hz=0.0)
    return step


def _check(wanted: Sequence[Wanted], faults: Sequence[Fault]) -> None:
    """Gather all that does not fit the passage."""
    found = []
    for fault in faults:
        ends = [_place(fault)] + [getattr(fault, name) for name in ("to", "last") if hasattr(fault, name)]
        if not all(0 <= end < len(wanted) for end in ends):
            found.append(Complaint("no such note in the passage", repr(fault), f"0 to {len(wanted) - 1}"))
        elif isinstance(fault, SlurAs) and not wanted[fault.at].slurred_to_next:
            found.append(Complaint("no slur is asked there", repr(fault)))
    if found:
        raise RequestError(faults=tuple(found))

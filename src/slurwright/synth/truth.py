"""What is true of a made-up take? Measured on the direct sound, as it leaves the bell and before any room.

The figures of a slur are taken from what the player means (notes, drift, slurs) without wander, jitter, vibrato and
shimmer, so that they are exact:

* transition time: from the last moment within a tenth of the interval of the first pitch to the first moment after
  that within a tenth of the second;
* dip: how far the level lies, at most, below the straight line in dB that joins the levels just before and just
  after; its length is the time more than 3 dB below that line, silence the time more than 20 dB below;
* scoop: shortfall below the second note's pitch at the moment 40 ms, or two and a half of its periods, after the
  pitch passed half way; overshoot: the largest excursion past the second pitch in the 150 ms after the transition.

A slurred note starts where the pitch is half way (where notes sound between, half way of the last move); after a
silence, and for a tongued note, where
the level has risen to half amplitude. A note's pitch is the median of its path, vibrato left out, without the 60 ms
or three periods after its onset and the last 40 ms.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.synth.paths import FLOOR_DB, Paths
from slurwright.synth.script import Dwell, Note, Script, Slur, Standing, Vibrato
from slurwright.synth.slurpath import REFERENCE_HZ, Bridge, attenuation_of, cents_on

__all__ = ["NoteTruth", "SlurTruth", "Truth", "truth_of"]

Real = NDArray[np.float64]

_FINE_S = 0.0001
_AFTER_ONSET_S = 0.060
_AFTER_ONSET_PERIODS = 3.0
_BEFORE_END_S = 0.040
_SCOOP_S = 0.040
_SCOOP_PERIODS = 2.5
_OVERSHOOT_S = 0.150


@dataclass(frozen=True, slots=True)
class NoteTruth:
    """One note that sounded."""

    onset_s: float
    offset_s: float
    """Where the level is down to half amplitude; before a joined note, that note's onset [s]."""
    hz: float
    """Its pitch [Hz]."""
    steady_s: tuple[float, float]
    """Where its pitch was taken; empty for a note that is too short [s]."""
    asked: int | None
    standing: Standing
    joined_to_next: bool
    attack_scoop_cents: float
    """How far below its pitch a tongued note starts; 0 for a slurred one [cents]."""
    drift_cents_s: float
    vibrato: Vibrato | None


@dataclass(frozen=True, slots=True)
class SlurTruth:
    """One slur."""

    first: int
    second: int
    """Indices into ``Truth.notes``."""
    time_ms: float
    dip_db: float
    dip_ms: float
    silence_ms: float
    scoop_cents: float
    overshoot_cents: float
    dwells: tuple[Dwell, ...]
    fell_back: bool
    tongued: bool
    half_valve: bool


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """What is true of a take."""

    step_s: float
    """Step of the paths, which start at time 0 [s]."""
    hz: Real
    """Pitch of the direct sound, with vibrato and wander; 0 where no note sounds, shape=(moments,) [Hz]."""
    level_db: Real
    """Level of the tone against full scale, shape=(moments,) [dB]."""
    notes: tuple[NoteTruth, ...]
    slurs: tuple[SlurTruth, ...]


def truth_of(script: Script, paths: Paths) -> Truth:
    """Measure a script.

    Args:
        script: what is played.
        paths: the script laid out in time.
    """
    level = paths.held_db + paths.shimmer_db
    hz = REFERENCE_HZ * 2.0 ** ((paths.held_cents + paths.unsteady_cents) / 1200.0)
    bridges = paths.bridges
    onsets = [_onset_s(note, bridges[index - 1] if index else None) for index, note in enumerate(script.notes)]
    notes = tuple(_note(script.notes, index, onsets, paths) for index in range(len(script.notes)))
    slurs = tuple(
        _slur(script.notes, index, bridge)
        for index, bridge in enumerate(bridges)
        if bridge and isinstance(bridge.join, Slur)
    )
    return Truth(paths.step_s, np.where(paths.line_db > FLOOR_DB, hz, 0.0), level, notes, slurs)


def _onset_s(note: Note, before: Bridge | None) -> float:
    if before is None or not isinstance(before.join, Slur) or before.join.silence_s > 0:
        return note.onset_s
    return before.half_s


def _note(notes: tuple[Note, ...], index: int, onsets: list[float], paths: Paths) -> NoteTruth:
    note = notes[index]
    joined = index < len(paths.bridges) and paths.bridges[index] is not None
    onset = onsets[index]
    offset = onsets[index + 1] if joined else note.onset_s + note.length_s
    steady = _steady(note.hz, onset, offset)
    first, last = (round(edge / paths.step_s) for edge in steady)
    slurred = index > 0 and paths.bridges[index - 1] is not None
    path = (paths.held_cents + paths.wander_cents)[first : last + 1]
    cents = float(np.median(path)) if last > first else 1200.0 * float(np.log2(note.hz / REFERENCE_HZ))
    return NoteTruth(
        onset_s=onset,
        offset_s=offset,
        hz=REFERENCE_HZ * 2.0 ** (cents / 1200.0),
        steady_s=steady,
        asked=note.asked,
        standing=note.standing,
        joined_to_next=joined,
        attack_scoop_cents=0.0 if slurred else note.attack.scoop_cents,
        drift_cents_s=note.drift_cents_s,
        vibrato=note.vibrato,
    )


def _steady(hz: float, onset: float, offset: float) -> tuple[float, float]:
    start = onset + max(_AFTER_ONSET_S, _AFTER_ONSET_PERIODS / hz)
    return start, max(start, offset - _BEFORE_END_S)


def _slur(notes: tuple[Note, ...], index: int, bridge: Bridge) -> SlurTruth:
    join = bridge.join
    assert isinstance(join, Slur)  # noqa: S101  for the type checker: the caller chose it
    times = np.arange(bridge.start_s - 0.01, bridge.stop_s + 0.2, _FINE_S)
    down = attenuation_of(times, bridge)
    rising = bridge.second_cents > bridge.first_cents
    cents = cents_on(times, bridge)
    start, stop = _transition(times, cents, bridge)
    second_hz = notes[index + 1].hz
    look = bridge.half_s + max(_SCOOP_S, _SCOOP_PERIODS / second_hz)
    after = (times >= stop) & (times <= stop + _OVERSHOOT_S)
    past = (cents[after] - bridge.second_cents) * (1.0 if rising else -1.0)
    return SlurTruth(
        first=index,
        second=index + 1,
        time_ms=1000.0 * (stop - start),
        dip_db=float(down.max()),
        dip_ms=1000.0 * _FINE_S * int(np.sum(down > 3.0)),
        silence_ms=1000.0 * _FINE_S * int(np.sum(down > 20.0)),
        scoop_cents=max(0.0, bridge.second_cents - float(cents_on(np.array([look]), bridge)[0])),
        overshoot_cents=max(0.0, float(past.max(initial=0.0))),
        dwells=join.dwells,
        fell_back=_fell_back(join, notes[index].hz, second_hz),
        tongued=join.tongue is not None,
        half_valve=join.choke is not None,
    )


def _transition(times: Real, cents: Real, bridge: Bridge) -> tuple[float, float]:
    """From when to when the pitch changes, interpolated between the fine moments."""
    tenth = 0.1 * abs(bridge.second_cents - bridge.first_cents)
    near_first = np.flatnonzero(np.abs(cents - bridge.first_cents) <= tenth)
    last = int(near_first[-1]) if len(near_first) else 0
    near_second = np.flatnonzero(np.abs(cents[last:] - bridge.second_cents) <= tenth)
    first = last + int(near_second[0]) if len(near_second) else len(cents) - 1
    return (
        _crossing(times, np.abs(cents - bridge.first_cents), last, tenth),
        _crossing(times, np.abs(cents - bridge.second_cents), max(first - 1, 0), tenth),
    )


def _crossing(times: Real, away: Real, at: int, limit: float) -> float:
    """When ``away`` passes the limit between two moments."""
    if at + 1 >= len(away) or away[at + 1] == away[at]:
        return float(times[at])
    return float(times[at] + (limit - away[at]) / (away[at + 1] - away[at]) * (times[at + 1] - times[at]))


def _fell_back(join: Slur, first_hz: float, second_hz: float) -> bool:
    """Say whether the second note sounded before the first came again."""
    near = [(abs(np.log2(d.hz / first_hz)) < 0.04, abs(np.log2(d.hz / second_hz)) < 0.04) for d in join.dwells]
    return any(second for _, second in near) and any(first for first, _ in near)

"""Worlds of players who change, or do not, in a known way: what is said of them, and what is true."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from builders.practised import HORN, MONDAY, Practised, attempts_at, horn, slur, tracked
from builders.tuned_takes import Tuner, takes_of
from slurwright.devices.packaged import load_progress
from slurwright.evidence.progress.notes import note_progress
from slurwright.evidence.progress.slurs import slur_progress
from slurwright.evidence.progress.values import Change, NoteCurve, SlurCurve, Verdict

__all__ = ["NOTE_WORLDS", "SLUR_WORLDS", "Said", "said_of_notes", "said_of_slurs"]

Floats = NDArray[np.float64]

WEEKS = 12
_PAIRS = (
    *(("F3", "Bb3"), ("Bb3", "D4"), ("D4", "F4"), ("F3", "D4"), ("Bb2", "F3"), ("F4", "Bb3")),
    *(("D4", "Bb3"), ("C4", "F4"), ("A3", "Eb4"), ("G3", "C4"), ("Bb3", "F3"), ("E3", "A3")),
)
_TAKES, _NOTES, _DAYS = 16, 12, 70


@dataclass(frozen=True)
class Said:
    """What was said of one curve, beside the truth."""

    better: float
    """The chance of a change for the better that was said."""
    verdict: Verdict
    gain: float
    """True change, above 0 for the better."""
    end_held: bool
    """Whether the interval at the end holds the truth."""
    gain_held: bool


def _stays(_: np.random.Generator, weeks: Floats) -> Floats:
    return np.zeros(len(weeks))


def _straight(rng: np.random.Generator, weeks: Floats) -> Floats:
    slope = float(rng.choice([0.0, 0.0, 1.0]) * rng.normal(0.0, 1.5))
    return slope * weeks / WEEKS


def _levels_off(rng: np.random.Generator, weeks: Floats) -> Floats:
    reach = float(abs(rng.normal(0.0, 1.5)) * rng.choice([0.0, 1.0]))
    return -reach * (1.0 - np.exp(-weeks / 3.0))


def _jumps(rng: np.random.Generator, weeks: Floats) -> Floats:
    size = float(rng.normal(0.0, 1.2))
    return np.where(weeks > rng.uniform(2.0, 9.0), size, 0.0)


def _wanders(rng: np.random.Generator, weeks: Floats) -> Floats:
    return np.cumsum(rng.normal(0.0, 0.25 * np.sqrt(np.diff(weeks, prepend=weeks[0]))))


SLUR_WORLDS: Mapping[str, Callable[[np.random.Generator, Floats], Floats]] = {
    "stays": _stays,
    "in a straight line": _straight,
    "learns, levelling off": _levels_off,
    "one jump": _jumps,
    "random walk": _wanders,
}
"""How the logit of a break changes over weeks."""


def said_of_slurs(world: str, seed: int) -> tuple[Said, ...]:
    """Let one player practise a few slurs for twelve weeks, and say what is told of each."""
    rng = np.random.default_rng(seed)
    practised = []
    for place in rng.choice(len(_PAIRS), rng.integers(3, 9), replace=False):
        days = np.sort(rng.integers(0, 7 * WEEKS, rng.choice([10, 20, 40, 80])))
        logits = -rng.normal(1.3, 1.0) - SLUR_WORLDS[world](rng, days / 7.0)
        tried = slur(*_PAIRS[place], dynamic=float(rng.choice([0.0, -1.0, -2.0])))
        practised.append(Practised(tried, days.tolist(), 1.0 / (1.0 + np.exp(logits))))
    attempts = [attempt for one in practised for attempt in attempts_at(one, rng)]
    truth = {tuple(way.sounding.midi for way in one.tried.ways): one.speaks for one in practised}
    today = MONDAY + timedelta(weeks=WEEKS)
    tracker = tracked(attempts, today=today)
    told = slur_progress(attempts, {HORN: horn()}, tracker, rules=load_progress().slurs, today=today)
    return tuple(
        _said(curve, curve.change, speaks[-1], speaks[-1] - speaks[0])
        for curve, speaks in (
            (one.curves[0], truth[tuple(way.sounding.midi for way in one.curves[0].ways)]) for one in told
        )
    )


def _said(curve: SlurCurve | NoteCurve, change: Change, end: float, gain: float) -> Said:
    return Said(
        better=change.better,
        verdict=curve.verdict,
        gain=float(gain),
        end_held=bool(change.end.value.low <= end <= change.end.value.high),
        gain_held=bool(change.size.low <= gain <= change.size.high),
    )


def _places_stay(_: np.random.Generator, places: Floats, days: Floats) -> Floats:
    return np.repeat(places[:, None], len(days), axis=1)


def _places_wander(rng: np.random.Generator, places: Floats, days: Floats) -> Floats:
    steps = rng.standard_normal((len(places), len(days))) * np.sqrt(np.diff(days, prepend=days[0]) / 7.0)
    return places[:, None] + np.cumsum(steps, axis=1)


def _places_learn(rng: np.random.Generator, places: Floats, days: Floats) -> Floats:
    """Half of the notes come nearer to their targets, by a quarter a week."""
    return places[:, None] * np.exp(-np.outer(rng.choice([0.0, 0.25], len(places)), days / 7.0))


NOTE_WORLDS: Mapping[str, Callable[[np.random.Generator, Floats, Floats], Floats]] = {
    "stay": _places_stay,
    "wander by 1 cent a week": _places_wander,
    "half of them learnt": _places_learn,
}
"""How the places of notes change over days."""


def said_of_notes(world: str, seed: int) -> tuple[Said, ...]:
    """Let one player record sixteen takes in ten weeks, and say what is told of each note."""
    rng = np.random.default_rng(seed)
    days = np.sort(rng.choice(_DAYS, _TAKES, replace=False))
    places = NOTE_WORLDS[world](rng, rng.normal(0.0, 12.0, _NOTES), days.astype(np.float64))
    offsets = rng.normal(0.0, 8.0, _TAKES)
    taken = takes_of(Tuner(days.tolist(), places, offsets), rng)
    # Takes are off by 0 on average, by definition: what they share is the notes'.
    true = places + offsets.mean()
    found = []
    for curve in note_progress(taken, horn="h1", rules=load_progress().notes)[0]:
        note = curve.way.sounding.midi - 50
        start, end = (
            true[note, int(np.searchsorted(days, (point.day - MONDAY).days))]
            for point in (curve.change.start, curve.change.end)
        )
        found.append(_said(curve, curve.change, end, abs(start) - abs(end)))
    return tuple(found)

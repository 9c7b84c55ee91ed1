"""Where each way of a learnt horn sits, how well that is known, and from what.

A tendency is told either "as tuned", that is with the main slide where the horn's normal ways in its comfortable
range lie on average where the catalogue has them, or as the horn was in one named session.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from slurwright.horn.learnt.frame import Floats, rows_of
from slurwright.horn.learnt.learn import LearntHorn
from slurwright.horn.learnt.posterior import Posterior, posterior_without
from slurwright.horn.learnt.values import Shares, Tendency, WayKey
from slurwright.horn.model import Horn
from slurwright.pitch import SoundingPitch

__all__ = [
    "Joint",
    "as_horn",
    "chart",
    "joint",
    "playable_ways",
    "predict",
    "raw_joint",
    "tuning_matrix",
    "tuning_ways",
]

_NINE_IN_TEN = 1.6448536269514722
"""Standard deviations of a normal on each side that hold nine cases of ten (derived)."""
_HIGHEST_PARTIAL = 16


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """Pitches of some ways together."""

    height: Floats
    """Expected, shape=(m,) [cents above MIDI 0]."""
    covariance: Floats
    """Shape=(m, m) [cents squared]."""
    nominal: Floats
    """What the catalogue says, shape=(m,) [cents above MIDI 0]."""


def tuning_ways(horn: Horn) -> tuple[WayKey, ...]:
    """Say which ways the main slide is set by: the normal ones of the comfortable range, pedals left out."""
    low, high = (pitch.midi for pitch in horn.comfortable)
    ways = [horn.normal[midi] for midi in sorted(horn.normal) if low <= midi <= high]
    return tuple(dict.fromkeys(way for way in ways if way[1] > 1)) or ((horn.settings[0].fingering, 2),)


def playable_ways(horn: Horn) -> tuple[WayKey, ...]:
    """Say every way that has a name on this horn, up to partial 16, within its possible range."""
    low, high = (100.0 * pitch.midi - 100.0 for pitch in horn.possible)
    height = {
        (setting.fingering, partial): 100.0 * horn.open_pitch.midi + 1200.0 * math.log2(partial / setting.ratio)
        for setting in horn.settings
        for partial in range(1, _HIGHEST_PARTIAL + 1)
    }
    normal = set(horn.normal.values())
    return tuple(way for way, pitch in height.items() if low <= pitch <= high + 200.0 or way in normal)


def _raw(learnt: LearntHorn, ways: Sequence[WayKey], posterior: Posterior, at: str | None) -> Joint:
    """Pitches with sessions left out, or as they were in one session."""
    rows = rows_of(learnt.frame, ways)
    size = len(posterior.mean)
    lean = np.zeros((len(ways), size))
    lean[:, : len(learnt.frame.names)] = rows.design
    height = rows.height.copy()
    if at is not None:
        session = learnt.session(at)
        lean[:, session.column] = 1.0
        lean[:, session.column + 1] = -rows.short
        height += session.drift_cents
    place = np.array([learnt.ways.get(way, -1) for way in ways], dtype=np.intp)
    read = np.flatnonzero(place >= 0)
    own = posterior.sizes.own * rows.own_sd**2
    own[read] = posterior.own_variance[place[read]]
    height[read] += posterior.own_mean[place[read]]
    lean[read] -= posterior.own_slope[place[read]]
    names = {way: number for number, way in enumerate(dict.fromkeys(ways))}
    same = np.array([names[way] for way in ways], dtype=np.intp)
    shared = np.where(np.equal.outer(same, same), own[:, None], 0.0)
    return Joint(height + lean @ posterior.mean, lean @ posterior.covariance @ lean.T + shared, rows.height)


def raw_joint(learnt: LearntHorn, ways: Sequence[WayKey]) -> Joint:
    """Where some ways sit together with air and main slide as the catalogue has them."""
    return _raw(learnt, ways, learnt.posterior, None)


def tuning_matrix(learnt: LearntHorn, ways: Sequence[WayKey]) -> Floats:
    """Say how the pitches as tuned follow from raw pitches.

    Returns:
        Matrix that takes the deviations from nominal of the wanted ways, followed by those of the ways that the horn
        is tuned by, to those of the wanted ways as tuned, shape=(m, m + t) [1].

    """
    by = tuning_ways(learnt.horn)
    short, short_by = rows_of(learnt.frame, ways).short, rows_of(learnt.frame, by).short
    tuned = np.outer(short / short_by.mean(), np.full(len(by), 1.0 / len(by)))
    return np.hstack([np.eye(len(ways)), -tuned])


def _joint(learnt: LearntHorn, ways: Sequence[WayKey], posterior: Posterior, at: str | None) -> Joint:
    if at is not None:
        return _raw(learnt, ways, posterior, at)
    matrix = tuning_matrix(learnt, ways)
    raw = _raw(learnt, (*ways, *tuning_ways(learnt.horn)), posterior, None)
    nominal = raw.nominal[: len(ways)]
    return Joint(nominal + matrix @ (raw.height - raw.nominal), matrix @ raw.covariance @ matrix.T, nominal)


def joint(learnt: LearntHorn, ways: Sequence[WayKey], *, at: str | None = None) -> Joint:
    """Where some ways sit together, with the covariance of what is not known.

    Args:
        learnt: the horn.
        ways: (fingering, partial) each.
        at: name of a session, to have the horn as it was then; None for the horn as tuned.

    Raises:
        FingeringError: a fingering that the horn does not have.
        RequestError: no such session.

    """
    return _joint(learnt, ways, learnt.posterior, at)


def _variances(learnt: LearntHorn, ways: Sequence[WayKey], posterior: Posterior, at: str | None) -> Floats:
    return np.diag(_joint(learnt, ways, posterior, at).covariance)


def _shares(learnt: LearntHorn, ways: Sequence[WayKey], after: Floats, at: str | None) -> tuple[Shares, ...]:
    nothing = posterior_without(learnt.data, learnt.posterior, np.arange(len(learnt.ways)))
    before = _variances(learnt, ways, nothing, at)
    others = after.copy()
    for place, way in enumerate(ways):
        if way in learnt.ways:
            without = posterior_without(learnt.data, learnt.posterior, np.array([learnt.ways[way]]))
            others[place] = _variances(learnt, [way], without, at)[0]
    measured = np.maximum(others - after, 0.0) / before
    prior = np.minimum(after / before, 1.0)
    return tuple(
        Shares(float(own), float(max(1.0 - own - left, 0.0)), float(left))
        for own, left in zip(measured, prior, strict=True)
    )


def predict(
    learnt: LearntHorn, ways: Sequence[tuple[str, int, SoundingPitch]], *, at: str | None = None
) -> tuple[Tendency, ...]:
    """Say where ways sit on this horn, each with the interval that holds it in nine cases of ten.

    Args:
        learnt: the horn.
        ways: (fingering, partial, the note it is to sound) each.
        at: name of a session, to have the horn as it was then; None for the horn as tuned.

    Raises:
        FingeringError: a fingering that the horn does not have.
        RequestError: no such session.

    """
    if not ways:
        return ()
    keys = [(fingering, partial) for fingering, partial, _ in ways]
    found = joint(learnt, keys, at=at)
    variance = np.diag(found.covariance)
    target = np.array([100.0 * sounding.midi for _, _, sounding in ways])
    used = np.zeros(len(learnt.ways) + 1, dtype=np.intp)
    np.add.at(used, learnt.data.way, (learnt.posterior.good >= 0.5).astype(np.intp))
    return tuple(
        Tendency(
            mean_cents=float(mean),
            sd_cents=float(sd),
            low_cents=float(mean - _NINE_IN_TEN * sd),
            high_cents=float(mean + _NINE_IN_TEN * sd),
            shares=shares,
            readings=int(used[learnt.ways.get(key, -1)]),
        )
        for mean, sd, shares, key in zip(
            found.height - target, np.sqrt(variance), _shares(learnt, keys, variance, at), keys, strict=True
        )
    )


def chart(learnt: LearntHorn, *, at: str | None = None) -> dict[tuple[str, int, SoundingPitch], Tendency]:
    """Say where every way of the horn sits, against the note that it lies nearest to.

    Args:
        learnt: the horn.
        at: name of a session, to have the horn as it was then; None for the horn as tuned.

    Raises:
        RequestError: no such session.

    """
    ways = playable_ways(learnt.horn)
    heights = rows_of(learnt.frame, ways).height
    named = [
        (*way, SoundingPitch.from_midi(round(float(height) / 100.0)))
        for way, height in zip(ways, heights, strict=True)
    ]
    return dict(zip(named, predict(learnt, named, at=at), strict=True))


def as_horn(learnt: LearntHorn) -> Horn:
    """Give the horn with what was learnt as tendencies and spreads of its ways, for the plan to use."""
    ways = playable_ways(learnt.horn)
    found = joint(learnt, ways)
    known = learnt.horn.tendencies
    sd = np.sqrt(np.diag(found.covariance))
    return replace(
        learnt.horn,
        tendencies={
            way: float(height - nominal) + known.get(way, 0.0)
            for way, height, nominal in zip(ways, found.height, found.nominal, strict=True)
        },
        spreads={way: float(spread) for way, spread in zip(ways, sd, strict=True)},
    )

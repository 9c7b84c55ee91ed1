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
from slurwright.horn.learnt.posterior import Posterior, without_readings
from slurwright.horn.learnt.values import Shares, Tendency, WayKey
from slurwright.horn.model import Horn
from slurwright.pitch import SoundingPitch

__all__ = [
    "Joint",
    "as_horn",
    "chart",
    "joint",
    "loudness_slope",
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


@dataclass(frozen=True, slots=True, eq=False)
class _Forms:
    """Pitches of m ways as linear forms: of the p unknowns, of the residues of w read ways, and of what is free."""

    height: Floats
    """Expected pitch, shape=(m,) [cents above MIDI 0]."""
    nominal: Floats
    """Shape=(m,) [cents above MIDI 0]."""
    lean: Floats
    """Shape=(m, p)."""
    own: Floats
    """Shape=(m, w)."""
    free: Floats
    """Covariance of what no reading says anything about, shape=(m, m) [cents squared]."""

    def turned(self, matrix: Floats) -> "_Forms":
        """Give the forms after a linear map of the deviations from nominal, shape=(k, m)."""
        nominal = self.nominal[: len(matrix)]
        return _Forms(
            nominal + matrix @ (self.height - self.nominal),
            nominal,
            matrix @ self.lean,
            matrix @ self.own,
            matrix @ self.free @ matrix.T,
        )

    def covariance(self, posterior: Posterior) -> Floats:
        """Covariance of the pitches, shape=(m, m) [cents squared]."""
        known = self.lean @ posterior.covariance @ self.lean.T
        return np.asarray(known + (self.own * posterior.own_variance) @ self.own.T + self.free)


def _raw(learnt: LearntHorn, ways: Sequence[WayKey], posterior: Posterior, at: str | None) -> _Forms:
    """Pitches with sessions left out, or as they were in one session."""
    rows = rows_of(learnt.frame, ways)
    lean = np.zeros((len(ways), len(posterior.mean)))
    lean[:, : len(learnt.frame.names)] = rows.design
    height = rows.height.copy()
    if at is not None:
        session = learnt.session(at)
        lean[:, session.column] = 1.0
        lean[:, session.column + 1] = -rows.short
        height += session.drift_cents
    place = np.array([learnt.ways.get(way, -1) for way in ways], dtype=np.intp)
    read = np.flatnonzero(place >= 0)
    own = np.zeros((len(ways), len(learnt.ways)))
    own[read, place[read]] = 1.0
    height[read] += posterior.own_mean[place[read]]
    lean[read] -= posterior.own_slope[place[read]]
    names = {way: number for number, way in enumerate(dict.fromkeys(ways))}
    same = np.array([names[way] for way in ways], dtype=np.intp)
    alone = np.where(place < 0, posterior.sizes.own * rows.own_sd**2, 0.0)
    free = np.where(np.equal.outer(same, same), alone[:, None], 0.0)
    return _Forms(height + lean @ posterior.mean, rows.height, lean, own, free)


def raw_joint(learnt: LearntHorn, ways: Sequence[WayKey]) -> Joint:
    """Where some ways sit together with air and main slide as the catalogue has them."""
    forms = _raw(learnt, ways, learnt.posterior, None)
    return Joint(forms.height, forms.covariance(learnt.posterior), forms.nominal)


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


def _forms(learnt: LearntHorn, ways: Sequence[WayKey], posterior: Posterior, at: str | None) -> _Forms:
    if at is not None:
        return _raw(learnt, ways, posterior, at)
    return _raw(learnt, (*ways, *tuning_ways(learnt.horn)), posterior, None).turned(tuning_matrix(learnt, ways))


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
    forms = _forms(learnt, ways, learnt.posterior, at)
    return Joint(forms.height, forms.covariance(learnt.posterior), forms.nominal)


def _without_own(learnt: LearntHorn, forms: _Forms, row: int, way: int) -> float:
    """How much the variance of one pitch would grow if the readings of its own way were taken out [cents squared].

    The readings are normal factors of precision W on their way's pitch; with S their covariance and c that of
    the pitch with them, taking them out adds c (1 - W S)^-1 W c (derived from the division of normals).
    """
    data, posterior = learnt.data, learnt.posterior
    mine = np.flatnonzero(data.way == way)
    lean = np.tile(data.rows[way] - posterior.own_slope[way], (len(mine), 1))
    np.add.at(lean, (np.arange(len(mine))[:, None], data.columns[mine]), data.values[mine])
    own = posterior.own_variance[way]
    spread = lean @ posterior.covariance @ lean.T + own
    cross = lean @ (posterior.covariance @ forms.lean[row]) + forms.own[row, way] * own
    weight = posterior.sites.precision[mine]
    grown = np.linalg.solve(np.eye(len(mine)) - weight[:, None] * spread, weight * cross)
    return max(float(cross @ grown), 0.0)


def _shares(
    learnt: LearntHorn, ways: Sequence[WayKey], forms: _Forms, after: Floats, at: str | None
) -> tuple[Shares, ...]:
    nothing = without_readings(learnt.data, learnt.posterior)
    before = np.diag(_forms(learnt, ways, nothing, at).covariance(nothing))
    grown = np.zeros(len(ways))
    for row, way in enumerate(ways):
        if way in learnt.ways:
            grown[row] = _without_own(learnt, forms, row, learnt.ways[way])
    prior = np.minimum(after / before, 1.0)
    measured = np.minimum(grown / before, 1.0 - prior)
    return tuple(
        Shares(float(own), float(1.0 - own - left), float(left)) for own, left in zip(measured, prior, strict=True)
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
    forms = _forms(learnt, keys, learnt.posterior, at)
    variance = np.diag(forms.covariance(learnt.posterior))
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
            forms.height - target, np.sqrt(variance), _shares(learnt, keys, forms, variance, at), keys, strict=True
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


def loudness_slope(learnt: LearntHorn) -> tuple[float, float]:
    """How much this player rises with each step of loudness, and how well that is known [cents per step].

    Tendencies are told at mf; add this for each step above it.
    """
    place = learnt.frame.names.index("dynamic")
    posterior = learnt.posterior
    return float(posterior.mean[place]), float(np.sqrt(posterior.covariance[place, place]))


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

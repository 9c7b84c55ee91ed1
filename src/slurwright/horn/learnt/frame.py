"""Which unknown lengths make the pitch of each way, and what is believed of them before a note is heard?

Partial n of a setting sounds at frequency x where  n c / (2 x) = L0 + dL (1 + e) + rho(x):  L0 the open horn, dL the
tube that the setting adds, e a stretch shared by all added tube, rho the residual length of mouthpiece and bell.
Every length error is carried in one unit, the cents by which it would flatten the open horn (1200 / ln 2 times its
share of the open length); on a setting of length ratio r it flattens by 1/r of that. The pitch is then linear in the
unknowns. Left out, because they stay below the residue of a single way: the logarithm's second-order term (0.5 cent
at 40 cents) and the shift of rho between a way's nominal and its true frequency.

rho is a sum of two Gaussian processes carried on a few knots: a slow one over log frequency and a fine one over
frequency. Derived: an enlargement at distance d from either end of the main tube acts like cos(4 pi d x / c), and d is
at most half the tube, so nothing in rho repeats faster than every second partial of the open horn.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from slurwright.errors import FingeringError
from slurwright.horn.learnt.tubes import PieceKind, Tube, tubes_of
from slurwright.horn.learnt.values import Priors, WayKey
from slurwright.horn.model import Horn

__all__ = ["KAPPA", "Floats", "Frame", "Rows", "frame_of", "rows_of"]

Floats: TypeAlias = NDArray[np.float64]

KAPPA = 1200.0 / math.log(2.0)
"""Cents per unit of relative length (derived)."""

_LOWEST, _HIGHEST = 0.5, 20.0
_JITTER = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """The unknowns of one horn, sessions apart, with their prior."""

    tubes: Mapping[str, Tube]
    names: tuple[str, ...]
    """Name of each unknown, shape=(p,)."""
    sd: Floats
    """Prior standard deviation of each, shape=(p,); means are 0 [cents on the open horn, settings in cents]."""
    covariance: Floats
    """Prior covariance, shape=(p, p)."""
    knots: Floats
    """Where rho is carried, shape=(knots,) [partials of the open horn]."""
    kriging: Floats
    """Inverse of the prior covariance of rho on the knots, shape=(knots, knots)."""
    open_height: float
    """Pitch of the open horn's first partial [cents above MIDI 0]."""
    middle: float
    """Frequency at which added tube is as long as the catalogue says [partials of the open horn]."""
    offsets: Mapping[WayKey, float]
    """Known tendencies of single ways beyond the lengths [cents]."""
    priors: Priors


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """How the pitch of some ways hangs on the unknowns; one row a way."""

    height: Floats
    """Nominal pitch, shape=(m,) [cents above MIDI 0]."""
    design: Floats
    """Cents for each unit of each unknown, shape=(m, p)."""
    residue: Floats
    """Prior variance of what is each way's own, shape=(m,) [cents squared]."""
    short: Floats
    """Open length over the way's length, shape=(m,): how strongly a length added to all ways acts on this one [1]."""


def _rho_covariance(first: Floats, second: Floats, priors: Priors) -> Floats:
    """Prior covariance of rho between two lists of frequencies [cents squared].

    Args:
        first: frequencies, shape=(m,) [partials of the open horn].
        second: frequencies, shape=(n,) [partials of the open horn].
        priors: scales of the two parts.

    """
    octaves = np.subtract.outer(np.log2(first), np.log2(second)) / priors.smooth_octaves
    partials = np.subtract.outer(first, second) / priors.fine_partials
    slow = priors.smooth_sd_cents**2 * np.exp(-0.5 * octaves**2)
    fine = priors.fine_sd_cents**2 * np.exp(-0.5 * partials**2)
    return np.asarray(slow + fine, dtype=np.float64)


def _knots(count: int) -> Floats:
    """Spread the knots evenly in log frequency at the bottom, evenly in frequency at the top."""
    fine = np.geomspace(_LOWEST, _HIGHEST, 2001)
    places = np.log2(fine) + fine / 4.0
    return np.interp(np.linspace(places[0], places[-1], count), places, fine)


def _length_sds(tubes: Mapping[str, Tube], priors: Priors) -> dict[str, float]:
    """Prior of each named piece: its cents where it is first used, brought to the open horn."""
    cents = {
        PieceKind.VALVE: priors.piece_sd_cents,
        PieceKind.LOOP: priors.loop_sd_cents,
        PieceKind.SIDE: priors.side_sd_cents,
        PieceKind.HAND_SLIDE: 0.0,
    }
    shortest: dict[str, tuple[float, PieceKind]] = {}
    for tube in tubes.values():
        for piece in tube.pieces:
            known = shortest.get(piece.name)
            if known is None or tube.ratio < known[0]:
                shortest[piece.name] = (tube.ratio, piece.kind)
    return {name: cents[kind] * ratio for name, (ratio, kind) in shortest.items() if cents[kind] > 0}


def _setting_sd(tube: Tube, priors: Priors) -> float:
    """Standard deviation of what a setting does beyond its lengths [cents]."""
    if tube.placed and tube.ratio > tube.least_ratio:
        return priors.position_sd_cents
    return priors.setting_sd_cents if tube.valves > 1 else 0.0


def frame_of(horn: Horn, priors: Priors) -> Frame:
    """Say what is unknown of a horn and how far each unknown may lie from the catalogue."""
    tubes = tubes_of(horn)
    knots = _knots(priors.knots)
    rho = _rho_covariance(knots, knots, priors)
    rho += _JITTER * rho[0, 0] * np.eye(len(knots))
    pieces = _length_sds(tubes, priors)
    settings = {name: sd for name, tube in tubes.items() if (sd := _setting_sd(tube, priors)) > 0}
    singles = {
        **{f"length of {name}": sd for name, sd in pieces.items()},
        "stretch": KAPPA * priors.stretch_sd,
        "wall": KAPPA * priors.wall_sd,
        "dynamic": priors.dynamic_sd_cents,
        **{f"setting {name}": sd for name, sd in settings.items()},
    }
    sd = np.concatenate([np.sqrt(np.diag(rho)), np.array(list(singles.values()), dtype=np.float64)])
    covariance = np.diag(sd**2)
    covariance[: len(knots), : len(knots)] = rho
    low, high = (pitch.midi for pitch in horn.comfortable)
    return Frame(
        tubes=tubes,
        names=(*(f"rho at {knot:.2f}" for knot in knots), *singles),
        sd=sd,
        covariance=covariance,
        knots=knots,
        kriging=np.linalg.inv(rho),
        open_height=100.0 * horn.open_pitch.midi,
        middle=2.0 ** (((low + high) / 2 - horn.open_pitch.midi) / 12.0),
        offsets=horn.tendencies,
        priors=priors,
    )


def _tube(frame: Frame, fingering: str) -> Tube:
    tube = frame.tubes.get(fingering)
    if tube is None:
        raise FingeringError("no such fingering on this horn", got=fingering, allowed=", ".join(frame.tubes))
    return tube


def _ratio(tube: Tube, partial: int, frame: Frame) -> float:
    """Length of the air column; a hand slide goes where the nearest semitone is in tune, as far as it can [1]."""
    if not tube.placed:
        return tube.ratio
    height = frame.open_height + KAPPA * math.log(partial / tube.ratio)
    wanted = partial * math.exp((frame.open_height - 100.0 * round(height / 100.0)) / KAPPA)
    return min(max(wanted, tube.least_ratio), tube.most_ratio)


def rows_of(frame: Frame, ways: Sequence[WayKey]) -> Rows:
    """Say how the pitch of each way hangs on the unknowns.

    Raises:
        FingeringError: a fingering that the horn does not have, or a partial below 1.

    """
    for fingering, partial in ways:
        if partial < 1:
            raise FingeringError("no such partial", got=f"{fingering}, partial {partial}", allowed="1 and up")
    tubes = [_tube(frame, fingering) for fingering, _ in ways]
    partial = np.array([number for _, number in ways], dtype=np.float64)
    ratio = np.array([_ratio(tube, number, frame) for tube, (_, number) in zip(tubes, ways, strict=True)])
    place = partial / ratio
    cross = _rho_covariance(place, frame.knots, frame.priors)
    weights = cross @ frame.kriging
    full = frame.priors.smooth_sd_cents**2 + frame.priors.fine_sd_cents**2
    lost = np.maximum(full - np.einsum("ij,ij->i", weights, cross), 0.0)
    design = np.zeros((len(ways), len(frame.names)))
    design[:, : len(frame.knots)] = -weights / ratio[:, None]
    column = {name: index for index, name in enumerate(frame.names)}
    for row, tube in enumerate(tubes):
        for piece in tube.pieces:
            if (index := column.get(f"length of {piece.name}")) is not None:
                design[row, index] -= 1.0 / ratio[row]
        if (index := column.get(f"setting {tube.fingering}")) is not None:
            design[row, index] = 1.0
    added = np.array([tube.added for tube in tubes], dtype=np.float64)
    added += ratio - np.array([tube.ratio for tube in tubes])
    design[:, column["stretch"]] = -added / ratio
    design[:, column["wall"]] = -added / ratio * (np.sqrt(frame.middle / place) - 1.0)
    own = np.where(partial == 1, frame.priors.pedal_sd_cents, frame.priors.way_sd_cents)
    offsets = np.array([frame.offsets.get(way, 0.0) for way in ways], dtype=np.float64)
    return Rows(
        height=frame.open_height + KAPPA * np.log(place) + offsets,
        design=design,
        residue=own**2 + lost / ratio**2,
        short=1.0 / ratio,
    )

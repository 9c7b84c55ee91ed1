"""Which unknown lengths make the pitch of each way, and what is believed of them before a note is heard.

Partial n of a setting sounds at frequency x where  n c / (2 x) = L0 + dL (1 + e) + rho(x):  L0 the open horn, dL the
tube that the setting adds, e a stretch shared by all added tube, rho the residual length of mouthpiece and bell.
Every length error is carried in one unit, the cents by which it would flatten the open horn (1200 / ln 2 times its
share of the open length); on a setting of length ratio r it flattens by 1/r of that. The pitch is then linear in the
unknowns. Left out, because they stay below the residue of a single way: the logarithm's second-order term (0.5 cent
at 40 cents) and the shift of rho between a way's nominal and its true frequency.

rho is a sum of two Gaussian processes, each carried on a few knots: a slow one over log frequency, and a fine one
over frequency for enlargements of the bore. Derived: an enlargement at distance d from an end of the main tube acts
like cos(4 pi d x / c). If it may be anywhere up to the middle, the covariance over a step of q partials of the open
horn is sin(pi q) / (pi q), which a Gaussian of length sqrt(3) / pi = 0.55 partials follows to its second order.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from slurwright.errors import FingeringError
from slurwright.horn.learnt.tubes import PieceKind, Tube, tubes_of
from slurwright.horn.learnt.values import Priors, WayKey
from slurwright.horn.model import Horn

__all__ = ["KAPPA", "Block", "Floats", "Frame", "Process", "Rows", "frame_of", "rows_of"]

Floats: TypeAlias = NDArray[np.floating[Any]]

KAPPA = 1200.0 / math.log(2.0)
"""Cents per unit of relative length (derived)."""

_LOWEST, _HIGHEST = 0.6, 16.0
_PARTIALS = range(1, 17)
_KNOTS_A_SCALE = 0.9
"""Distance of the knots, in lengths over which the process forgets itself."""
_JITTER = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Process:
    """A smooth unknown function of frequency, carried on knots; its size is 1."""

    logarithmic: bool
    """Smooth over log frequency; otherwise over frequency."""
    scale: float
    """Distance over which it forgets itself [octaves or partials of the open horn]."""
    knots: Floats
    """Shape=(k,) [octaves or partials of the open horn]."""
    precision: Floats
    """Inverse of its covariance on the knots, shape=(k, k)."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Unknowns of one kind, whose common size is learnt from a prior."""

    name: str
    start: int
    precision: Floats
    """Inverse of their prior covariance at size 1, shape=(k, k)."""
    sd: float
    """Prior size: they have this many standard deviations [cents]."""
    fixed: bool = False
    """True where the size is known and not learnt."""

    @property
    def part(self) -> slice:
        """Their places among all unknowns."""
        return slice(self.start, self.start + len(self.precision))


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """The unknowns of one horn, sessions apart, with their prior."""

    tubes: Mapping[str, Tube]
    names: tuple[str, ...]
    """Name of each unknown, shape=(p,)."""
    blocks: tuple[Block, ...]
    slow: Process
    fine: Process
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
    own_sd: Floats
    """Prior standard deviation of what is each way's own, shape=(m,) [cents]."""
    short: Floats
    """Open length over the way's length, shape=(m,): how strongly a length added to all ways acts on this one [1]."""


def _likeness(first: Floats, second: Floats, scale: float) -> Floats:
    """Correlation of a process between two lists of places."""
    return np.exp(-0.5 * (np.subtract.outer(first, second) / scale) ** 2)


def _process(scale: float, *, logarithmic: bool) -> Process:
    low, high = (math.log2(_LOWEST), math.log2(_HIGHEST)) if logarithmic else (_LOWEST, _HIGHEST)
    count = 2 + math.ceil((high - low) / (_KNOTS_A_SCALE * scale))
    knots = np.linspace(low, high, count)
    covariance = _likeness(knots, knots, scale) + _JITTER * np.eye(count)
    return Process(logarithmic, scale, knots, np.linalg.inv(covariance))


def _weights(process: Process, places: Floats) -> tuple[Floats, Floats]:
    """How a process at some frequencies follows from its knots, and the variance that the knots do not carry."""
    cross = _likeness(np.log2(places) if process.logarithmic else places, process.knots, process.scale)
    weights = cross @ process.precision
    return weights, np.maximum(1.0 - np.einsum("ij,ij->i", weights, cross), 0.0)


def _length_sds(tubes: Mapping[str, Tube], priors: Priors) -> dict[str, float]:
    """Prior of each named piece: its cents where it is first used, brought to the open horn."""
    cents = {
        PieceKind.VALVE: priors.piece_sd_cents,
        PieceKind.LOOP: priors.loop_sd_cents,
        PieceKind.SIDE: priors.side_sd_cents,
    }
    shortest: dict[str, tuple[float, PieceKind]] = {}
    for tube in tubes.values():
        for piece in tube.pieces:
            known = shortest.get(piece.name)
            if piece.kind in cents and (known is None or tube.ratio < known[0]):
                shortest[piece.name] = (tube.ratio, piece.kind)
    return {name: cents[kind] * ratio for name, (ratio, kind) in shortest.items()}


def _setting_sds(tubes: Mapping[str, Tube], priors: Priors) -> dict[str, float]:
    """Prior of what each setting does beyond its lengths: combinations, and places of a hand slide."""
    combined = {name: priors.setting_sd_cents for name, tube in tubes.items() if tube.valves > 1}
    placed = {name: priors.position_sd_cents for name, tube in tubes.items() if tube.ratio > tube.least_ratio}
    return combined | placed


def frame_of(horn: Horn, priors: Priors) -> Frame:
    """Say what is unknown of a horn and how far each unknown may lie from the catalogue."""
    tubes = tubes_of(horn)
    slow = _process(priors.smooth_octaves, logarithmic=True)
    fine = _process(priors.fine_partials, logarithmic=False)
    lengths, settings = _length_sds(tubes, priors), _setting_sds(tubes, priors)
    parts: tuple[tuple[str, Sequence[str], Floats, float], ...] = (
        ("slow", [f"slow {knot:.2f}" for knot in slow.knots], slow.precision, priors.smooth_sd_cents),
        ("fine", [f"fine {knot:.2f}" for knot in fine.knots], fine.precision, priors.fine_sd_cents),
        ("number", [f"partial {number}" for number in _PARTIALS], np.eye(len(_PARTIALS)), priors.number_sd_cents),
        ("lengths", list(lengths), _own_sizes(lengths), 1.0),
        ("stretch", ["stretch"], np.eye(1), KAPPA * priors.stretch_sd),
        ("wall", ["wall"], np.eye(1), KAPPA * priors.wall_sd),
        ("dynamic", ["dynamic"], np.eye(1), priors.dynamic_sd_cents),
        ("settings", [f"setting {name}" for name in settings], _own_sizes(settings), 1.0),
    )
    blocks, names = [], list[str]()
    for name, unknowns, precision, sd in parts:
        blocks.append(Block(name, len(names), precision, sd, fixed=len(unknowns) < 2))
        names += unknowns
    low, high = (pitch.midi for pitch in horn.comfortable)
    return Frame(
        tubes=tubes,
        names=tuple(names),
        blocks=tuple(blocks),
        slow=slow,
        fine=fine,
        open_height=100.0 * horn.open_pitch.midi,
        middle=2.0 ** (((low + high) / 2 - horn.open_pitch.midi) / 12.0),
        offsets=horn.tendencies,
        priors=priors,
    )


def _own_sizes(sds: Mapping[str, float]) -> Floats:
    return np.diag([sd**-2 for sd in sds.values()]) if sds else np.zeros((0, 0))


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


def _single_columns(frame: Frame, ways: Sequence[WayKey], short: Floats) -> Floats:
    """Columns of partial numbers, of pieces and of settings."""
    column = {name: index for index, name in enumerate(frame.names)}
    design = np.zeros((len(ways), len(frame.names)))
    for row, (fingering, partial) in enumerate(ways):
        for name, amount in (
            (f"partial {partial}", 1.0),
            (f"setting {fingering}", 1.0),
            *((piece.name, -short[row]) for piece in frame.tubes[fingering].pieces),
        ):
            if (index := column.get(name)) is not None:
                design[row, index] += amount
    return design


def rows_of(frame: Frame, ways: Sequence[WayKey]) -> Rows:
    """Say how the pitch of each way hangs on the unknowns.

    Raises:
        FingeringError: a fingering that the horn does not have, or a partial below 1.

    """
    for fingering, number in ways:
        if number < 1:
            raise FingeringError("no such partial", got=f"{fingering}, partial {number}", allowed="1 and up")
    priors = frame.priors
    tubes = [_tube(frame, fingering) for fingering, _ in ways]
    ratio = np.array([_ratio(tube, number, frame) for tube, (_, number) in zip(tubes, ways, strict=True)])
    partial = np.array([number for _, number in ways], dtype=np.float64)
    short, place = 1.0 / ratio, partial / ratio
    slow, slow_lost = _weights(frame.slow, place)
    fine, fine_lost = _weights(frame.fine, place)
    added = ratio - 1.0 - np.array([tube.side for tube in tubes])
    part = {block.name: block.part for block in frame.blocks}
    design = _single_columns(frame, ways, short)
    design[:, part["slow"]] = -slow * short[:, None]
    design[:, part["fine"]] = -fine * short[:, None]
    design[:, part["stretch"]] = (-added * short)[:, None]
    design[:, part["wall"]] = (-added * short * (np.sqrt(frame.middle / place) - 1.0))[:, None]
    own = np.where(partial == 1, priors.pedal_sd_cents, priors.way_sd_cents)
    lost = priors.smooth_sd_cents**2 * slow_lost + priors.fine_sd_cents**2 * fine_lost
    offsets = np.array([frame.offsets.get(way, 0.0) for way in ways], dtype=np.float64)
    return Rows(
        height=frame.open_height + KAPPA * np.log(place) + offsets,
        design=design,
        own_sd=np.sqrt(own**2 + lost * short**2),
        short=short,
    )

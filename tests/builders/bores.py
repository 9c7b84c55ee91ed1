"""Invented bores with their resonances, from the acoustics of tubes: horns that the learning model was not made for.

A bore is a cup, a throat, cones, a cylinder that holds the valves, and a flaring bell. Its input impedance follows
from transmission matrices of short cones and cylinders (plane and spherical waves; textbook formulas, from memory)
with friction and heat lost at the wall (phase speed lower by 0.00165 / (radius sqrt(f)), damping
0.00003 sqrt(f) / radius; from memory) and the radiation of an unflanged end. Players are taken to sound the peaks of
the impedance. The dimensions are invented; no maker's horn is meant.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slurwright.horn import Horn
from slurwright.horn.learnt import WayKey

Complex = npt.NDArray[np.complex128]
Real = npt.NDArray[np.float64]
Matrix = tuple[Complex, Complex, Complex, Complex]

SPEED = 345.0
DENSITY = 1.2


@dataclass(frozen=True)
class Bore:
    """Dimensions of a horn without its valves, in metres from the mouthpiece to the bell."""

    cup: tuple[float, float]
    """Radius and length of a cylinder with the cup's volume."""
    throat: tuple[float, float]
    """Radius and length."""
    before: tuple[tuple[float, float], ...]
    """Radius reached and length of each cone before the valves, backbore first."""
    after: tuple[tuple[float, float], ...]
    """The same after the valves, before the bell."""
    bell: tuple[float, float, float]
    """Length, end radius and exponent of the flare r ~ x^-exponent."""
    bumps: tuple[tuple[float, float], ...] = ()
    """Place along the bell's cones (0..1) and relative enlargement there, spread over a few centimetres."""


TRUMPETLIKE = Bore(
    cup=(0.0083, 0.0119),
    throat=(0.00185, 0.0072),
    before=((0.0043, 0.0313), (0.00583, 0.306)),
    after=((0.0060, 0.094), (0.0068, 0.110)),
    bell=(0.605, 0.061, 0.70),
)
EUPHONIUMLIKE = Bore(
    cup=(0.0125, 0.0206),
    throat=(0.0033, 0.0132),
    before=((0.0060, 0.0885), (0.0072, 0.280)),
    after=((0.0120, 0.995), (0.024, 0.514)),
    bell=(0.4635, 0.145, 0.746),
)
"""Both were shaped by a search until partials 2 to 10 of the open and of a long setting lay within about 10 cents."""


def varied(bore: Bore, rng: np.random.Generator, *, spread: float = 0.04, bump: float = 0.03) -> Bore:
    """A horn of the same kind that was made a little differently, with two swellings after the valves."""

    def about(value: float) -> float:
        return value * math.exp(spread * rng.normal())

    return Bore(
        cup=(bore.cup[0], about(bore.cup[1])),
        throat=(bore.throat[0], about(bore.throat[1])),
        before=tuple((radius, about(length)) for radius, length in bore.before),
        after=tuple((radius, about(length)) for radius, length in bore.after),
        bell=(about(bore.bell[0]), bore.bell[1], about(bore.bell[2])),
        bumps=tuple((rng.uniform(0.05, 0.7), bump * rng.normal()) for _ in range(2)),
    )


def cylinder(frequency: Real, radius: float, length: float) -> Matrix:
    """Transmission matrix of a lossy cylinder."""
    wave = _wave(frequency, radius)
    impedance = DENSITY * SPEED / (math.pi * radius**2)
    cos, sin = np.cos(wave * length), 1j * np.sin(wave * length)
    return cos, sin * impedance, sin / impedance, cos


def cone(frequency: Real, start: float, end: float, length: float) -> Matrix:
    """Transmission matrix of a lossy cone that carries spherical waves."""
    if abs(end - start) < 1e-9:
        return cylinder(frequency, start, length)
    wave = _wave(frequency, (start + end) / 2)
    first = start * length / (end - start)
    second = first + length
    cos, sin = np.cos(wave * length), np.sin(wave * length)
    admittance = math.pi * start * end / (DENSITY * SPEED)
    return (
        end / start * cos - sin / (wave * first),
        1j * sin / admittance,
        1j * admittance * ((1 + 1 / (wave**2 * first * second)) * sin - length / (wave * first * second) * cos),
        start / end * cos + sin / (wave * second),
    )


def _wave(frequency: Real, radius: float) -> Complex:
    """Wave number with losses."""
    speed = SPEED * (1 - 1.65e-3 / (radius * np.sqrt(frequency)))
    return 2 * math.pi * frequency / speed - 3e-5j * np.sqrt(frequency) / radius


def joined(first: Matrix, second: Matrix) -> Matrix:
    """One matrix for two pieces in a row."""
    a, b, c, d = first
    e, f, g, h = second
    return a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h


def seen_through(matrix: Matrix, load: Complex) -> Complex:
    """Impedance at the near end of a piece whose far end has a load."""
    a, b, c, d = matrix
    return (a * load + b) / (c * load + d)


def _radiation(frequency: Real, radius: float) -> Complex:
    size = 2 * math.pi * frequency / SPEED * radius
    resistance = 0.25 * size**2 / (1 + 0.25 * size**2)
    reactance = 0.6133 * size / (1 + 0.3 * size**2)
    return np.asarray(DENSITY * SPEED / (math.pi * radius**2) * (resistance + 1j * reactance), dtype=np.complex128)


def _shape_after(bore: Bore, start: float) -> list[tuple[float, float, float]]:
    """Cones after the valves, bell flared in short pieces: (start radius, end radius, length)."""
    pieces: list[tuple[float, float, float]] = []
    radius = start
    for reached, length in bore.after:
        for step in range(8):
            here = radius + (reached - radius) * step / 8
            there = radius + (reached - radius) * (step + 1) / 8
            pieces.append((here, there, length / 8))
        radius = reached
    length, end, exponent = bore.bell
    offset = length / ((end / radius) ** (1 / exponent) - 1)
    places = length * (1 - np.linspace(0, 1, 41) ** 0.6)[::-1]
    from_end = np.sort(places)[::-1]
    radii = end * ((from_end + offset) / offset) ** -exponent
    steps = from_end[:-1] - from_end[1:]
    pieces.extend(zip(radii[:-1].tolist(), radii[1:].tolist(), steps.tolist(), strict=True))
    total = sum(piece[2] for piece in pieces)
    run, swollen = 0.0, []
    for here, there, piece_length in pieces:
        middle = (run + piece_length / 2) / total
        factor = 1 + sum(size * math.exp(-(((middle - place) / 0.06) ** 2)) for place, size in bore.bumps)
        swollen.append((here * factor, there * factor, piece_length))
        run += piece_length
    return swollen


@dataclass(frozen=True)
class _Ends:
    """A bore seen from its cylinder: what lies before it and what it looks into."""

    frequency: Real
    before: Matrix
    after: Complex
    radius: float

    def peaks(self, length: float) -> Real:
        """Frequencies of the impedance peaks when the cylinder has this length."""
        load = seen_through(cylinder(self.frequency, self.radius, length), self.after)
        size = np.log(np.abs(seen_through(self.before, load)))
        inside = np.flatnonzero((size[1:-1] > size[:-2]) & (size[1:-1] > size[2:])) + 1
        left, here, right = size[inside - 1], size[inside], size[inside + 1]
        step = self.frequency[1] - self.frequency[0]
        return np.asarray(self.frequency[inside] + 0.5 * step * (left - right) / (left - 2 * here + right))


def _ends(bore: Bore, frequency: Real) -> _Ends:
    before = joined(cylinder(frequency, *bore.cup), cylinder(frequency, *bore.throat))
    radius = bore.throat[0]
    for reached, length in bore.before:
        before = joined(before, cone(frequency, radius, reached, length))
        radius = reached
    after = _radiation(frequency, bore.bell[1])
    for start, end, length in reversed(_shape_after(bore, radius)):
        after = seen_through(cone(frequency, start, end, length), after)
    return _Ends(frequency, before, after, radius)


def _deviation(ends: _Ends, length: float, nominal_hz: float, partials: range) -> float:
    peaks = ends.peaks(length)
    return float(np.mean([1200 * math.log2(peaks[n - 1] / (n * nominal_hz)) for n in partials]))


def _cut(ends: _Ends, nominal_hz: float, guess: float, partials: range) -> float:
    """Cut the cylinder so that the partials are on average in tune."""
    length = guess
    for _ in range(8):
        whole = SPEED / (2 * nominal_hz)
        length += whole * (2 ** (_deviation(ends, length, nominal_hz, partials) / 1200) - 1)
    return length


def heights_of_bore(
    bore: Bore, horn: Horn, *, slide_error_m: Mapping[str, float], highest: int = 11
) -> dict[WayKey, float]:
    """Pitch of every way of a horn with this bore, partials 2 and up [cents above MIDI 0].

    The maker cuts the open horn and each valve alone so that partials 2 to 6 are on average where the catalogue has
    them; then each slide is off by its error.
    """
    open_hz = 440.0 * 2 ** ((horn.open_pitch.midi - 69) / 12)
    ends = _ends(bore, np.arange(0.4 * open_hz, 12 * open_hz, open_hz / 400))
    whole = SPEED / (2 * open_hz)
    cut = _cut(ends, open_hz, 0.35 * whole, range(2, 7))
    added = {}
    for setting in horn.settings:
        if len(setting.pressed) == 1:
            valve = next(iter(setting.pressed))
            added[valve] = _cut(ends, open_hz / setting.ratio, cut + (setting.ratio - 1) * whole, range(2, 7)) - cut
    heights = {}
    for setting in horn.settings:
        length = cut + sum(added[valve] + slide_error_m.get(valve, 0.0) for valve in setting.pressed)
        peaks = ends.peaks(length)
        for partial in range(2, highest + 1):
            heights[setting.fingering, partial] = 6900 + 1200 * math.log2(peaks[partial - 1] / 440)
    return heights

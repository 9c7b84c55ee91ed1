"""Slurs of every kind for tests, drawn at random, with truth: two notes on the series of one fingering or two.

The series are those of a real tube, not exact multiples, and what sounds is some cents off what the horn is said to
do.
"""

from dataclasses import dataclass, replace

import numpy as np

from builders.takes import RATE_HZ, place_named, varied, voice_for
from slurwright.listen.passage import AskedNote, Passage
from slurwright.synth import Attack, Choke, Dwell, Note, Player, Script, Shape, Slur, Tongue, Vibrato
from slurwright.synth.rendering import RenderedTake, render
from slurwright.synth.truth import SlurTruth

__all__ = ["KINDS", "SlurTake", "slur_script", "slur_take"]

KINDS = ("good", "dip", "scoop", "overshoot", "split", "fell back", "broken", "tongued", "half valve")
_SERIES_OFF_CENTS = 8.0
_TOLD_OFF_CENTS = 6.0


@dataclass(frozen=True, slots=True, eq=False)
class SlurTake:
    """A slur as it was played."""

    kind: str
    passage: Passage
    take: RenderedTake

    @property
    def truth(self) -> SlurTruth:
        """What is true of the slur."""
        return self.take.truth.slurs[0]


def slur_take(kind: str, room: str, *, seed: int, lowest_hz: float = 58.0, highest_hz: float = 1000.0) -> SlurTake:
    """Play one slur of a kind in a room; both notes lie in the range."""
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    script, passage = slur_script(kind, rng, lowest_hz=lowest_hz, highest_hz=highest_hz)
    take = render(script, rng=rng, rate_hz=RATE_HZ, place=place_named(room, np.random.default_rng(seed)))
    return SlurTake(kind, passage, take)


def slur_script(
    kind: str, rng: np.random.Generator, *, lowest_hz: float = 58.0, highest_hz: float = 1000.0
) -> tuple[Script, Passage]:
    """Draw two notes with a slur of a kind between them, half a second of rest before and a second after."""
    first, second = _pair(rng, lowest_hz, highest_hz)
    length = (float(rng.uniform(0.45, 0.9)), float(rng.uniform(0.5, 0.9)))
    level = float(rng.uniform(-28.0, -18.0))
    levels = (level, level + float(rng.normal(0.0, 2.0)))
    off = 2.0 ** (rng.normal(0.0, 10.0, 2) / 1200.0)
    played = replace(first, hz=first.hz * float(off[0])), replace(second, hz=second.hz * float(off[1]))
    join = _slur(kind, rng, *played)
    vibrato = (
        Vibrato(float(rng.uniform(4.5, 6.5)), float(rng.uniform(3.0, 12.0)), 0.25) if rng.random() < 0.25 else None
    )
    asked = (
        AskedNote(first.hz, 0.0, length[0], True, first.series_hz, first.partial),
        AskedNote(second.hz, length[0], length[1], False, second.series_hz, second.partial),
    )
    attack = Attack(float(rng.uniform(0.02, 0.05)))
    notes = (
        Note(played[0].hz, 0.5, length[0], join, levels[0], attack, asked=0),
        Note(
            played[1].hz,
            0.5 + length[0],
            length[1],
            level_db=levels[1],
            vibrato=vibrato if rng.random() < 0.25 else None,
            asked=1,
        ),
    )
    player = Player(
        wander_cents=float(rng.uniform(1.0, 4.0)),
        jitter_cents=float(rng.uniform(0.2, 0.8)),
        shimmer_db=float(rng.uniform(0.1, 0.4)),
        breath_db=float(rng.uniform(-55.0, -42.0)),
    )
    script = Script(notes, 0.5 + sum(length) + 1.0, varied(voice_for(min(first.hz, second.hz)), rng), player)
    return script, Passage(asked)


@dataclass(frozen=True, slots=True)
class _Placed:
    """A note on its fingering's series."""

    hz: float
    series_hz: tuple[float, ...]
    partial: int


def _series(fundamental_hz: float, rng: np.random.Generator) -> tuple[float, ...]:
    off = rng.normal(0.0, _SERIES_OFF_CENTS, 16)
    return tuple(float(fundamental_hz * n * 2.0 ** (off[n - 1] / 1200.0)) for n in range(1, 17))


def _pair(rng: np.random.Generator, lowest_hz: float, highest_hz: float) -> tuple[_Placed, _Placed]:
    """Two notes in the range: on two partials of one fingering, or on two fingerings."""
    while True:
        low, high = (int(n) for n in np.sort(rng.choice(np.arange(2, 11), 2, replace=False)))
        lower_hz = float(np.exp(rng.uniform(np.log(lowest_hz), np.log(highest_hz))))
        if high - low > 3 or not lower_hz * high / low < highest_hz:
            continue
        series = _series(lower_hz / low, rng)
        if rng.random() < 0.3:
            # a valve slur: the second note on a tube some semitones longer, near the first one's partial
            low = max(low, 3)
            longer = _series(lower_hz / low / 2.0 ** (int(rng.integers(1, 5)) / 12.0), rng)
            pair = (_Placed(series[low - 1], series, low), _Placed(longer[low - 1], longer, low))
        else:
            pair = (_Placed(series[low - 1], series, low), _Placed(series[high - 1], series, high))
        if min(note.hz for note in pair) >= lowest_hz:
            return pair if rng.random() < 0.5 else pair[::-1]


def _slur(kind: str, rng: np.random.Generator, first: _Placed, second: _Placed) -> Slur:
    """Draw a slur of a kind; a change of partial takes a few periods at least."""
    period = 1.0 / min(first.hz, second.hz)
    glide = max(float(np.exp(rng.uniform(np.log(0.008), np.log(0.07)))), 1.2 * period)
    shape = tuple(Shape)[int(rng.integers(len(Shape)))]
    settle = float(rng.uniform(0.08, 0.2))
    plain = Slur(glide, shape, float(rng.uniform(0.0, 5.0)), glide + float(rng.uniform(0.02, 0.06)), settle_s=settle)
    quick = replace(plain, glide_s=min(glide, max(0.02, 1.2 * period)))
    if kind == "dip":
        return replace(plain, dip_db=float(rng.uniform(6.0, 15.0)), dip_s=float(rng.uniform(0.05, 0.12)))
    if kind == "scoop":
        return replace(plain, scoop_cents=float(rng.uniform(30.0, 150.0)))
    if kind == "overshoot":
        return replace(plain, overshoot_cents=float(rng.uniform(25.0, 90.0)))
    if kind == "split":
        return replace(
            quick,
            dwells=(
                Dwell(_foreign_hz(rng, first, second), float(rng.uniform(0.05, 0.16)), float(rng.uniform(0.0, 4.0))),
            ),
        )
    if kind == "fell back":
        lengths = rng.uniform(0.05, 0.1), rng.uniform(0.05, 0.12)
        return replace(quick, dwells=(Dwell(second.hz, float(lengths[0])), Dwell(first.hz, float(lengths[1]))))
    if kind == "broken":
        return replace(plain, silence_s=float(np.exp(rng.uniform(np.log(0.03), np.log(0.15)))))
    if kind == "tongued":
        tongue = Tongue(*(float(rng.uniform(*span)) for span in ((0.025, 0.045), (10.0, 24.0), (-34.0, -22.0))))
        return replace(plain, glide_s=max(0.012, min(glide, 1.2 * period)), tongue=tongue)
    if kind == "half valve":
        choke = Choke(*(float(rng.uniform(*span)) for span in ((0.06, 0.14), (4.0, 9.0), (0.8, 1.6))))
        return replace(plain, choke=choke)
    return plain


def _foreign_hz(rng: np.random.Generator, first: _Placed, second: _Placed) -> float:
    """A neighbour on the second note's fingering: between the two if there is one, else next to the goal."""
    low, high = sorted((first.hz, second.hz))
    apart = 2.0 ** (60.0 / 1200.0)
    between = [hz for hz in second.series_hz if low * apart < hz < high / apart]
    beside = [
        second.series_hz[n - 1]
        for n in (second.partial - 1, second.partial + 1)
        if 1 <= n <= len(second.series_hz) and abs(np.log2(second.series_hz[n - 1] / first.hz)) > 60.0 / 1200.0
    ]
    choices = between if between and rng.random() < 0.8 else beside
    return float(choices[int(rng.integers(len(choices)))] * 2.0 ** (rng.normal(0.0, _TOLD_OFF_CENTS) / 1200.0))

"""Trials of learning: draw horns, let a player sound some tones, and see how well the other ways are foretold."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from importlib import resources

import numpy as np

from builders.additive_horn import Real, ridge, robust, trusting
from builders.bores import EUPHONIUMLIKE, TRUMPETLIKE, Bore, heights_of_bore, varied
from builders.horn_worlds import PLAIN, Sitting, TrueHorn, World, draw_horn, sit, useful_ways
from slurwright.formats.learning_toml import priors_from_toml
from slurwright.horn import Horn
from slurwright.horn.learnt import Priors, ToneReading, WayKey
from slurwright.horn.learnt.learn import LearntHorn, learn
from slurwright.horn.learnt.predict import joint

__all__ = ["PRIORS", "RIVALS", "Score", "bore_horn", "run", "tones", "world_horn"]

PRIORS: Priors = priors_from_toml(
    (resources.files("slurwright") / "data" / "learning.toml").read_text(encoding="utf-8")
)
NINE_IN_TEN = 1.6448536269514722

Drawer = Callable[[np.random.Generator], TrueHorn]


def world_horn(horn: Horn, world: World) -> Drawer:
    """Draw horns of a world."""
    return lambda rng: draw_horn(rng, horn, world)


def bore_horn(horn: Horn) -> Drawer:
    """Draw horns with an invented bore, by the size of the catalogue's horn."""
    bore: Bore = TRUMPETLIKE if horn.open_length_m < 2 else EUPHONIUMLIKE

    def draw(rng: np.random.Generator) -> TrueHorn:
        wrong = {name: 2e-3 * 2 * horn.open_length_m / 1.48 * rng.normal() for name in "123"}
        return TrueHorn(horn, heights_of_bore(varied(bore, rng), horn, slide_error_m=wrong), PLAIN)

    return draw


def tones(horn: Horn, rng: np.random.Generator, count: int) -> tuple[list[int], list[int]]:
    """Choose long tones as a player would: normal ways of the comfortable range first, then others.

    Returns:
        Places among `useful_ways` of the tones and of the ways that are left.

    """
    low, high = (pitch.midi for pitch in horn.comfortable)
    normal = {horn.normal[midi] for midi in range(low, high + 1) if midi in horn.normal}
    ways = useful_ways(horn)
    order = sorted(rng.permutation(len(ways)).tolist(), key=lambda place: ways[place][:2] not in normal)
    return order[:count], order[count:]


Rival = Callable[[Horn, Sequence[ToneReading], Sequence[WayKey]], Real]

RIVALS: dict[str, Rival] = {
    "additive, slips handled alike": lambda horn, readings, rest: robust(horn, readings, rest, PRIORS),
    "additive, every reading trusted": lambda horn, readings, rest: trusting(horn, readings, rest, PRIORS),
    "BayesianRidge on one-hot columns": ridge,
}


@dataclass
class Score:
    """What came of some trials; only ways without a reading count."""

    squares: dict[str, list[float]] = field(default_factory=dict)
    """Mean squared error of each horn, by name of the method [cents squared]."""
    covered: list[float] = field(default_factory=list)
    """Share of the ways of each horn that lie in their interval."""
    slips: list[int] = field(default_factory=lambda: [0, 0])
    """Slips made, slips set aside."""
    good: list[int] = field(default_factory=lambda: [0, 0])
    """True readings made, true readings set aside."""

    def rms(self, name: str = "learnt") -> float:
        """Root of the mean square over horns and ways [cents]."""
        return float(np.sqrt(np.mean(self.squares[name])))

    @property
    def coverage(self) -> float:
        return float(np.mean(self.covered))

    def less_than(self, name: str) -> float:
        """By how much the error is below a rival's, 0..1."""
        return 1.0 - self.rms() / self.rms(name)

    def add(self, name: str, error: Real) -> None:
        self.squares.setdefault(name, []).append(float(np.mean(error**2)))


def _judge(score: Score, learnt: LearntHorn, sitting: Sitting) -> None:
    for verdict, slipped in zip(learnt.verdicts, sitting.slipped, strict=True):
        tally = score.slips if slipped else score.good
        tally[0] += 1
        tally[1] += not verdict.used


def run(draw: Drawer, *, horns: int, count: int, seed: int, rivals: Sequence[str] = ()) -> Score:
    """Draw horns one after the other and learn each from `count` readings of one session."""
    rng = np.random.default_rng(seed)
    score = Score()
    for _ in range(horns):
        true = draw(rng)
        ways = useful_ways(true.horn)
        read, left = tones(true.horn, rng, count)
        sitting = sit(rng, true, [ways[place] for place in read])
        rest = [ways[place][:2] for place in left]
        truth = np.array([true.heights[way] + sitting.offset(way) for way in rest])
        learnt = learn(true.horn, sitting.readings, PRIORS)
        found = joint(learnt, rest, at="one")
        score.add("learnt", found.height - truth)
        score.add("catalogue", found.nominal - truth)
        within = NINE_IN_TEN * np.sqrt(np.diag(found.covariance))
        score.covered.append(float(np.mean(np.abs(found.height - truth) <= within)))
        _judge(score, learnt, sitting)
        for name in rivals:
            score.add(name, RIVALS[name](true.horn, sitting.readings, rest) - truth)
    return score

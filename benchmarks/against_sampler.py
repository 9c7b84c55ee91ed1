"""How near what is learnt comes to the exact posterior: small cases, sampled by emcee.

Run: ``PYTHONPATH=tests python -m benchmarks.against_sampler [--write]`` (some three minutes on one core; ``--write``
puts the table into the README). The aim is means within 0.1 logit and standard deviations within 15 %. "Lengths" is
how many of the longest autocorrelation times a chain lasts; what chance leaves in the sampled means is told beside.
"""

import itertools
import sys
from pathlib import Path

import numpy as np

from builders.sampler import Case, drawn_case, learnt, sampled

README = Path(__file__).parent / "README.md"
START, END = "<!-- against a sampler -->", "<!-- end of against a sampler -->"
FIRST_SEED = 1000
HEADINGS = (
    "case",
    "effects",
    "largest distance of a mean, logit",
    "chance alone, logit",
    "standard deviation, ours / sampled",
    "lengths",
)
SIDES = {"all broke": 1.0, "none broke": 0.0, "as it comes": -1.0}
SIZES = ((2, 1, 1), (6, 2, 1), (20, 4, 1), (40, 6, 1), (20, 2, 2))
CERTAINTIES = (0.98, 0.8)


def cases() -> list[Case]:
    """Few attempts and more, one-sided and mixed, sure and not."""
    found = []
    every = itertools.product(SIZES, SIDES.items(), CERTAINTIES)
    for number, ((attempts, pairs, techniques), (words, sided), sure) in enumerate(every):
        more = f" in {techniques} techniques" if techniques > 1 else ""
        name = f"{attempts} attempts, {pairs} pairs{more}, {words}, {100 * sure:.0f} % sure"
        rng = np.random.default_rng(FIRST_SEED + number)
        found.append(
            drawn_case(name, rng, attempts=attempts, pairs=pairs, techniques=techniques, sided=sided, sure=sure)
        )
    return found


def row(case: Case, seed: int) -> str:
    """Compare one case."""
    truth = sampled(case, seed=seed, steps=8000)
    mean, sd = learnt(case)
    ratio = sd / truth.sd
    cells = (
        case.name,
        str(len(mean)),
        f"{np.abs(mean - truth.mean).max():.3f}",
        f"{truth.error.max():.3f}",
        f"{ratio.min():.3f} to {ratio.max():.3f}",
        f"{truth.lengths:.0f}",
    )
    return f"| {' | '.join(cells)} |"


def main(*, write: bool) -> None:
    """Print the table."""
    text = [f"| {' | '.join(HEADINGS)} |", "|" + "---|" * len(HEADINGS)]
    print("\n".join(text), flush=True)
    for number, case in enumerate(cases()):
        text.append(row(case, FIRST_SEED + number))
        print(text[-1], flush=True)
    if write:
        before, _, rest = README.read_text(encoding="utf-8").partition(START)
        body = "\n".join(text)
        README.write_text(f"{before}{START}\n{body}\n{END}{rest.partition(END)[2]}", encoding="utf-8")


if __name__ == "__main__":
    main(write="--write" in sys.argv)

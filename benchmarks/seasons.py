"""What planned practice time buys by the concert: whole simulated seasons, the same seconds spent in four ways.

Run: ``PYTHONPATH=tests python -m benchmarks.seasons [seasons] [--seeds FIRST] [--write]`` (default 200 seasons a
world from seed 1000 up, which nothing was tuned on; ``--write`` puts the table into the README). The worlds and the
ways to spend time are those of ``tests/builders/seasons.py``; the worlds share no code with the planner. Each season
is played under the same seed in each way; "planned gains" is the mean of the paired differences with their 90 %
interval.
"""

import math
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from builders.seasons import STRATEGIES, WORLDS, Strategy, World, draw_season, play_season
from slurwright.devices.packaged import load_practice

README = Path(__file__).parent / "README.md"
START, END = "<!-- seasons -->", "<!-- end of seasons -->"
FIRST_SEED = 1000
PLANNED, NOTHING = "planned", "nothing"
RIVALS = tuple(name for name in STRATEGIES if name not in (PLANNED, NOTHING))
HEADINGS = (
    "world",
    "no practice, %",
    "planned, %",
    *(f"{name}, %" for name in RIVALS),
    *(f"planned gains on {name}, points" for name in RIVALS),
)
_NINE_IN_TEN = 1.645


def chances(world: World, strategy: Strategy, seeds: Sequence[int]) -> np.ndarray:
    """Chance of a clean concert at the end of each season."""
    table = load_practice()
    return np.array(
        [
            play_season(
                world,
                draw_season(world, np.random.default_rng((seed, 1))),
                strategy,
                table=table,
                rng=np.random.default_rng((seed, 2)),
            )
            for seed in seeds
        ]
    )


def row(world: World, seeds: Sequence[int]) -> str:
    """One line of the table."""
    found = {name: chances(world, strategy, seeds) for name, strategy in STRATEGIES.items()}
    means = [100.0 * found[name].mean() for name in (NOTHING, PLANNED, *RIVALS)]
    gains = [100.0 * (found[PLANNED] - found[name]) for name in RIVALS]
    spreads = [_NINE_IN_TEN * gain.std(ddof=1) / math.sqrt(len(seeds)) for gain in gains]
    told = [f"{gain.mean():+.1f} ± {spread:.1f}" for gain, spread in zip(gains, spreads, strict=True)]
    return f"| {' | '.join((world.name, *(f'{mean:.1f}' for mean in means), *told))} |"


def main(seasons: int, first_seed: int, *, write: bool) -> None:
    """Measure and print the table."""
    seeds = range(first_seed, first_seed + seasons)
    text = [f"{seasons} seasons a world, seeds {seeds[0]} to {seeds[-1]}: chance of a clean concert.", ""]
    text += [f"| {' | '.join(HEADINGS)} |", "|" + "---|" * len(HEADINGS)]
    print("\n".join(text), flush=True)
    for world in WORLDS:
        start = time.process_time()
        text.append(row(world, seeds))
        print(text[-1], flush=True)
        print(f"({time.process_time() - start:.0f} s of processor)", file=sys.stderr)
    if write:
        before, _, rest = README.read_text(encoding="utf-8").partition(START)
        body = "\n".join(text)
        README.write_text(f"{before}{START}\n{body}\n{END}{rest.partition(END)[2]}", encoding="utf-8")


if __name__ == "__main__":
    words = sys.argv[1:]
    first = int(words[words.index("--seeds") + 1]) if "--seeds" in words else FIRST_SEED
    numbers = [word for at, word in enumerate(words) if word.isdigit() and words[at - 1 : at] != ["--seeds"]]
    main(int(numbers[0]) if numbers else 200, first, write="--write" in words)

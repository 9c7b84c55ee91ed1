"""How true it is what is said of a player's progress: invented players who change, or do not, in a known way.

Run: ``PYTHONPATH=tests python -m benchmarks.progress_told [players] [--seeds FIRST]`` (default 120 players a world
from seed 1000 up, which nothing was tuned on). What the worlds are, `progress_worlds` says. A change that was said is
right if the truth changed in that direction; curves whose truth did not change at all are counted by themselves.
"""

import sys
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from builders.progress_worlds import NOTE_WORLDS, SLUR_WORLDS, Said, said_of_notes, said_of_slurs
from slurwright.evidence.progress.values import Verdict

STEPS = ((0.5, 0.7), (0.7, 0.85), (0.85, 0.93), (0.93, 0.97), (0.97, 1.01))
TOLD = {Verdict.BETTER: 1.0, Verdict.WORSE: -1.0}


def world_rows(
    worlds: Mapping[str, object], said_of: Callable[[str, int], tuple[Said, ...]], seeds: range
) -> list[Said]:
    """Print what is said in each world, and give all of it."""
    every: list[Said] = []
    print("| world | curves | told as changed | of these right | nothing changed, told all the same |")
    print("|---|---|---|---|---|")
    for world in worlds:
        said = [one for seed in seeds for one in said_of(world, seed)]
        every += said
        changed = [one for one in said if one.gain and one.verdict in TOLD]
        right = sum(one.gain * TOLD[one.verdict] > 0 for one in changed)
        still = [one for one in said if not one.gain]
        wrong = sum(one.verdict in TOLD for one in still)
        held = f"end {100 * np.mean([one.end_held for one in said]):.0f} %"
        gain = f"change {100 * np.mean([one.gain_held for one in said]):.0f} %"
        print(f"| {world} ({held}, {gain} held) | {len(said)} | {len(changed)} | {right} | {wrong} of {len(still)} |")
    return every


def calibration_rows(every: Sequence[Said]) -> None:
    """Print how often a change that was said with some chance was right."""
    print("\n| chance of a change that was said | n | mean of it | right |")
    print("|---|---|---|---|")
    said = np.array([one.better for one in every if one.gain])
    true = np.array([one.gain > 0 for one in every if one.gain])
    sure, right = np.maximum(said, 1.0 - said), np.where(said >= 0.5, true, ~true)
    for low, high in STEPS:
        here = (sure >= low) & (sure < high)
        if here.any():
            span = f"{100 * low:.0f} to {min(100.0, 100 * high):.0f} %"
            print(f"| {span} | {here.sum()} | {100 * sure[here].mean():.1f} % | {100 * right[here].mean():.1f} % |")
    print()


def main() -> None:
    """Print both tables."""
    words = sys.argv[1:]
    first = int(words[words.index("--seeds") + 1]) if "--seeds" in words else 1000
    players = int(words[0]) if words and words[0].isdigit() else 120
    seeds = range(first, first + players)
    print("Slurs\n")
    calibration_rows(world_rows(SLUR_WORLDS, said_of_slurs, seeds))
    print("Notes\n")
    calibration_rows(world_rows(NOTE_WORLDS, said_of_notes, seeds))


if __name__ == "__main__":
    main()

"""How true learnt break risks are: invented players of four worlds practise, and the next time through is foretold.

Run: ``PYTHONPATH=tests python -m benchmarks.calibration [players] [--seeds FIRST] [--write]`` (default 240 players a
world from seed 1000 up, which nothing was tuned on; ``--write`` puts the tables into the README). What the worlds
are, `players_worlds` says; how forecasts are scored, `players_scores`. "Scikit-learn" is its logistic regression as
`calibration_rivals` makes it; at 0 attempts it has nothing to go by and is left out.
"""

import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from benchmarks.calibration_rivals import regressed
from builders.players_scores import Foretold, Score, joined, scored, worse_by
from builders.players_trials import WORLDS, Forecast, Forecaster, Trial, forecasts_of, ours, prior_only, trial
from builders.players_worlds import PlayersWorld

README = Path(__file__).parent / "README.md"
START, END = "<!-- calibration -->", "<!-- end of calibration -->"
FIRST_SEED = 1000
ATTEMPTS = (0, 20, 60, 200)
OURS, PRIOR, REGRESSED = "Slurwright", "prior only", "scikit-learn"
HEADINGS = (
    "attempts",
    "foretold by",
    "Brier score",
    "log loss, nat",
    "worse than ours by (standard error)",
    "calibration error, points",
    "true risk in the 90 % interval",
    "mean width, points",
)
CURVE_HEADINGS = ("world", "attempts", "foretold, % → true, % (slurs)")


def by_regression(done: Trial) -> Forecast:
    risk = regressed(done.book, done.practice, done.fresh)
    return risk, risk, risk


def forecasters(attempts: int) -> Mapping[str, Forecaster]:
    """Who foretells after so many attempts."""
    found: dict[str, Forecaster] = {OURS: ours, PRIOR: prior_only}
    return found | ({REGRESSED: by_regression} if attempts else {})


def measured(world: PlayersWorld, attempts: int, seeds: Sequence[int]) -> dict[str, Foretold]:
    """Collect all forecasts of one world after so many attempts."""
    parts: dict[str, list[Foretold]] = {}
    for seed in seeds:
        for name, foretold in forecasts_of(trial(world, seed, attempts=attempts), forecasters(attempts)).items():
            parts.setdefault(name, []).append(foretold)
    return {name: joined(found) for name, found in parts.items()}


def row(attempts: int, name: str, found: Mapping[str, Foretold]) -> str:
    """One line of a world's table."""
    score = scored(found[name])
    more, error = worse_by(found[name], found[OURS])
    interval = (f"{100 * score.coverage:.1f} %", f"{100 * score.width:.1f}") if name == OURS else ("", "")
    cells = (
        str(attempts),
        name,
        f"{score.brier:.4f}",
        f"{score.log_loss:.4f}",
        "" if name == OURS else f"{more:+.4f} ({error:.4f})",
        f"{100 * score.calibration:.2f}",
        *interval,
    )
    return f"| {' | '.join(cells)} |"


def least_row(attempts: int, score: Score) -> str:
    """What nobody can better."""
    cells = (
        str(attempts),
        "the truth itself",
        f"{score.brier_least:.4f}",
        f"{score.log_loss_least:.4f}",
        "",
        f"floor {100 * score.calibration_floor:.2f}",
    )
    return f"| {' | '.join(cells)} | | |"


def curve(world: PlayersWorld, attempts: int, score: Score) -> str:
    """The reliability curve in a line."""
    points = ", ".join(f"{100 * b.foretold:.1f} → {100 * b.truth:.1f} ({b.slurs})" for b in score.bins)
    return f"| {world.name} | {attempts} | {points} |"


def headed(headings: Sequence[str]) -> list[str]:
    return [f"| {' | '.join(headings)} |", "|" + "---|" * len(headings)]


def main(players: int, first_seed: int, *, write: bool) -> None:
    """Measure and print the tables."""
    text: list[str] = []
    curves = headed(CURVE_HEADINGS)

    def say(*lines: str) -> None:
        text.extend(lines)
        print("\n".join(lines), flush=True)

    seeds = range(first_seed, first_seed + players)
    say(f"{players} players a world, seeds {seeds[0]} to {seeds[-1]}.")
    for world in WORLDS:
        start = time.process_time()
        say("", f"World: {world.name}.", "", *headed(HEADINGS))
        for attempts in ATTEMPTS:
            found = measured(world, attempts, seeds)
            score = scored(found[OURS])
            say(*(row(attempts, name, found) for name in found), least_row(attempts, score))
            curves.append(curve(world, attempts, score))
        print(f"({time.process_time() - start:.0f} s of processor)", file=sys.stderr)
    say("", "Reliability of ours.", "", *curves)
    if write:
        before, _, rest = README.read_text(encoding="utf-8").partition(START)
        body = "\n".join(text)
        README.write_text(f"{before}{START}\n{body}\n{END}{rest.partition(END)[2]}", encoding="utf-8")


if __name__ == "__main__":
    words = sys.argv[1:]
    first = int(words[words.index("--seeds") + 1]) if "--seeds" in words else FIRST_SEED
    numbers = [word for at, word in enumerate(words) if word.isdigit() and words[at - 1 : at] != ["--seeds"]]
    main(int(numbers[0]) if numbers else 240, first, write="--write" in words)

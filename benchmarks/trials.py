"""How often trials of a slur answer wrongly, and after how many tries they answer: simulated players, known truth.

    .venv/bin/python -m benchmarks.trials [arms] [trials in each world] [first seed]

What is compared, and what the plan believes of it, are the plan's own choices at the weak slurs of the demo part, at
pp and as it is marked. Worlds: ``believed`` draws the truth from the trial's own prior; ``differ`` likewise, but
every arm makes a difference; ``equal`` has no difference at all; ``near`` one of at most 2.5 points either way;
``contrary`` has half of the plan's differences the wrong way round; ``tiring`` is ``differ`` and ``rested`` is
``equal`` for a player who warms up over three tries, tires by 0.1 logit a try within a round, and has good and bad
days. The ear that logs errs now and then.

Every trial is played on beyond its end, so that designs of fixed size can be judged on the very same tries, with the
same figures. The one that is told is the shortest that answers as often in the worlds that have an answer (better in
``differ``, no difference worth having in ``equal`` and ``near``) and errs no more often over all of them; both its
limits are its own.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from slurwright.devices.packaged import demo_part, load_beliefs, load_horn, load_trial_rules
from slurwright.evidence.trial.order import orders
from slurwright.evidence.trial.speaking import speaking_points
from slurwright.evidence.trial.values import Answer, Aspect, TrialRules
from slurwright.evidence.trial.verdict import compared_in
from slurwright.jobs.study import StudyRequest
from slurwright.plan import Technique
from slurwright.wiring.part import study_score

WORLDS = ("believed", "differ", "equal", "near", "contrary", "tiring", "rested")
_EARS = {True: (0.90, 0.09, 0.01), False: (0.05, 0.30, 0.65)}
"""How often an ear says good, rough and missed of a slur that spoke, and of one that did not."""
_BEYOND = 1.5
"""So much longer than a trial can last are they played."""


@dataclass(frozen=True)
class Look:
    """What is said after a block."""

    first: int
    better: float
    answer: Answer
    low: float
    high: float
    second: int
    worth_changing: float


@dataclass(frozen=True)
class Played:
    """One simulated trial: the true chances in an average block, and what was said after each block."""

    truth: tuple[float, ...]
    looks: tuple[Look, ...]


@cache
def believed_chances(arms: int) -> tuple[tuple[float, ...], ...]:
    """What the plan believes at weak slurs: as they stand, the best fingering, the best technique, the next."""
    name, data = demo_part()
    found = []
    for dynamic in (None, "pp"):
        study = study_score(data, name, load_horn("euphonium-4c"), StudyRequest(dynamic=dynamic, best=1)).study
        for report in study.weak:
            same = [one for one in report.choices[1:] if one.technique is not Technique.PLAIN]
            other = [one for one in report.choices[1:] if one.technique is Technique.PLAIN]
            ranked = [*other[:1], *same[:1], *other[1:], *same[1:]]
            if len(ranked) >= arms - 1:
                chosen = [report.choices[0], *ranked[: arms - 1]]
                found.append(tuple(1.0 - one.break_risk for one in chosen))
    return tuple(dict.fromkeys(found))


def played_trial(
    world: str,
    believed: Sequence[float],
    rng: np.random.Generator,
    rules: TrialRules,
    *,
    blocks: int,
    stops: bool = False,
) -> Played:
    """Play a trial on to some number of blocks, or until it answers, and say what is said after each."""
    arms = len(believed)
    logits = _truth(world, np.asarray(believed), rng, rules)
    tiring = world in ("tiring", "rested")
    round_blocks = max(1, round(rules.round_tries / arms))
    order = orders(arms, blocks, round_blocks=round_blocks, rng=rng)
    ear = load_beliefs().ear
    labels = (ear.good, ear.rough, ear.missed)
    counted: dict[tuple[tuple[int, float], ...], int] = {}
    looks = []
    goes = 0.0
    for block, chosen in enumerate(order):
        if not tiring:
            goes = rng.normal(0.0, rules.block_logit)
        elif block % round_blocks == 0:
            goes = rng.normal(0.0, 0.5)
        held = []
        for place, arm in enumerate(chosen):
            tried = (block % round_blocks) * arms + place
            tired = -0.1 * tried - 0.3 * (tried < 3) if tiring else 0.0
            spoke = bool(rng.random() < _sigmoid(logits[arm] + goes + tired))
            held.append((arm, labels[int(rng.choice(3, p=_EARS[spoke]))]))
        key = tuple(sorted(held))
        counted[key] = counted.get(key, 0) + 1
        looks.append(_look(believed, counted, rules, block + 1))
        if stops and looks[-1].answer is not Answer.OPEN:
            break
    return Played(_average(logits, rules, tiring=tiring), tuple(looks))


def _truth(world: str, believed: np.ndarray, rng: np.random.Generator, rules: TrialRules) -> np.ndarray:
    means = np.log(believed / (1.0 - believed))
    stands = rng.normal(means[0], rules.stands_logit)
    if world in ("equal", "rested"):
        return np.full(len(means), stands)
    if world == "near":
        chances = np.clip(_sigmoid(stands), 0.05, 0.95) + rng.uniform(-0.0125, 0.0125, len(means))
        return np.asarray(np.log(chances / (1.0 - chances)))
    gaps = means - means[0]
    if world == "contrary":
        return np.asarray(stands - 0.5 * gaps)
    shares = np.array([rules.hardly, 1.0 - rules.hardly - rules.otherwise, rules.otherwise])
    if world != "believed":
        shares[0] = 0.0
    for arm in range(1, len(means)):
        centre, spread = (
            (0.0, rules.hardly_logit),
            (gaps[arm], rules.gap_logit),
            (0.0, rules.otherwise_logit),
        )[int(rng.choice(3, p=shares / shares.sum()))]
        gaps[arm] = rng.normal(centre, spread)
    return np.asarray(stands + gaps)


def _average(logits: np.ndarray, rules: TrialRules, *, tiring: bool) -> tuple[float, ...]:
    nodes, shares = np.polynomial.hermite_e.hermegauss(21)
    spread = 0.5 if tiring else rules.block_logit
    chances = _sigmoid(logits[:, None] + spread * nodes) @ (shares / shares.sum())
    return tuple(float(chance) for chance in chances)


def _look(
    believed: Sequence[float], counted: dict[tuple[tuple[int, float], ...], int], rules: TrialRules, whole: int
) -> Look:
    cloud = speaking_points(believed, counted, rules=rules)
    said = compared_in(Aspect.SPEAKING, cloud, rules, counts=[whole] * len(believed), whole=whole)
    return Look(said.first, said.better, said.answer, said.gain.low, said.gain.high, said.second, said.worth_changing)


def _sigmoid(logits: np.ndarray) -> np.ndarray:
    return np.asarray(1.0 / (1.0 + np.exp(-logits)))


@dataclass(frozen=True)
class Said:
    """What became of a trial."""

    right: bool = False
    wrong: bool = False
    no_gain: bool = False
    missed: bool = False
    """No difference worth having was said, and there was a gain of more than that."""
    blocks: int = 0


def wrong_choice(truth: Sequence[float], first: int) -> bool:
    """An arm is wrongly called better where as it stands is as good; as it stands, where another arm is as good."""
    others = [chance for arm, chance in enumerate(truth) if arm != first]
    return truth[first] <= (truth[0] if first else max(others)) + 1e-9


def outcome(played: Played, rules: TrialRules) -> Said:
    """Stop where the trial answers."""
    for block, look in enumerate(played.looks[: rules.most_blocks], start=1):
        if look.answer is Answer.BETTER:
            wrong = wrong_choice(played.truth, look.first)
            return Said(right=not wrong, wrong=wrong, blocks=block)
        if look.answer is Answer.NO_GAIN:
            missed = max(played.truth) - played.truth[0] > rules.worth_chance
            return Said(no_gain=True, missed=missed, blocks=block)
    return Said(blocks=rules.most_blocks)


def fixed_size(played: dict[str, list[Played]], rules: TrialRules) -> int | None:
    """Find the shortest design of fixed size that answers as often and errs no more: its blocks, or None."""
    said = {world: [outcome(one, rules) for one in trials] for world, trials in played.items()}
    wrong, missed = (
        np.mean([np.mean([getattr(one, name) for one in trials]) for trials in said.values()])
        for name in ("wrong", "missed")
    )
    finds = np.mean([one.right for one in said["differ"]])
    settles = float(np.mean([one.no_gain for world in ("equal", "near") for one in said[world]]))
    most = min(len(one.looks) for trials in played.values() for one in trials)
    for blocks in range(rules.least_blocks, most + 1):
        limit = _least_limit(played, blocks, float(wrong))
        if np.mean([_found(one, blocks, limit) for one in played["differ"]]) < finds:
            continue
        unlikely = _least_unlikely(played, blocks, limit, settles)
        if (
            np.mean([[_missed(one, blocks, limit, unlikely, rules) for one in of] for of in played.values()])
            <= missed
        ):
            return blocks
    return None


def _least_limit(played: dict[str, list[Played]], blocks: int, allowed: float) -> float:
    """The lowest limit of "better" that errs no more than is allowed."""
    for limit in np.linspace(0.80, 0.999, 100):
        errs = [_calls(one, blocks, limit) and _is_wrong(one, blocks) for of in played.values() for one in of]
        if np.mean(errs) <= allowed:
            return float(limit)
    return 1.0


def _least_unlikely(played: dict[str, list[Played]], blocks: int, limit: float, wanted: float) -> float:
    """The lowest limit of "no difference worth having" that settles as many trials without one."""
    chances = [
        1.0 if _calls(one, blocks, limit) else one.looks[blocks - 1].worth_changing
        for world in ("equal", "near")
        for one in played[world]
    ]
    return float(np.quantile(chances, wanted))


def _calls(one: Played, blocks: int, limit: float) -> bool:
    return one.looks[blocks - 1].better >= limit


def _is_wrong(one: Played, blocks: int) -> bool:
    return wrong_choice(one.truth, one.looks[blocks - 1].first)


def _found(one: Played, blocks: int, limit: float) -> bool:
    return _calls(one, blocks, limit) and not _is_wrong(one, blocks)


def _missed(one: Played, blocks: int, limit: float, unlikely: float, rules: TrialRules) -> bool:
    if _calls(one, blocks, limit) or one.looks[blocks - 1].worth_changing > unlikely:
        return False
    return max(one.truth) - one.truth[0] > rules.worth_chance


def simulated(
    slurs: Sequence[Sequence[float]], trials: int, seed: int, rules: TrialRules, *, blocks: int, stops: bool = False
) -> dict[str, list[Played]]:
    """Play trials in every world, at slurs of which the plan believes so and so, drawn by lot."""
    played: dict[str, list[Played]] = {}
    for number, world in enumerate(WORLDS):
        for trial in range(trials):
            rng = np.random.default_rng([seed + trial, number, len(slurs[0])])
            believed = slurs[int(rng.integers(len(slurs)))]
            one = played_trial(world, believed, rng, rules, blocks=blocks, stops=stops)
            played.setdefault(world, []).append(one)
    return played


def table(played: dict[str, list[Played]], rules: TrialRules, arms: int) -> str:
    """Print what became of the trials of each world."""
    rows = [
        "| world | better, rightly | wrongly | no difference worth having | a gain missed so | not told apart "
        "| tries: median, nine in ten | interval holds |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for world, trials in played.items():
        said = [outcome(one, rules) for one in trials]
        ends = [one.looks[what.blocks - 1] for one, what in zip(trials, said, strict=True)]
        holds = [
            look.low - 1e-9 <= one.truth[look.first] - one.truth[look.second] <= look.high + 1e-9
            for one, look in zip(trials, ends, strict=True)
        ]
        tries = [arms * one.blocks for one in said]
        shares = [
            100.0 * np.mean([getattr(one, name) for one in said]) for name in ("right", "wrong", "no_gain", "missed")
        ]
        left = 100.0 - sum(shares[:3])
        columns = " | ".join(f"{share:.1f} %" for share in (*shares, left))
        rows.append(
            f"| {world} | {columns} | {np.median(tries):.0f} ({np.percentile(tries, 90):.0f}) "
            f"| {100.0 * np.mean(holds):.0f} % |"
        )
    return "\n".join(rows)


def main() -> None:
    given = [int(word) for word in sys.argv[1:4]]
    arms, trials, seed = (*given, *(2, 200, 0)[len(given) :])
    rules = load_trial_rules()
    played = simulated(believed_chances(arms), trials, seed, rules, blocks=round(_BEYOND * rules.most_blocks))
    print(f"{arms} arms, {trials} trials in each world, seeds from {seed}\n\n{table(played, rules, arms)}")
    blocks = fixed_size(played, rules)
    size = f"more than {arms * round(_BEYOND * rules.most_blocks)}" if blocks is None else str(arms * blocks)
    every = [arms * outcome(one, rules).blocks for trials_of in played.values() for one in trials_of]
    print(
        f"\nA design of fixed size that answers as often and errs no more needs {size} tries; this one "
        f"{np.median(every):.0f} in the median over all worlds, {np.mean(every):.0f} in the mean."
    )


if __name__ == "__main__":
    main()

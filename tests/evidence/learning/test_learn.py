"""A player is learnt about the priors: nothing tried leaves them, and what was tried moves them as it must."""

import random
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from builders.lines import random_line
from builders.tried import BELIEFS, CHANCES, HORN, TODAY, UNSCALED, attempt, learnt_from, named_horn, slur
from slurwright.devices.packaged import load_horn
from slurwright.errors import FingeringError
from slurwright.evidence.attempts import Attempt, Tried
from slurwright.evidence.learning.design import own_columns, with_knots
from slurwright.evidence.learning.effects import columns_of
from slurwright.evidence.learning.learn import learn, risk_on
from slurwright.evidence.learning.learnt import Learnt
from slurwright.evidence.learning.logistic import offset_of
from slurwright.evidence.learning.spread import prior_of, spread_of
from slurwright.plan import Technique, ways_of
from slurwright.plan.speaking import break_risks
from slurwright.plan.transition import Changes, Circumstances, Floats, WayTable, changes_between, table_of_ways

UP = slur("F3", "Bb3")
OTHER_WAYS = slur("Eb3", "Ab3")
"""The same partials, third to fourth, on another fingering."""
FAR = slur("D4", "F4")
VALVE = slur("C4", "D4")


def risk(learnt: Learnt, tried: Tried, *, weeks: float = 0.0) -> float:
    return risk_on(learnt, HORN, tried, days=[TODAY - timedelta(weeks=weeks)])[0].risk


def prior(tried: Tried) -> float:
    return risk_on(learnt_from([]), HORN, tried, days=[TODAY])[0].prior


def changes_of_line(horn_id: str, seed: int) -> tuple[WayTable, Changes]:
    horn = load_horn(horn_id)
    line = random_line(horn, 30, seed=seed)
    rows = [(sound.sounding.midi, ways_of(sound.sounding, horn)[:3]) for sound in line.sounds]
    table = table_of_ways(rows, horn)
    rng = np.random.default_rng(seed)
    source, target = rng.integers(0, len(table.midi), size=(2, 60))
    around = Circumstances(rng.uniform(-4, 3, 60), rng.uniform(0.1, 2, 60), rng.uniform(0.1, 2, 60))
    return table, changes_between(table, source, target, around=around, same_place_m=CHANCES.slide.same_place_m)


def priors_of(table: WayTable, changes: Changes, technique: Technique) -> Floats:
    return break_risks(changes, technique, chances=CHANCES, slide=table.slide)


@settings(max_examples=20, deadline=None)
@given(st.sampled_from(["euphonium-4c", "trombone", "horn-double"]), st.integers(0, 999), st.sampled_from(Technique))
def test_with_nothing_tried_everything_is_as_the_priors_say(horn_id: str, seed: int, technique: Technique) -> None:
    table, changes = changes_of_line(horn_id, seed)
    known, before = learnt_from([]).on(horn_id), priors_of(table, changes, technique)
    figures = known.risk_figures(before, table, changes, technique)
    assert np.array_equal(known.break_risks(before, table, changes, technique), before)
    assert np.array_equal(figures.risk, before)
    assert np.all((figures.low < before) & (figures.low < figures.high))
    assert not figures.attempts.any()
    rows = np.arange(len(table.midi))
    assert np.array_equal(known.at_hand(0.9 * table.usual, table, rows), 0.9 * table.usual)
    assert np.array_equal(known.finger_misses(before, table, changes), before)
    assert known.comes_as_meant(0.93, technique) == pytest.approx(0.93, abs=1e-15)


@settings(max_examples=20, deadline=None)
@given(st.sampled_from(["euphonium-4c", "trombone", "horn-double"]), st.integers(0, 999), st.sampled_from(Technique))
def test_an_even_verdict_teaches_nothing(horn_id: str, seed: int, technique: Technique) -> None:
    table, changes = changes_of_line(horn_id, seed)
    before = priors_of(table, changes, technique)
    known = learnt_from([attempt(UP, 0.5), attempt(FAR, 0.5, weeks=9)]).on(horn_id)
    figures = known.risk_figures(before, table, changes, technique)
    np.testing.assert_allclose(figures.risk, before, rtol=1e-8)
    assert not figures.attempts.any()


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from([UP, OTHER_WAYS, FAR, VALVE]), st.sampled_from([0.02, 0.5, 0.97]), st.integers(0, 60)
        ),
        min_size=2,
        max_size=12,
    ),
    st.randoms(use_true_random=False),
)
def test_the_order_of_attempts_does_not_matter(told: list[tuple[Tried, float, int]], shuffle: random.Random) -> None:
    attempts = [attempt(tried, spoke, weeks=weeks) for tried, spoke, weeks in told]
    one = learnt_from(attempts, beliefs=BELIEFS)
    shuffle.shuffle(attempts)
    two = learnt_from(attempts, beliefs=BELIEFS)
    assert np.array_equal(one.posterior.mean.shared, two.posterior.mean.shared)
    assert np.array_equal(one.posterior.own, two.posterior.own)
    assert (one.sizes, one.moves) == (two.sizes, two.moves)


@settings(max_examples=25, deadline=None)
@given(
    st.integers(0, 12),
    st.integers(0, 12),
    st.sampled_from([UP, FAR, VALVE, slur("Bb3", "F3", technique=Technique.LEGATO_TONGUE)]),
    st.sampled_from([0.0, 3.0, 30.0]),
)
def test_one_more_break_raises_the_risk_and_one_more_success_lowers_it(
    broke: int, spoke: int, tried: Tried, weeks: float
) -> None:
    attempts = [attempt(tried, 0.02)] * broke + [attempt(tried, 0.98)] * spoke
    usual = risk(learnt_from(attempts), tried)
    assert risk(learnt_from([*attempts, attempt(tried, 0.02, weeks=weeks)]), tried) > usual
    assert risk(learnt_from([*attempts, attempt(tried, 0.98, weeks=weeks)]), tried) < usual


def test_what_breaks_says_less_of_what_is_further_off() -> None:
    learnt = learnt_from([attempt(UP, 0.02)] * 6)
    moved = [np.log(risk(learnt, tried) / prior(tried)) for tried in (UP, OTHER_WAYS, FAR, VALVE)]
    assert moved == sorted(moved, reverse=True)
    assert moved[-1] > 0.0
    assert moved[0] > 1.5 * moved[2]
    assert moved[0] > 3.0 * moved[3]


def test_a_technique_learns_from_itself_most() -> None:
    tongued = replace(UP, technique=Technique.LEGATO_TONGUE)
    half = replace(UP, technique=Technique.HALF_VALVE)
    learnt = learnt_from([attempt(tongued, 1.0)] * 20 + [attempt(UP, 0.0)] * 10 + [attempt(UP, 1.0)] * 10)
    assert risk(learnt, tongued) < 0.1 < risk(learnt, half) < risk(learnt, UP)
    figures = [risk_on(learnt, HORN, tried, days=[TODAY])[0] for tried in (UP, tongued, half)]
    assert [round(figure.attempts) for figure in figures] == [20, 20, 0]


def laid_once(tried: Tried) -> tuple[WayTable, Changes]:
    """One slur as the plan lays it out."""
    ways = [
        next(
            way for way in ways_of(one.sounding, HORN) if (way.fingering, way.partial) == (one.fingering, one.partial)
        )
        for one in tried.ways
    ]
    table = table_of_ways([(one.sounding.midi, [way]) for one, way in zip(tried.ways, ways, strict=True)], HORN)
    around = Circumstances(*(np.array([value]) for value in (tried.dynamic, tried.time_s, tried.hold_s)))
    same_place_m = CHANCES.slide.same_place_m
    return table, changes_between(table, np.array([0]), np.array([1]), around=around, same_place_m=same_place_m)


def logit_before(tried: Tried) -> tuple[float, float]:
    """Offset and variance of the logit of one slur today, from its columns."""
    table, changes = laid_once(tried)
    columns = columns_of(changes, tried.technique, chances=CHANCES, slide=False)
    common = with_knots(columns, np.zeros(1), drift=BELIEFS.drift)
    number = list(Technique).index(tried.technique)
    own = own_columns(np.array([number]), np.zeros(1), drift=BELIEFS.drift)
    variance = spread_of(prior_of(BELIEFS), common, own)
    return float(offset_of(priors_of(table, changes, tried.technique), variance)[0]), float(variance[0])


@pytest.mark.parametrize(("broke", "spoke"), [(1, 0), (3, 0), (0, 10), (8, 0), (2, 9), (10, 10)])
def test_one_slur_alone_is_learnt_as_by_summing_over_its_logit(broke: int, spoke: int) -> None:
    learnt = learnt_from([attempt(UP, 0.0)] * broke + [attempt(UP, 1.0)] * spoke)
    offset, variance = logit_before(slur("F3", "Bb3", seconds=float(np.exp(round(20 * np.log(0.5)) / 20))))
    doubt = BELIEFS.ear.doubt

    def weight(logit: float, power: int) -> float:
        breaks = 1.0 / (1.0 + np.exp(-logit))
        said = doubt + (1.0 - 2.0 * doubt) * breaks
        likelihood = said**broke * (1.0 - said) ** spoke
        return float(norm.pdf(logit, offset, np.sqrt(variance)) * likelihood * breaks**power)

    reach = (offset - 9.0 * np.sqrt(variance), offset + 9.0 * np.sqrt(variance))
    evidence, chance = (quad(weight, *reach, args=(power,), limit=200)[0] for power in (0, 1))
    found = risk_on(learnt, HORN, UP, days=[TODAY])[0]
    assert found.risk == pytest.approx(chance / evidence, rel=0.05)
    inside = quad(
        weight, *(float(np.log(end / (1.0 - end))) for end in (found.low, found.high)), args=(0,), limit=200
    )
    assert inside[0] / evidence == pytest.approx(0.9, abs=0.02)


def test_more_attempts_make_the_interval_narrower() -> None:
    widths = []
    for times in (0, 3, 12, 48):
        learnt = learnt_from([attempt(UP, 0.02)] * times + [attempt(UP, 0.98)] * times)
        figure = risk_on(learnt, HORN, UP, days=[TODAY])[0]
        widths.append(np.log(figure.high / (1 - figure.high)) - np.log(figure.low / (1 - figure.low)))
        assert figure.low < figure.risk < figure.high
    assert widths == sorted(widths, reverse=True)


def test_a_player_who_gets_better_is_believed() -> None:
    changed = [attempt(UP, 0.02, weeks=20 + 0.3 * n) for n in range(20)]
    changed += [attempt(UP, 0.98, weeks=0.3 * n) for n in range(20)]
    mixed = [attempt(UP, (0.02, 0.98)[n % 2], weeks=0.65 * n) for n in range(40)]
    better, steady = learnt_from(changed, beliefs=BELIEFS), learnt_from(mixed, beliefs=BELIEFS)
    assert better.moves > steady.moves
    assert risk(better, UP) < 0.6 * risk(steady, UP)
    weeks = [risk(better, UP, weeks=ago) for ago in (0, 4, 10, 16, 22)]
    assert weeks == sorted(weeks)
    assert weeks[-1] > 0.5


def test_what_is_long_past_bears_less_and_leaves_more_open() -> None:
    fresh, old = (learnt_from([attempt(UP, 0.02, weeks=weeks)] * 8) for weeks in (0.0, 60.0))
    one, two = (risk_on(learnt, HORN, UP, days=[TODAY])[0] for learnt in (fresh, old))
    assert prior(UP) < two.risk < one.risk
    assert two.attempts < 0.8 * one.attempts


def test_the_plan_is_told_the_same_as_the_curve() -> None:
    learnt = learnt_from([attempt(UP, 0.02)] * 3 + [attempt(VALVE, 0.98, weeks=3)] * 5, beliefs=BELIEFS)
    for tried in (UP, OTHER_WAYS, FAR, VALVE):
        table, changes = laid_once(tried)
        before = priors_of(table, changes, tried.technique)
        figures = learnt.on("mine").risk_figures(before, table, changes, tried.technique)
        curve = risk_on(learnt, HORN, tried, days=[TODAY])[0]
        for told, figure in ((figures.risk, curve.risk), (figures.low, curve.low), (figures.high, curve.high)):
            assert told[0] == pytest.approx(figure, rel=1e-9)
        assert figures.attempts[0] == pytest.approx(curve.attempts)


def test_another_horn_learns_what_its_player_brings() -> None:
    attempts: list[Attempt] = [attempt(UP, 0.02)] * 10
    cornet = named_horn("cornet-b", "other")
    learnt = learn(attempts, {"mine": HORN, "other": cornet}, chances=CHANCES, beliefs=UNSCALED, today=TODAY)
    figure = risk_on(learnt, cornet, slur("F4", "Bb4", horn=cornet), days=[TODAY])[0]
    assert figure.risk > 1.5 * figure.prior
    assert figure.attempts == 0.0


def test_what_is_left_out_or_assumed_is_said() -> None:
    missing = replace(UP, ways=(UP.ways[0], replace(UP.ways[1], fingering="1-2-3-4")))
    attempts = [attempt(UP, 0.02, weeks=-2), attempt(UP, 0.98, horn="gone"), attempt(missing, 0.02)]
    learnt = learnt_from(attempts)
    assert learnt.attempts == 1
    assert learnt.latest == TODAY
    assert learnt.notices == (
        "1 attempt left out: played on a horn that is not known here",
        "1 attempt left out: Euphonium in B♭, four valves, compensating has no 1-2-3-4 on partial 4 for Bb3",
        "1 attempt dated after 2026-11-28 counted as of that day",
    )
    assert learnt_from([attempt(UP, 0.98, horn="gone"), attempt(UP, 0.02, weeks=3)]).latest == TODAY - timedelta(
        weeks=3
    )
    assert learnt_from([attempt(UP, 0.98, horn="gone")]).latest is None
    today = learnt_from([attempt(UP, 0.02)])
    assert risk(learnt, UP) == risk(today, UP)
    with pytest.raises(FingeringError, match="1-2-3-4"):
        risk_on(learnt, HORN, missing, days=[TODAY])

"""What a plan makes of a player who is known: the change where something is known, and nowhere else."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.every_plan import cost_of, every_plan
from builders.knowns import Decreed, Pair
from builders.lines import PP, random_line, typed_line
from slurwright.devices.packaged import load_chances, load_horn
from slurwright.horn import Horn, Reach
from slurwright.pitch import SoundingPitch
from slurwright.plan import Plan, PlanRequest, Technique, Weights, plan_line, slur_reports
from slurwright.plan.frontier import frontier
from slurwright.plan.rating import chance_at_start, chance_fingers, chance_speaks
from slurwright.plan.values import Basis, LearntRisk, SlurReport

CHANCES = load_chances()
EUPHONIUM = load_horn("euphonium-4c")
HORNS = [EUPHONIUM, load_horn("trombone"), load_horn("trumpet-b"), load_horn("horn-double")]
NOBODY = Decreed()
F3, BB3 = SoundingPitch.named("F3").midi, SoundingPitch.named("Bb3").midi
OPEN_FOURTH: Pair = ((F3, "0"), (BB3, "0"))


def fingerings(plan: Plan) -> list[str]:
    return [way.fingering for way in plan.ways]


def figures_of(report: SlurReport) -> list[tuple[float, LearntRisk]]:
    """Every break risk of a report with what it rests on."""
    told = [
        (report.break_risk, report.learnt),
        *((choice.break_risk, choice.learnt) for choice in report.choices),
    ]
    found = [(risk, learnt) for risk, learnt in told if learnt is not None]
    assert len(found) == len(told)
    return found


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6), horn=st.sampled_from(HORNS), techniques=st.booleans(), size=st.integers(1, 40))
def test_a_player_of_whom_nothing_is_known_leaves_everything_as_it_is(
    seed: int, horn: Horn, techniques: bool, size: int
) -> None:
    line = random_line(horn, size, seed=seed)
    request = PlanRequest(best=3, techniques=techniques)
    plans = plan_line(line, horn, chances=CHANCES, request=request)
    assert plan_line(line, horn, chances=CHANCES, request=request, known=NOBODY) == plans
    assert frontier(line, horn, chances=CHANCES, known=NOBODY) == frontier(line, horn, chances=CHANCES)
    alone = slur_reports(line, plans[0], horn, chances=CHANCES)
    beside = slur_reports(line, plans[0], horn, chances=CHANCES, known=NOBODY)
    for one, other in zip(alone, beside, strict=True):
        assert (other.break_risk, other.weak, other.advice) == (one.break_risk, one.weak, one.advice)
        assert [choice.name for choice in other.choices] == [choice.name for choice in one.choices]
        for risk, learnt in figures_of(other):
            assert learnt.basis is Basis.PRIOR
            assert learnt.prior == pytest.approx(risk, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    horn=st.sampled_from(HORNS),
    size=st.integers(2, 4),
    everywhere=st.sampled_from([-2.0, 0.7, 3.0]),
    misses=st.sampled_from([None, 0.2]),
)
def test_plans_of_a_known_player_are_those_that_trying_everything_finds(
    seed: int, horn: Horn, size: int, everywhere: float, misses: float | None
) -> None:
    line = random_line(horn, size, seed=seed, dynamic=PP)
    reach = Reach(highest_partial=8, sharp_cents=40, flat_cents=35)
    one = plan_line(line, horn, chances=CHANCES, reach=reach)[0].ways
    pair = tuple((sound.sounding.midi, way.fingering) for sound, way in zip(line.sounds[:2], one[:2], strict=True))
    known = Decreed(
        breaks={((pair[0], pair[1]), Technique.PLAIN): 0.9},
        everywhere=everywhere,
        hands={(line.sounds[0].sounding.midi, one[0].fingering): 0.4},
        misses=misses,
        techniques={Technique.LEGATO_TONGUE: 0.5},
    )
    request = PlanRequest(best=4, techniques=size < 4)
    wanted = every_plan(line, horn, request, reach=reach, known=known)[:4]
    plans = plan_line(line, horn, chances=CHANCES, request=request, reach=reach, known=known)
    assert [plan.cost for plan in plans] == [pytest.approx(cost, rel=1e-7, abs=1e-7) for cost in wanted]
    for plan in plans:
        own = cost_of(line, horn, plan.ways, plan.techniques, Weights(), known)
        assert plan.cost == pytest.approx(own, rel=1e-7, abs=1e-7)


def test_a_slur_that_fails_this_player_changes_the_plan_there_and_nowhere_else() -> None:
    line = typed_line("Bb3 C4 D4 C4 Bb3 F3 Bb3 C4 D4 Eb4 D4 C4", dynamic=-1.0)
    before = plan_line(line, EUPHONIUM, chances=CHANCES)[0]
    assert fingerings(before)[5:7] == ["0", "0"]
    known = Decreed({(OPEN_FOURTH, Technique.PLAIN): 0.9, (OPEN_FOURTH[::-1], Technique.PLAIN): 0.9})
    after = plan_line(line, EUPHONIUM, chances=CHANCES, known=known)[0]
    changed = [at for at, (one, two) in enumerate(zip(before.ways, after.ways, strict=True)) if one != two]
    assert changed
    assert set(changed) <= {4, 5, 6}


def test_a_slur_that_this_player_can_trust_keeps_its_normal_fingerings() -> None:
    line = typed_line("F3 Bb3 F3 Bb3", dynamic=PP, seconds=0.25)
    assert plan_line(line, EUPHONIUM, chances=CHANCES)[0].changes > 0
    known = Decreed({(OPEN_FOURTH, Technique.PLAIN): 0.01, (OPEN_FOURTH[::-1], Technique.PLAIN): 0.01})
    assert plan_line(line, EUPHONIUM, chances=CHANCES, known=known)[0].changes == 0


def test_an_alternate_that_was_practised_is_used_where_a_strange_one_was_not() -> None:
    line = typed_line("F3 Bb3", dynamic=PP)
    before = plan_line(line, EUPHONIUM, chances=CHANCES)[0]
    assert fingerings(before) == ["0", "0"]
    known = Decreed(hands={(F3, "4"): CHANCES.fingers.normal})
    after = plan_line(line, EUPHONIUM, chances=CHANCES, known=known)[0]
    assert fingerings(after) == ["4", "0"]
    assert after.chance_clean > before.chance_clean


def test_a_practised_alternate_ranks_higher_among_the_choices() -> None:
    line = typed_line("F3 Bb3", dynamic=PP)
    normal = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(most_changes=0))[0]

    def place(known: Decreed | None) -> float:
        report = slur_reports(line, normal, EUPHONIUM, chances=CHANCES, known=known)[0]
        return next(choice.chance_around for choice in report.choices if choice.name == "4 on F3")

    assert place(Decreed(hands={(F3, "4"): 0.99})) > place(None)


def test_each_figure_says_what_it_rests_on() -> None:
    line = typed_line("F3 Bb3 C4", dynamic=PP)
    known = Decreed({(OPEN_FOURTH, Technique.PLAIN): 0.07}, attempts=23.0, everywhere=0.5)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(most_changes=0))[0]
    report = slur_reports(line, plan, EUPHONIUM, chances=CHANCES, known=known, limit=0.0)[0]
    prior = slur_reports(line, plan, EUPHONIUM, chances=CHANCES, limit=0.0)[0]
    assert report.break_risk == pytest.approx(0.07)
    assert report.learnt is not None
    assert report.learnt.basis is Basis.ATTEMPTS
    assert report.learnt.attempts == 23.0
    assert report.learnt.prior == pytest.approx(prior.break_risk)
    assert report.learnt.low < report.break_risk < report.learnt.high
    assert report.choices[0].learnt == report.learnt
    others = {learnt.basis for _, learnt in figures_of(report)[2:]}
    assert Basis.OTHER_SLURS in others
    assert Basis.ATTEMPTS not in others


@pytest.mark.parametrize(
    ("attempts", "risk", "basis"),
    [
        (0.0, 0.12, Basis.PRIOR),
        (0.0, 0.1249, Basis.PRIOR),
        (0.4, 0.13, Basis.OTHER_SLURS),
        (0.0, 0.05, Basis.OTHER_SLURS),
        (0.6, 0.12, Basis.ATTEMPTS),
        (23.0, 0.07, Basis.ATTEMPTS),
    ],
)
def test_a_risk_is_a_prior_only_while_it_reads_as_one(attempts: float, risk: float, basis: Basis) -> None:
    assert LearntRisk(risk, prior=0.12, low=0.01, high=0.4, attempts=attempts).basis is basis


def test_the_priors_can_be_planned_on_with_what_is_known_told_beside() -> None:
    line = typed_line("F3 Bb3 C4", dynamic=PP)
    known = Decreed({(OPEN_FOURTH, Technique.PLAIN): 0.01})
    plan = plan_line(line, EUPHONIUM, chances=CHANCES)[0]
    alone = slur_reports(line, plan, EUPHONIUM, chances=CHANCES)
    for one, both in zip(alone, slur_reports(line, plan, EUPHONIUM, chances=CHANCES, beside=known), strict=True):
        assert both.break_risk == one.break_risk
        assert both.learnt is not None
        assert both.learnt.prior == pytest.approx(one.break_risk)


def test_the_player_is_asked_once_a_technique_about_a_whole_line() -> None:
    line = random_line(EUPHONIUM, 200, seed=4, dynamic=PP)
    known = Decreed()
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, known=known)[0]
    assert [name for name, _ in known.asked].count("break_risks") == 1
    known.asked.clear()
    slur_reports(line, plan, EUPHONIUM, chances=CHANCES, known=known)
    names = [name for name, _ in known.asked]
    assert names.count("break_risks") == len(Technique)
    assert names.count("risk_figures") <= len(Technique)


def test_only_slurs_are_asked_about() -> None:
    known = Decreed()
    plan_line(typed_line("F3 Bb3 C4", slurred=False), EUPHONIUM, chances=CHANCES, known=known)
    assert [count for name, count in known.asked if name == "break_risks"] == [0]


def test_certainties_still_give_a_plan() -> None:
    line = typed_line("F3 Bb3")
    hopeless = Decreed(everywhere=800.0, hands={(F3, "0"): 0.0}, misses=1.0)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, known=hopeless)[0]
    assert 0.0 < plan.chance_clean < 1e-8


def test_one_chance_at_a_time_agrees_with_what_is_known() -> None:
    line = typed_line("F3 Bb3", dynamic=PP)
    known = Decreed(
        {(OPEN_FOURTH, Technique.PLAIN): 0.07},
        hands={(F3, "0"): 0.5, (BB3, "0"): 0.25},
        techniques={Technique.LEGATO_TONGUE: 0.5},
    )
    ways = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(pins={0: "0", 1: "0"}))[0].ways
    pair = ways[0], ways[1]
    plain, tongue = Technique.PLAIN, Technique.LEGATO_TONGUE
    assert chance_speaks(pair, 0, line, EUPHONIUM, technique=plain, chances=CHANCES, known=known) == pytest.approx(
        0.93
    )
    assert chance_at_start(ways[0], line.sounds[0], EUPHONIUM, chances=CHANCES, known=known) == 0.5
    assert chance_fingers(pair, 0, line, EUPHONIUM, technique=plain, chances=CHANCES, known=known) == 0.25
    assert chance_fingers(pair, 0, line, EUPHONIUM, technique=tongue, chances=CHANCES, known=known) == 0.125

"""What the trade knows of slurs (common practice, no source), held against the plan.

Directions and orders are common practice; the sizes in the packaged table are ours and provisional, so only the
rough sizes that a player would expect are held here.
"""

import pytest

from builders.lines import PP, typed_line
from slurwright.devices.packaged import load_chances, load_horn
from slurwright.horn import Horn, with_tendencies
from slurwright.plan import (
    Choice,
    PlanRequest,
    SlurKind,
    SlurReport,
    Technique,
    plan_line,
    slur_reports,
    ways_of,
)
from slurwright.plan.rating import chance_speaks

CHANCES = load_chances()
EUPHONIUM = load_horn("euphonium-4c")
TROMBONE = load_horn("trombone")
NORMAL_ONLY = PlanRequest(most_changes=0)


def reports(
    names: str, *, horn: Horn = EUPHONIUM, dynamic: float = PP, seconds: float = 0.6
) -> tuple[SlurReport, ...]:
    """Reports of a passage on normal fingerings, choices at every slur."""
    line = typed_line(names, dynamic=dynamic, seconds=seconds)
    plan = plan_line(line, horn, chances=CHANCES, request=NORMAL_ONLY)[0]
    return slur_reports(line, plan, horn, chances=CHANCES, limit=0.0)


def risk(names: str, *, horn: Horn = EUPHONIUM, dynamic: float = PP) -> float:
    return reports(names, horn=horn, dynamic=dynamic)[0].break_risk


def named(report: SlurReport) -> dict[str, Choice]:
    return {choice.name: choice for choice in report.choices}


def test_a_slur_on_one_partial_speaks_easily_and_a_lip_slur_is_the_risk() -> None:
    assert reports("A3 Bb3")[0].kind is SlurKind.VALVE
    assert reports("F3 Bb3")[0].kind is SlurKind.LIP
    assert risk("A3 Bb3", dynamic=0.0) < 0.02
    assert risk("A3 Bb3") < 0.03
    assert 0.03 < risk("F3 Bb3", dynamic=0.0) < 0.07
    assert 0.15 < risk("F3 Bb3") < 0.20


def test_going_down_is_harder_than_going_up() -> None:
    assert risk("Bb3 F3") > risk("F3 Bb3")
    assert 0.25 < risk("Bb3 F3") < 0.30


def test_a_third_valve_for_first_and_second_is_offered() -> None:
    choice = named(reports("D3 G3")[0])["3 on G3"]
    assert choice.break_risk < risk("D3 G3")
    assert choice.cents[1] < choice.ways[0].cents, "3 sits lower than 1-2"
    assert choice.fingers == "3 instead of 1-2 on G3: release 1-2 and press 3"


def test_what_is_offered_at_the_fourth_above_the_third_partial() -> None:
    report = reports("F3 Bb3")[0]
    assert [choice.name for choice in report.choices][:3] == ["as it stands", "legato tongue", "half-valve"]
    choices = named(report)
    assert {"4 on F3", "1-3 on F3"} <= set(choices)
    four = choices["4 on F3"]
    assert [way.partial for way in four.ways] == [4, 4], "4 turns the fourth into a valve slur"
    assert four.break_risk < 0.03
    assert four.fingers == "4 instead of 0 on F3, then release 4"
    assert "valve slur" in four.why
    assert "longer tube" in four.why
    assert "28 cents higher (30 sharp)" in choices["1-3 on F3"].why


def test_the_half_valve_is_better_than_the_tongue_going_down() -> None:
    names = [choice.name for choice in reports("Bb3 F3")[0].choices]
    assert names.index("half-valve") < names.index("legato tongue")
    choices = named(reports("Bb3 F3")[0])
    assert 0.06 < choices["half-valve"].break_risk < 0.10
    assert 0.12 < choices["legato tongue"].break_risk < 0.16


def test_the_tongue_helps_more_going_up() -> None:
    up, down = reports("F3 Bb3")[0], reports("Bb3 F3")[0]
    assert 0.05 < named(up)["legato tongue"].break_risk < 0.07
    helped_up = named(up)["legato tongue"].break_risk / up.break_risk
    assert helped_up < named(down)["legato tongue"].break_risk / down.break_risk


def test_the_half_valve_covers_both_ways_alike() -> None:
    up, down = named(reports("F3 Bb3")[0])["half-valve"], named(reports("Bb3 F3")[0])["half-valve"]
    assert up.break_risk == pytest.approx(down.break_risk, abs=0.005)


def test_moving_valves_cover_a_crossing() -> None:
    """Over the same two notes and partials, by lips alone and with valves."""
    lips = reports("D3 G3")[0]
    assert named(lips)["3 on G3"].break_risk < 0.5 * lips.break_risk


def test_a_long_tube_is_slower() -> None:
    assert risk("F2 Bb2", horn=load_horn("tuba-b-4c")) > risk("F3 Bb3") > risk("F4 Bb4", horn=load_horn("trumpet-b"))


def test_on_a_slide_the_sense_turns_round() -> None:
    """Staying on a partial smears, crossing one is clean; on valves it is the other way round."""
    assert _plain_risk("Bb3 A3", EUPHONIUM) < _plain_risk("Bb3 F3", EUPHONIUM)
    assert _plain_risk("Bb3 A3", TROMBONE) > 0.5
    assert _plain_risk("F3 G3", TROMBONE) < 0.1
    assert _plain_risk("Bb3 A3", TROMBONE) > _plain_risk("Bb3 F3", TROMBONE)


def test_on_a_slide_a_slur_on_one_partial_is_tongued_as_a_matter_of_course() -> None:
    line = typed_line("Bb3 A3 Bb3 F3")
    plan = plan_line(line, TROMBONE, chances=CHANCES)[0]
    assert plan.techniques == (Technique.LEGATO_TONGUE, Technique.LEGATO_TONGUE, Technique.PLAIN)
    assert plan.changes == 0
    assert all(report.break_risk < 0.06 for report in reports("Bb3 A3 G3 F3", horn=TROMBONE)[:2])


def test_there_is_no_half_valve_on_a_slide() -> None:
    assert "half-valve" not in named(reports("F3 Bb3", horn=TROMBONE)[0])


def _plain_risk(names: str, horn: Horn) -> float:
    line = typed_line(names)
    first, second = (ways_of(sound.sounding, horn)[0] for sound in line.sounds)
    return 1.0 - chance_speaks((first, second), 0, line, horn, technique=Technique.PLAIN, chances=CHANCES)


@pytest.mark.parametrize(("low", "first"), [(-35.0, "1-3 on F3"), (-10.0, "4 on F3")])
def test_1_3_overtakes_a_4_that_is_too_low(low: float, first: str) -> None:
    """Third valve long so that 2-3 is exact: 1-3 is 15.5 cents sharp (derived); 4 lies as low as this horn's does."""
    horn = with_tendencies(load_horn("euphonium-4c", tuning="third-long-23"), {("4", 4): low})
    assert _cents(horn, "1-3") == pytest.approx(15.5, abs=0.1)
    assert _cents(horn, "4") == pytest.approx(low, abs=0.1)
    for names in ("F3 Bb3", "Bb3 F3"):
        told = [choice.name for choice in reports(names, horn=horn)[0].choices]
        assert {"4 on F3", "1-3 on F3"} <= set(told)
        assert min(told.index("4 on F3"), told.index("1-3 on F3")) == told.index(first)
        cost = {fingering: _cost(names, horn, fingering) for fingering in ("4", "1-3")}
        assert min(cost, key=lambda fingering: cost[fingering]) == first.split(maxsplit=1)[0]


def _cost(names: str, horn: Horn, fingering: str) -> float:
    """Cost of the plan with F3 pinned and the other note normal."""
    pins = {place: fingering if name == "F3" else "0" for place, name in enumerate(names.split())}
    return plan_line(typed_line(names, dynamic=PP), horn, chances=CHANCES, request=PlanRequest(pins=pins))[0].cost


def _cents(horn: Horn, fingering: str) -> float:
    ways = ways_of(typed_line("F3").sounds[0].sounding, horn)
    return next(way.cents for way in ways if way.fingering == fingering and way.partial == 4)

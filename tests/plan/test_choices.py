"""Reports and choices: what is told, in what order, and in which words."""

import math

import pytest

from builders.lines import PP, random_line, typed_line
from slurwright.devices.packaged import horn_ids, load_chances, load_horn
from slurwright.errors import PlanError
from slurwright.plan import PlanRequest, SlurKind, Technique, plan_line, slur_reports, ways_of
from slurwright.plan.choices import slur_kind
from slurwright.plan.rating import chance_at_start, chance_fingers, chance_speaks
from slurwright.plan.refingering import MOST_REFINGERINGS

CHANCES = load_chances()
EUPHONIUM = load_horn("euphonium-4c")
TROMBONE = load_horn("trombone")
NORMAL_ONLY = PlanRequest(most_changes=0)


def test_every_slurred_move_has_a_report_and_only_weak_ones_have_choices() -> None:
    line = random_line(EUPHONIUM, 80, seed=4, dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES)[0]
    reports = slur_reports(line, plan, EUPHONIUM, chances=CHANCES)
    assert [report.move for report in reports] == [at for at, move in enumerate(line.moves) if move.slurred]
    for report in reports:
        assert report.weak == (report.break_risk > CHANCES.weak_above)
        assert bool(report.choices) == bool(report.advice) == report.weak
    product = math.prod(1.0 - report.break_risk for report in reports)
    assert product == pytest.approx(plan.chance_slurs, rel=1e-9)


def test_the_first_choice_is_the_plan_itself() -> None:
    line = random_line(EUPHONIUM, 80, seed=4, dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(techniques=True))[0]
    for report in slur_reports(line, plan, EUPHONIUM, chances=CHANCES, limit=0.0):
        first = report.choices[0]
        move = line.moves[report.move]
        assert first.name == "as it stands"
        assert first.technique is plan.techniques[report.move]
        assert first.ways == (plan.ways[move.source], plan.ways[move.target])
        assert first.break_risk == report.break_risk
        assert first.cents_cost == 0.0


@pytest.mark.parametrize("horn_id", horn_ids())
def test_choices_on_every_horn_help_and_are_few(horn_id: str) -> None:
    horn = load_horn(horn_id)
    line = random_line(horn, 60, seed=9, dynamic=PP)
    plan = plan_line(line, horn, chances=CHANCES, request=NORMAL_ONLY)[0]
    for report in slur_reports(line, plan, horn, chances=CHANCES, limit=0.0):
        stands, *others = report.choices
        move = line.moves[report.move]
        same = [choice for choice in others if choice.ways == stands.ways]
        changed = [choice for choice in others if choice.ways != stands.ways]
        assert others == same + changed, "what changes no fingering comes first"
        assert all(choice.break_risk < stands.break_risk for choice in others)
        assert [choice.break_risk for choice in same] == sorted(choice.break_risk for choice in same)
        assert len({choice.name for choice in report.choices}) == len(report.choices)
        taught = {
            way
            for sound in (move.source, move.target)
            for way in horn.alternates.get(line.sounds[sound].sounding.midi, ())
        }
        exotic = [c for c in changed if not any((w.fingering, w.partial) in taught for w in c.ways)]
        assert len(exotic) <= MOST_REFINGERINGS
        for choice in report.choices:
            assert 0.0 < choice.chance_around < 1.0
            assert choice.fingers
            assert choice.why.endswith(".")


def test_one_side_is_changed_before_both() -> None:
    line = typed_line("F3 Bb3 F3", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    for report in slur_reports(line, plan, EUPHONIUM, chances=CHANCES):
        sides = [sum(a != b for a, b in zip(c.ways, report.choices[0].ways, strict=True)) for c in report.choices]
        assert sides == sorted(sides)


def test_the_chance_around_counts_the_moves_before_and_after() -> None:
    line = typed_line("A3 F3 Bb3 C4", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    report = next(r for r in slur_reports(line, plan, EUPHONIUM, chances=CHANCES) if r.move == 1)
    four = next(choice for choice in report.choices if choice.name == "4 on F3")
    ways = [plan.ways[0], *four.ways, plan.ways[3]]
    wanted = 1.0
    for move in range(3):
        pair = ways[move], ways[move + 1]
        wanted *= chance_speaks(pair, move, line, EUPHONIUM, technique=Technique.PLAIN, chances=CHANCES)
        wanted *= chance_fingers(pair, move, line, EUPHONIUM, technique=Technique.PLAIN, chances=CHANCES)
    assert four.chance_around == pytest.approx(wanted, rel=1e-12)


def test_the_chance_around_at_the_start_asks_for_the_first_way() -> None:
    line = typed_line("F3 Bb3", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    four = next(c for c in slur_reports(line, plan, EUPHONIUM, chances=CHANCES)[0].choices if c.name == "4 on F3")
    wanted = chance_at_start(four.ways[0], line.sounds[0], EUPHONIUM, chances=CHANCES)
    wanted *= 1.0 - four.break_risk
    wanted *= chance_fingers(four.ways, 0, line, EUPHONIUM, technique=Technique.PLAIN, chances=CHANCES)
    assert four.chance_around == pytest.approx(wanted, rel=1e-12)


def test_a_jump_back_between_the_same_two_notes_changes_with_them() -> None:
    """Both moves of the repeat see the stand-in."""
    line = typed_line("F3 Bb3", dynamic=PP, jumps=[(1, 0)])
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    report = slur_reports(line, plan, EUPHONIUM, chances=CHANCES)[0]
    four = next(choice for choice in report.choices if choice.name == "4 on F3")
    pair, back = four.ways, (four.ways[1], four.ways[0])
    wanted = 1.0
    for ways, move in ((pair, 0), (back, 1)):
        wanted *= chance_speaks(ways, move, line, EUPHONIUM, technique=Technique.PLAIN, chances=CHANCES)
        wanted *= chance_fingers(ways, move, line, EUPHONIUM, technique=Technique.PLAIN, chances=CHANCES)
    assert four.chance_around == pytest.approx(wanted, rel=1e-12)


def test_cents_cost_counts_the_changed_note() -> None:
    line = typed_line("F3 Bb3", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    choices = {c.name: c for c in slur_reports(line, plan, EUPHONIUM, chances=CHANCES)[0].choices}
    assert choices["legato tongue"].cents_cost == 0.0
    assert choices["1-3 on F3"].cents_cost == pytest.approx(30.3 - 2.0, abs=0.1)
    assert choices["4 on F3"].cents_cost == pytest.approx(0.0 - 2.0, abs=0.1)


def test_notes_are_named_as_the_player_reads_them() -> None:
    line = typed_line("F3 Bb3", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    report = slur_reports(line, plan, EUPHONIUM, chances=CHANCES, names=["G4", "C5"])[0]
    names = [c.name for c in report.choices]
    assert "4 on G4" in names


def test_gaps_and_kinds_are_told() -> None:
    line = typed_line("F3 Bb3 A3 G3 F3", dynamic=0.0)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    told = slur_reports(line, plan, EUPHONIUM, chances=CHANCES)
    assert [report.kind for report in told] == [SlurKind.LIP, SlurKind.VALVE, SlurKind.VALVE, SlurKind.BOTH]
    assert [report.crossings for report in told] == [1, 0, 0, 1]
    assert [round(report.gap_cents, 1) for report in told] == [498.0, 0.0, 0.0, 498.0]
    assert [report.direction for report in told] == ["up", "down", "down", "down"]


def test_two_close_places_of_the_slide_are_one() -> None:
    first = ways_of(typed_line("Bb3").sounds[0].sounding, TROMBONE)[0]
    second = ways_of(typed_line("F3").sounds[0].sounding, TROMBONE)[0]
    assert 0.0 < second.setting.slide_m < CHANCES.slide.same_place_m
    assert slur_kind(first, second, same_place_m=CHANCES.slide.same_place_m) is SlurKind.LIP
    assert slur_kind(first, second, same_place_m=0.0005) is SlurKind.BOTH


def test_slide_choices_speak_of_positions() -> None:
    line = typed_line("F3 Bb3", dynamic=PP)
    plan = plan_line(line, TROMBONE, chances=CHANCES, request=NORMAL_ONLY)[0]
    choices = {c.name: c for c in slur_reports(line, plan, TROMBONE, chances=CHANCES)[0].choices}
    six = choices["6 on F3"]
    assert six.technique is Technique.LEGATO_TONGUE
    assert six.fingers == "6th position instead of 1st position on F3, then slide 50 cm in"


@pytest.mark.parametrize("notes", ["F3 Bb3", "Bb2 D3", "D4 G3", "C4 D4", "E3 A3"])
def test_nothing_that_is_said_of_a_slide_is_about_fingers_or_valves(notes: str) -> None:
    line = typed_line(notes, dynamic=PP)
    plan = plan_line(line, TROMBONE, chances=CHANCES, request=NORMAL_ONLY)[0]
    report = slur_reports(line, plan, TROMBONE, chances=CHANCES, limit=0.0)[0]
    said = [
        report.advice,
        *(words for choice in report.choices for words in (choice.name, choice.fingers, choice.why)),
    ]
    assert report.choices
    assert not [
        words
        for words in said
        if any(word in words for word in ("finger", "valve", "slide moves as the lips change and cover "))
    ]


def test_the_advice_puts_the_normal_fingering_first() -> None:
    line = typed_line("Bb3 F3", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=NORMAL_ONLY)[0]
    advice = slur_reports(line, plan, EUPHONIUM, chances=CHANCES)[0].advice
    assert advice.startswith("First practise the normal fingering daily as a lip slur")
    assert "rescue" in advice.split(".")[1]


def test_a_plan_of_another_horn_is_refused() -> None:
    line = typed_line("F3 Bb3")
    plan = plan_line(line, TROMBONE, chances=CHANCES)[0]
    with pytest.raises(PlanError, match="does not offer"):
        slur_reports(line, plan, EUPHONIUM, chances=CHANCES)


def test_where_the_plan_leaves_the_normal_fingering_it_is_offered() -> None:
    line = typed_line("Bb3 F3 Bb2", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(pins={1: "4"}))[0]
    report = slur_reports(line, plan, EUPHONIUM, chances=CHANCES, limit=0.0)[1]
    assert report.choices[0].ways[0].fingering == "4"
    assert [choice.name for choice in report.choices if all(way.normal for way in choice.ways)] == ["0 on F3"]


def test_a_slur_that_the_plan_has_mended_keeps_its_choices() -> None:
    line = typed_line("Bb3 F3 Bb3", dynamic=PP)
    plan = plan_line(line, EUPHONIUM, chances=CHANCES)[0]
    assert plan.ways[1].fingering == "4"
    for report in slur_reports(line, plan, EUPHONIUM, chances=CHANCES):
        assert not report.weak
        assert "as a lip slur" in report.advice, "what is practised first is the normal fingering"
        assert report.choices[0].name == "as it stands"
        assert any(choice.name == "0 on F3" for choice in report.choices)
    easy = typed_line("C4 D4", dynamic=0.0)
    kept = plan_line(easy, EUPHONIUM, chances=CHANCES)[0]
    assert slur_reports(easy, kept, EUPHONIUM, chances=CHANCES)[0].choices == ()

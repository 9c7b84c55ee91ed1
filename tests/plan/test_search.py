"""Plans against trying every path, and what pins, bans, limits and weights do."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.every_plan import cost_of, every_plan
from builders.lines import PP, random_line, typed_line
from slurwright.devices.packaged import load_chances, load_horn
from slurwright.errors import FingeringError, PlanError, RequestError
from slurwright.horn import Horn, Reach
from slurwright.pitch import SoundingPitch
from slurwright.plan import Plan, PlanRequest, Way, Weights, plan_line, ways_of
from slurwright.score import Line, Move

CHANCES = load_chances()
EUPHONIUM = load_horn("euphonium-4c")
TROMBONE = load_horn("trombone")
HORNS = [EUPHONIUM, TROMBONE, load_horn("trumpet-b"), load_horn("horn-double")]


def close(cost: float) -> object:
    return pytest.approx(cost, rel=1e-7, abs=1e-7)


@st.composite
def requests(draw: st.DrawFn, size: int, lists: list[tuple[Way, ...]]) -> PlanRequest:
    pins = {}
    if draw(st.booleans()):
        sound = draw(st.integers(0, size - 1))
        pins[sound] = draw(st.sampled_from([way.fingering for way in lists[sound]]))
    bans = set()
    if draw(st.booleans()):
        sound = draw(st.integers(0, size - 1))
        fingering = draw(st.sampled_from([way.fingering for way in lists[sound]]))
        bans.add((draw(st.sampled_from([None, sound])), fingering))
    weight = st.sampled_from([0.2, 1.0, 3.0])
    return PlanRequest(
        pins=pins,
        bans=frozenset(bans),
        most_changes=draw(st.none() | st.integers(0, 3)),
        best=draw(st.integers(1, 6)),
        weights=Weights(smooth=draw(weight), in_tune=draw(weight), familiar=draw(weight)),
        techniques=False,
    )


@settings(max_examples=60, deadline=None)
@given(data=st.data(), seed=st.integers(0, 10**6), horn=st.sampled_from(HORNS), size=st.integers(1, 4))
def test_plans_are_those_that_trying_everything_finds(data: st.DataObject, seed: int, horn: Horn, size: int) -> None:
    ends = st.integers(0, size - 1)
    jumps = data.draw(st.lists(st.tuples(ends, ends).filter(lambda j: j[1] != j[0] + 1), max_size=2, unique=True))
    line = random_line(horn, size, seed=seed, jumps=jumps)
    reach = Reach(highest_partial=8, sharp_cents=40, flat_cents=35)
    lists = [ways_of(sound.sounding, horn, reach=reach) for sound in line.sounds]
    request = data.draw(requests(size, lists))
    wanted = every_plan(line, horn, request, reach=reach)[: request.best]
    if not wanted:
        with pytest.raises(PlanError):
            plan_line(line, horn, chances=CHANCES, request=request, reach=reach)
        return
    plans = plan_line(line, horn, chances=CHANCES, request=request, reach=reach)
    assert [plan.cost for plan in plans] == [close(cost) for cost in wanted]
    assert len({tuple((way.fingering, way.partial) for way in plan.ways) for plan in plans}) == len(plans)
    for plan in plans:
        assert plan.cost == close(cost_of(line, horn, plan.ways, plan.techniques, request.weights))
        assert plan.changes == sum(not way.normal for way in plan.ways)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), horn=st.sampled_from([EUPHONIUM, TROMBONE]), best=st.integers(1, 8))
def test_plans_with_techniques_are_those_that_trying_everything_finds(seed: int, horn: Horn, best: int) -> None:
    line = random_line(horn, 3, seed=seed, dynamic=PP)
    reach = Reach(highest_partial=6, sharp_cents=30, flat_cents=20)
    request = PlanRequest(best=best, techniques=True)
    wanted = every_plan(line, horn, request, reach=reach)[:best]
    plans = plan_line(line, horn, chances=CHANCES, request=request, reach=reach)
    assert [plan.cost for plan in plans] == [close(cost) for cost in wanted]
    assert len({(plan.ways, plan.techniques) for plan in plans}) == len(plans)


def test_a_repeated_passage_has_the_same_fingering_each_time() -> None:
    """The jump back counts the slur twice, which is what makes the stand-in pay."""
    once = typed_line("Bb3 F3", dynamic=-2.6)
    again = typed_line("Bb3 F3", dynamic=-2.6, jumps=[(1, 0)])
    assert plan_line(once, EUPHONIUM, chances=CHANCES)[0].changes == 0
    twice = plan_line(again, EUPHONIUM, chances=CHANCES)[0]
    assert [way.fingering for way in twice.ways] == ["0", "4"]


def test_transposing_part_and_horn_together_leaves_the_plan() -> None:
    """The same build at another pitch; only what depends on the length of the tube in seconds is set aside."""
    horn = load_horn("trumpet-b")
    higher = _transposed(horn, 2)
    line = random_line(horn, 40, seed=5, dynamic=PP)
    moved = Line(
        tuple(replace(sound, sounding=SoundingPitch.from_midi(sound.sounding.midi + 2)) for sound in line.sounds),
        line.moves,
    )
    chances = replace(CHANCES, slur=replace(CHANCES.slur, each_doubling=0.0, settle_trips=0.0))
    request = PlanRequest(best=4)
    here = plan_line(line, horn, chances=chances, request=request)
    there = plan_line(moved, higher, chances=chances, request=request)
    assert [_labels(plan) for plan in here] == [_labels(plan) for plan in there]
    assert [plan.cost for plan in here] == [close(plan.cost) for plan in there]


def _transposed(horn: Horn, semitones: int) -> Horn:
    def up(pitch: SoundingPitch) -> SoundingPitch:
        return SoundingPitch.from_midi(pitch.midi + semitones)

    return replace(
        horn,
        open_pitch=up(horn.open_pitch),
        open_length_m=horn.open_length_m / 2 ** (semitones / 12),
        normal={midi + semitones: way for midi, way in horn.normal.items()},
        alternates={midi + semitones: ways for midi, ways in horn.alternates.items()},
        comfortable=(up(horn.comfortable[0]), up(horn.comfortable[1])),
        possible=(up(horn.possible[0]), up(horn.possible[1])),
    )


def _labels(plan: Plan) -> list[tuple[str, int]]:
    return [(way.fingering, way.partial) for way in plan.ways]


def test_fewer_plans_are_the_beginning_of_more() -> None:
    line = random_line(EUPHONIUM, 60, seed=2, dynamic=PP, jumps=[(30, 4), (50, 10)])
    many = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(best=12))
    assert plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(best=5)) == many[:5]
    assert [plan.cost for plan in many] == sorted(plan.cost for plan in many)


def test_a_limit_on_changes_is_kept() -> None:
    line = typed_line(" ".join(["Bb3 F3"] * 8), dynamic=PP)
    free = plan_line(line, EUPHONIUM, chances=CHANCES)[0]
    assert free.changes == 7
    for most in (0, 3):
        plans = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(most_changes=most, best=3))
        assert plans[0].changes == most
        assert all(plan.changes <= most for plan in plans)


def test_weights_pull_the_plan() -> None:
    line = typed_line("F3 Bb3 F3", dynamic=-2.0)
    cautious = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(weights=Weights(familiar=5)))[0]
    smooth = plan_line(line, EUPHONIUM, chances=CHANCES, request=PlanRequest(weights=Weights(smooth=5)))[0]
    assert cautious.changes == 0
    assert smooth.changes > 0
    assert smooth.chance_slurs > cautious.chance_slurs
    assert smooth.chance_fingers < cautious.chance_fingers


def test_a_note_without_a_way_is_named_with_the_range() -> None:
    with pytest.raises(PlanError, match=r"no fingering of Euphonium.*sounding C7.*E1 to F5"):
        plan_line(typed_line("F3 C7"), EUPHONIUM, chances=CHANCES)


def test_a_pin_that_cannot_sound_the_note_says_what_can() -> None:
    with pytest.raises(FingeringError, match=r"cannot sound F3; got 2; allowed: 0, 4, 1-3"):
        plan_line(typed_line("F3"), EUPHONIUM, chances=CHANCES, request=PlanRequest(pins={0: "2"}))


def test_a_fingering_that_the_horn_lacks_is_refused() -> None:
    with pytest.raises(FingeringError, match=r"no such fingering on Euphonium.*got 5"):
        plan_line(typed_line("F3"), EUPHONIUM, chances=CHANCES, request=PlanRequest(bans=frozenset({(None, "5")})))


def test_pins_and_bans_that_leave_nothing_are_named() -> None:
    request = PlanRequest(pins={1: "4"}, bans=frozenset({(None, "4")}))
    with pytest.raises(PlanError, match=r"sound 2: nothing is left to sound F3; got pinned to 4"):
        plan_line(typed_line("Bb3 F3"), EUPHONIUM, chances=CHANCES, request=request)


def test_pins_beyond_the_limit_on_changes_are_refused() -> None:
    request = PlanRequest(pins={0: "4", 1: "2-3"}, most_changes=1)
    with pytest.raises(PlanError, match=r"so few changes; got at most 1; allowed: 2 or more"):
        plan_line(typed_line("F3 Bb3"), EUPHONIUM, chances=CHANCES, request=request)


@pytest.mark.parametrize(
    "request_",
    [
        PlanRequest(best=0),
        PlanRequest(most_changes=-1),
        PlanRequest(weights=Weights(smooth=-1.0)),
        PlanRequest(weights=Weights(in_tune=float("nan"))),
        PlanRequest(weights=Weights(familiar=1e300)),
    ],
)
def test_numbers_out_of_range_are_refused(request_: PlanRequest) -> None:
    with pytest.raises(RequestError):
        plan_line(typed_line("F3"), EUPHONIUM, chances=CHANCES, request=request_)


@pytest.mark.parametrize("request_", [PlanRequest(pins={7: "0"}), PlanRequest(bans=frozenset({(7, "0")}))])
def test_pins_and_bans_at_notes_that_are_not_there_are_refused(request_: PlanRequest) -> None:
    with pytest.raises(PlanError, match="a note that is not there; got sound 8"):
        plan_line(typed_line("F3"), EUPHONIUM, chances=CHANCES, request=request_)


def test_an_empty_line_is_refused() -> None:
    with pytest.raises(PlanError, match="no notes"):
        plan_line(Line((), ()), EUPHONIUM, chances=CHANCES)


def test_a_neighbour_that_never_follows_costs_nothing() -> None:
    """After a jump the written neighbour may be reached from elsewhere only."""
    line = typed_line("Bb3 F3", dynamic=PP)
    apart = Line(line.sounds, ())
    plan = plan_line(apart, EUPHONIUM, chances=CHANCES)[0]
    assert plan.techniques == ()
    assert plan.chance_slurs == 1.0


def test_a_move_to_itself_counts() -> None:
    line = typed_line("F3")
    looped = Line(line.sounds, (Move(0, 0, slurred=False, time_s=0.6, gap_s=0.0, dynamic=0.0),))
    assert [w.fingering for w in plan_line(looped, EUPHONIUM, chances=CHANCES)[0].ways] == ["0"]

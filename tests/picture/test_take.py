"""The picture of a take shows what happened, where it happened; time lies under the notes that it belongs to."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.measured_takes import Turn, faulty_take, good_take, taken, tune_study
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.picture import take_drawings, take_scene
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.measures import Reason, SlurMeasure, SlurOutcome
from slurwright.picture.shapes import Circle, Group, Picture, Polyline, Rect, Segment, Shape, Text
from slurwright.picture.take.arcs import draw_arc
from slurwright.picture.take.blocks import wrapped
from slurwright.picture.take.key import key_block
from slurwright.picture.take.row import draw_lanes
from slurwright.picture.take.stage import clock_of, stages_of
from slurwright.picture.take.strip import wanted_columns, widths_of

STUDY = tune_study()


def flat(shapes: tuple[Shape, ...]) -> Iterator[Shape]:
    for shape in shapes:
        if isinstance(shape, Group):
            yield from flat(shape.shapes)
        else:
            yield shape


def texts(pictures: tuple[Picture, ...]) -> list[Text]:
    return [shape for picture in pictures for shape in flat(picture.shapes) if isinstance(shape, Text)]


def words(pictures: tuple[Picture, ...]) -> list[str]:
    return [text.words for text in texts(pictures)]


def groups(shapes: tuple[Shape, ...], css_class: str) -> list[Group]:
    return [shape for shape in shapes if isinstance(shape, Group) and shape.css_class == css_class]


def places(shapes: tuple[Shape, ...]) -> Iterator[tuple[float, float]]:
    for shape in flat(shapes):
        if isinstance(shape, Segment):
            yield from ((shape.x1, shape.y1), (shape.x2, shape.y2))
        elif isinstance(shape, Polyline):
            yield from shape.points
        elif isinstance(shape, Rect):
            yield from ((shape.x, shape.y), (shape.x + shape.width, shape.y + shape.height))
        elif isinstance(shape, Text | Circle):
            yield shape.x, shape.y


def test_a_good_take_has_nothing_bold_but_notes_that_are_out_and_no_words_at_slurs() -> None:
    take = good_take()
    drawn = take_drawings(take)
    out = [
        note for note in take.measure.notes if isinstance(note.cents, Figure) and abs(round(note.cents.value)) >= 10
    ]
    assert len([text for text in texts(drawn) if text.bold]) == len(out) > 0
    said = words(drawn)
    assert not {"missed", "+", "instead"} & set(said)
    assert not [one for one in said if "gap" in one or "split" in one or "back" in one]


def test_every_fault_is_said_once() -> None:
    said = words(take_drawings(faulty_take()))
    for wanted in (
        "gap 85 ms",
        "split G3, 74 ms",
        "scoop 48 c",
        "tongued?",
        "past it 39 c",
        "fell back",
        "slow 210 ms",
        "landed on B3",
        "? room",
        "? short",
        "missed",
        "+",
        "instead",
        "octave low",
        "went back to bar 5, and from there",
        "+62 ±1",
        "from 35 below",
    ):
        assert said.count(wanted) == 1, wanted


def test_what_is_badly_out_is_bold_and_underlined() -> None:
    drawn = take_drawings(faulty_take())
    at = {text.words: text for text in texts(drawn)}
    assert at["+21 ±2"].bold
    assert at["−14 ±1"].bold
    assert not at["+6 ±1"].bold
    lines = [shape for picture in drawn for shape in flat(picture.shapes) if isinstance(shape, Segment)]
    for figure, count in (("+21 ±2", 1), ("−14 ±1", 0)):
        text = at[figure]
        under = [line for line in lines if line.x1 == text.x and 0 < line.y1 - text.y < 1 and line.y1 == line.y2]
        assert len(under) == count, figure


def test_nothing_leaves_the_picture() -> None:
    for take in (good_take(), faulty_take()):
        for picture in take_drawings(take):
            for x, y in places(picture.shapes):
                assert -0.01 <= x <= picture.width_mm + 0.01
                assert -0.01 <= y <= picture.height_mm + 0.01


def test_the_same_take_is_drawn_alike() -> None:
    assert take_drawings(faulty_take()) == take_drawings(faulty_take())


def test_every_played_note_is_drawn_in_one_place() -> None:
    take = faulty_take()
    drawn = take_drawings(take)
    kinds = [note.played_as.value for note in take.measure.following.played]
    for kind in ("asked", "wrong", "octave", "extra"):
        assert sum(len(groups(picture.shapes, kind)) for picture in drawn) == kinds.count(kind)
    assert sum(len(groups(picture.shapes, "missed")) for picture in drawn) == 1


TURNS = st.lists(
    st.builds(
        Turn,
        asked=st.none() | st.integers(0, 26),
        cents=st.floats(-200, 200),
        semitones=st.just(57),
        length_s=st.none() | st.floats(0.03, 3.0),
        slur=st.sampled_from(["clean", "broke", "split", "fell back", "room"]),
    ),
    min_size=1,
    max_size=12,
).filter(lambda turns: any(turn.asked is not None for turn in turns))


def any_take(turns: list[Turn]) -> MeasuredTake:
    turns = [replace(turn, semitones=0) if turn.asked is not None else turn for turn in turns]
    asked = [(at, turn.asked) for at, turn in enumerate(turns) if turn.asked is not None]
    restarts = tuple(at for (_, before), (at, here) in pairwise(asked) if not before < here <= before + 2)
    missed = tuple(before + 1 for (_, before), (at, here) in pairwise(asked) if here == before + 2)
    return taken(STUDY, turns, missed=missed, restarts=restarts)


@settings(max_examples=40, deadline=None)
@given(TURNS)
def test_time_runs_to_the_right_and_starts_at_the_heads(turns: list[Turn]) -> None:
    scene = take_scene(any_take(turns))
    notes = scene.measure.following.played
    drawn: list[int] = []
    for stage in stages_of(scene.columns, wanted_columns(scene), widths_of(scene), width_mm=180.0):
        shapes, bottom = draw_lanes(scene, stage, top=0.0)
        assert all(y <= bottom for _, y in places(shapes))
        for run in scene.runs:
            clock = clock_of(scene, stage, run)
            assert list(clock.times_s) == sorted(clock.times_s)
            assert list(clock.places) == sorted(clock.places)
            assert all(stage.left - 1e-9 <= x <= stage.right + 1e-9 for x in clock.places)
            for index in scene.played(run, stage.columns):
                asked = notes[index].asked
                assert asked is not None
                assert clock.x(notes[index].onset_s) == pytest.approx(stage.x[asked])
                drawn.append(index)
    assert sorted(drawn) == [index for index, note in enumerate(notes) if note.asked is not None]


def test_a_whole_row_that_was_missed_says_so() -> None:
    turns = [Turn(0), *(Turn(asked) for asked in range(24, 27))]
    drawn = take_drawings(taken(STUDY, turns, missed=tuple(range(1, 24))), width_mm=100.0)
    assert words(drawn).count("missed") == 23
    assert len(drawn) > 3


def measure(**changes: object) -> SlurMeasure:
    return replace(good_take().measure.slurs[0], **changes)  # type: ignore[arg-type]


KINDS = {
    "clean": measure(),
    "broke": measure(outcome=SlurOutcome.BROKE),
    "hidden": measure(quality=Hidden(Veil.ROOM)),
    "tongued": measure(outcome=SlurOutcome.TONGUED, reasons=(Reason.TONGUE,)),
    "wrong": measure(outcome=SlurOutcome.WRONG_NOTE, reasons=(Reason.WRONG_NOTE,)),
    **{
        reason.value: measure(outcome=SlurOutcome.BROKE, reasons=(reason,))
        for reason in Reason
        if reason not in {Reason.TONGUE, Reason.WRONG_NOTE}
    },
}


@pytest.mark.parametrize("width", [4.0, 9.0, 25.0])
def test_no_two_outcomes_look_alike(width: float) -> None:
    drawn = {name: draw_arc(slur, (10.0, 8.0), (10.0 + width, 8.0)) for name, slur in KINDS.items()}
    assert len(set(drawn.values())) == len(drawn)
    for name, shapes in drawn.items():
        for x, y in places(shapes):
            assert 10.0 - 1.6 <= x <= 10.0 + width + 1.6, name
            assert 0.0 <= y <= 10.5, name


def test_a_gap_is_a_gap() -> None:
    shapes = draw_arc(KINDS["silence"], (10.0, 8.0), (30.0, 8.0))
    assert not [x for x, _ in places(shapes) if 17.5 < x < 22.5]


def test_a_broken_slur_is_heavier_than_one_that_only_scooped() -> None:
    def heaviest(slur: SlurMeasure) -> float:
        shapes = draw_arc(slur, (10.0, 8.0), (30.0, 8.0))
        return max(shape.stroke.width for shape in shapes if isinstance(shape, Polyline) and shape.stroke)

    scooped = measure(quality=Figure(0.6, 0.5, 0.7), reasons=(Reason.SCOOP,))
    assert heaviest(KINDS["clean"]) < heaviest(scooped) < heaviest(KINDS["silence"])


def test_the_key_explains_what_is_drawn_and_nothing_else() -> None:
    good = [t.words for t in key_block(take_scene(good_take()), 180.0).shapes if isinstance(t, Text)]
    faulty = [t.words for t in key_block(take_scene(faulty_take()), 180.0).shapes if isinstance(t, Text)]
    assert "a slur that spoke" in good
    for sign in ("a gap of silence", "tongued", "missed: it did not sound", "another note sounded"):
        assert sign in faulty
        assert sign not in good


def test_no_two_signs_of_the_key_look_alike() -> None:
    signs: dict[str, tuple[object, ...]] = {}
    drawn: list[Shape] = []
    for shape in key_block(take_scene(faulty_take()), 180.0).shapes[1:]:
        if isinstance(shape, Text) and shape.size == 2.5 and not shape.bold:
            x, y = next(places(tuple(drawn)))
            signs[shape.words] = tuple(
                (
                    type(one),
                    round(px - x, 2),
                    round(py - y, 2),
                    getattr(one, "stroke", None),
                    getattr(one, "fill", None),
                )
                for one in drawn
                for px, py in places((one,))
            )
            drawn = []
        else:
            drawn.append(shape)
    assert len(signs) > 15
    assert len(set(signs.values())) == len(signs)


@given(st.text("ab c", max_size=80), st.floats(5.0, 60.0))
def test_lines_hold_all_words_in_order(text: str, width: float) -> None:
    lines = wrapped(text, 2.5, width)
    assert " ".join(lines).split() == text.split()


def test_what_must_not_be_broken_stays_on_one_line() -> None:
    assert wrapped("play 3 min", 2.5, 5.0) == ("play", "3", "min")
    assert wrapped("play 3\N{NO-BREAK SPACE}min", 2.5, 5.0) == ("play", "3\N{NO-BREAK SPACE}min")

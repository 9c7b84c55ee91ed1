"""The chart of a horn: nothing missing, nothing torn apart, every kind of knowledge drawn otherwise."""

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise

import pytest

from slurwright.devices.packaged import load_familiarity, load_horn, load_priors
from slurwright.horn.learnt import ToneReading
from slurwright.horn.learnt.learn import learn
from slurwright.horn.learnt.predict import as_horn
from slurwright.jobs.readings import reading_named
from slurwright.picture.chart import ChartWords, chart
from slurwright.picture.chart_rows import draw_interval
from slurwright.picture.shapes import Circle, Group, Picture, Polyline, Rect, Segment, Shape, Text
from slurwright.pitch import SoundingPitch
from slurwright.plan.charted import ChartedNote, Knowledge, charted

SHEETS = {"a4": (210.0, 297.0), "a5": (148.0, 210.0)}
WORDS = ChartWords("old silver", "Euphonium · bass clef", "learnt from 1 tone, the last of 2026-01-09")


@cache
def notes_of(model: str) -> tuple[ChartedNote, ...]:
    tone = ToneReading(SoundingPitch.named("F3"), load_horn(model).settings[0].fingering, 3, -9.0, "monday")
    learnt = learn(load_horn(model), [tone], load_priors())
    return charted(learnt, as_horn(learnt), familiarity=load_familiarity())


def flat(shapes: Sequence[Shape]) -> Iterator[Shape]:
    for shape in shapes:
        if isinstance(shape, Group):
            yield from flat(shape.shapes)
        else:
            yield shape


def points(shape: Shape) -> Iterator[tuple[float, float]]:
    match shape:
        case Segment():
            yield from ((shape.x1, shape.y1), (shape.x2, shape.y2))
        case Polyline():
            yield from shape.points
        case Rect():
            yield from ((shape.x, shape.y), (shape.x + shape.width, shape.y + shape.height))
        case Circle() | Text():
            yield shape.x, shape.y


def blocks(pictures: Sequence[Picture]) -> list[Group]:
    return [
        shape
        for picture in pictures
        for shape in picture.shapes
        if isinstance(shape, Group) and shape.css_class == "note"
    ]


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("model", ["euphonium-4c", "trombone-f", "horn-double", "trumpet-b", "tuba-f-6"])
def test_every_way_is_drawn_once_and_on_the_sheet(model: str, sheet: str) -> None:
    notes = notes_of(model)
    width, height = SHEETS[sheet]
    reading = load_horn(model).readings[0]
    pictures = chart(notes, reading=reading, words=WORDS, width_mm=width, height_mm=height)
    drawn = blocks(pictures)
    assert len(drawn) == len([note for note in notes if note.ways])
    ways = [shape for block in drawn for shape in block.shapes if isinstance(shape, Group)]
    assert len(ways) == sum(len(note.ways) for note in notes)
    for picture in pictures:
        for shape in flat(picture.shapes):
            for x, y in points(shape):
                assert 4.0 < x < width - 4.0
                assert 4.0 < y < height - 4.0


def test_notes_run_down_from_the_highest() -> None:
    notes = notes_of("euphonium-4c")
    horn = load_horn("euphonium-4c")
    pictures = chart(notes, reading=reading_named("treble-b9", horn), words=WORDS, width_mm=210.0, height_mm=297.0)
    names = [block.title for block in blocks(pictures)]
    assert names[0] == "G6"
    assert names[-1] == "F♯2"
    assert "B♭4" in names
    assert "old silver: chart, sheet 1 of" in pictures[0].title
    assert "measured" in " ".join(picture.description for picture in pictures)


def test_the_normal_way_is_bold_and_no_other() -> None:
    pictures = chart(
        notes_of("euphonium-4c"), reading=load_horn("euphonium-4c").readings[0], words=WORDS, width_mm=210.0,
        height_mm=297.0,
    )  # fmt: skip
    for block in blocks(pictures):
        ways = [shape for shape in block.shapes if isinstance(shape, Group)]
        bold = [any(isinstance(shape, Text) and shape.bold for shape in way.shapes) for way in ways]
        assert bold == [way.css_class == "normal" for way in ways]
        assert bold.count(True) == 1


def test_no_note_is_covered_by_another() -> None:
    for width, height in SHEETS.values():
        pictures = chart(
            notes_of("horn-double"), reading=load_horn("horn-double").readings[0], words=WORDS, width_mm=width,
            height_mm=height,
        )  # fmt: skip
        for picture in pictures:
            lines = sorted(place for block in blocks([picture]) for place in fingerings([block]))
            for (x, y), (other_x, other_y) in pairwise(lines):
                assert x != other_x or other_y - y > 3.0


def fingerings(shapes: Sequence[Shape]) -> Iterator[tuple[float, float]]:
    for shape in flat(shapes):
        if isinstance(shape, Text) and shape.size == 2.4 and shape.anchor == "start":
            yield shape.x, shape.y


def test_kinds_of_knowledge_look_different_without_colour() -> None:
    looks = {knowledge: draw_interval(knowledge, -12.0, 0.0, 12.0, y=0.0) for knowledge in Knowledge}
    lines = [
        next(shape.stroke for shape in look if isinstance(shape, Segment) and shape.y1 == shape.y2)
        for look in looks.values()
    ]
    assert len(set(lines)) == 3
    marks = [[type(shape) for shape in look] + [getattr(look[-1], "fill", None)] for look in looks.values()]
    assert len({str(mark) for mark in marks}) == 3


@pytest.mark.parametrize(("mean", "tip"), [(70.0, 1), (-70.0, -1)])
def test_what_lies_beyond_the_scale_points_there(mean: float, tip: int) -> None:
    (arrow,) = [
        shape
        for shape in draw_interval(Knowledge.MEASURED, mean - 5, mean, mean + 5, y=0.0)
        if isinstance(shape, Polyline)
    ]
    xs = [x for x, _ in arrow.points]
    assert (max(xs) if tip > 0 else min(xs)) == arrow.points[1][0]


def test_the_same_horn_gives_the_same_chart() -> None:
    first, second = (
        chart(
            notes_of("trumpet-b"), reading=load_horn("trumpet-b").readings[0], words=WORDS, width_mm=148.0,
            height_mm=210.0,
        )
        for _ in range(2)
    )  # fmt: skip
    assert first == second

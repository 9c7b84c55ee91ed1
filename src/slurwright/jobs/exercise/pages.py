"""Exercises as pages for the stand: each with its name, how to play it, its notes, and the rest that follows it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from slurwright.formats.pages.request import PageRequest, Paper, RowLabel, WeakSlurMark
from slurwright.formats.pages.systems import EngravedSystem
from slurwright.formats.take_pages import LEFT_MM, RIGHT_MM, Placed, page_width_mm, write_take_pages
from slurwright.horn import HornKind
from slurwright.jobs.exercise.made import ExerciseSheet
from slurwright.jobs.words import CAUTIONS, clock_text, in_print, unbroken
from slurwright.picture.metrics import text_width
from slurwright.picture.shapes import Anchor, Segment, Shape, Stroke, Text
from slurwright.picture.take.blocks import Block, heading_block, words_block, wrapped
from slurwright.practice.exercise.values import Exercise, ExerciseKind
from slurwright.score import Part

__all__ = ["STAVES_FROM_MM", "STAVES_TO_MM", "exercise_pages", "exercise_requests"]

STAVES_FROM_MM, STAVES_TO_MM = LEFT_MM, RIGHT_MM
"""Where engraved staves start from the sheet's left edge, and end before its right edge [mm]."""
_NAME, _WORDS = 3.6, 2.8
_LEADING = 1.4
_RULE = Stroke(0.15, opacity=0.6)
_TOGETHER = 6
"""An exercise of so many systems at most is kept on one page."""


def exercise_requests(sheet: ExerciseSheet, *, paper: Paper = Paper.A4) -> tuple[PageRequest, ...]:
    """Ask for each exercise with its fingerings under the notes, and the slur marked where it stands in its bars.

    Args:
        sheet: the exercises.
        paper: the sheet of paper.
    """
    return tuple(
        PageRequest(
            part=_by_cells(exercise),
            title=exercise.title,
            labels={
                note: RowLabel(label, changed=not exercise.ways[note].normal and exercise.slur is not None)
                for note, label in exercise.labels.items()
            },
            weak=_marked(exercise, sheet.numbers),
            paper=paper,
        )
        for exercise in sheet.exercises
    )


def _marked(exercise: Exercise, numbers: Mapping[int, int]) -> tuple[WeakSlurMark, ...]:
    """Mark the slur in its bars by the number that it has on the pages of the part."""
    number = numbers.get(-1 if exercise.move is None else exercise.move)
    if exercise.slur is None or number is None or exercise.kind is not ExerciseKind.PASSAGE:
        return ()
    return (WeakSlurMark(number, *exercise.slur, ""),)


def _by_cells(exercise: Exercise) -> Part:
    """Let lines end where a fingering has been played through: a pattern takes two measures on each."""
    if exercise.slur is not None:
        return exercise.part
    measures = tuple(
        replace(measure, new_section=measure.index > 0 and measure.index % 2 == 0)
        for measure in exercise.part.measures
    )
    return replace(exercise.part, measures=measures)


def exercise_pages(
    sheet: ExerciseSheet, systems: Sequence[Sequence[EngravedSystem]], *, paper: Paper = Paper.A4
) -> tuple[str, ...]:
    """Draw exercises on pages, one SVG each.

    Args:
        sheet: the exercises.
        systems: each exercise, engraved.
        paper: the sheet of paper.
    """
    width = page_width_mm(paper)
    blocks = [Placed(heading_block(in_print(sheet.title), _subtitle(sheet), width))]
    blocks.append(Placed(words_block((*CAUTIONS[:1], *_order_words(sheet)), width)))
    for number, (exercise, drawn) in enumerate(zip(sheet.exercises, systems, strict=True), start=1):
        blocks += _placed(number, exercise, drawn, width)
    return write_take_pages(blocks, paper=paper, title=in_print(sheet.title))


def _subtitle(sheet: ExerciseSheet) -> str:
    times = f"play {clock_text(sheet.play_s)}, rest {clock_text(sheet.rest_s)}"
    return " · ".join((sheet.horn.name, sheet.reading.name, unbroken(times)))


def _order_words(sheet: ExerciseSheet) -> tuple[str, ...]:
    if any(exercise.move is not None for exercise in sheet.exercises):
        what = "positions" if sheet.horn.kind is HornKind.SLIDE else "fingerings"
        return (f"From easy to hard: normal {what} first, what helps when they do not hold last.",)
    return ()


def _placed(number: int, exercise: Exercise, systems: Sequence[EngravedSystem], width: float) -> list[Placed]:
    """The words over an exercise, and its systems under them."""
    together = len(systems) <= _TOGETHER
    placed = [Placed(_head(number, exercise, width))]
    last = len(systems) - 1
    for place, system in enumerate(systems):
        placed.append(Placed(Block((), system.height_mm, keep_with_next=together and place < last), system))
    return placed


def _head(number: int, exercise: Exercise, width: float) -> Block:
    shapes: list[Shape] = [Segment(0.0, 0.6, width, 0.6, _RULE)]
    y = 0.6 + _NAME * _LEADING
    times = f"{exercise.times} times, " if exercise.times > 1 else ""
    clock = f"{times}about {clock_text(exercise.play_s)}, then rest {clock_text(exercise.rest_s)}"
    shapes.append(Text(width, y, clock, size=_WORDS, anchor=Anchor.END))
    room = width - text_width(clock, _WORDS) - 6.0
    for place, line in enumerate(wrapped(in_print(f"{number}. {exercise.title}"), _NAME, room, bold=True)):
        y += _NAME * _LEADING if place else 0.0
        shapes.append(Text(0.0, y, line, size=_NAME, bold=True))
    for words in (exercise.purpose, exercise.how):
        for line in wrapped(in_print(words), _WORDS, width):
            y += _WORDS * _LEADING
            shapes.append(Text(0.0, y, line, size=_WORDS, italic=words == exercise.how))
    return Block(tuple(shapes), y + 2.0, keep_with_next=True)

"""The partial ladder: one look says why a slur is hard and why another fingering helps.

Across: the notes in time. Up: the partials, one rung each, at equal distances. Each way of a note is a mark on
the rung of its partial, lifted when it is sharp and dropped when it is flat. The chosen path runs through the
marks. A slur that keeps its partial stays on its rung; one that the lips must make steps to another rung, and the
step carries the interval that the lips cross without help from the horn. Where a slur is weak, a dashed line shows
the refingering that helps most and what risk it leaves.
"""

from collections.abc import Callable, Mapping, Sequence

from slurwright.picture.columns import Column, Rung, columns_of_bars, rows_of
from slurwright.picture.key import KEY_MM, draw_key
from slurwright.picture.marks import Mark, draw_label, draw_mark, place_marks
from slurwright.picture.path import draw_step, draw_step_words
from slurwright.picture.placing import Area, Placer, strip
from slurwright.picture.scene import Scene, describe, name_mark, steps_of
from slurwright.picture.scenery import draw_scenery
from slurwright.picture.shapes import Group, Picture, Shape
from slurwright.picture.shown import helping_choice, shown_ways
from slurwright.picture.stage import Stage, room_for_columns, stage_of
from slurwright.plan import Plan, SlurReport, Way
from slurwright.score import Line

__all__ = ["ladder"]

_MOST_STRETCH = 1.4
"""Columns of a short row are set so much wider at most (ours, by eye) [1]."""
_SQUEEZE = 1.06
"""A row may hold so much more than fits at full width, its columns being set narrower (ours, by eye) [1]."""
_RUNG_LINE_MM = 0.1


def ladder(
    line: Line,
    plan: Plan,
    ways: Sequence[Sequence[Way]],
    reports: Sequence[SlurReport],
    *,
    columns: Sequence[Column],
    rungs: Mapping[int, Rung],
    percent: Callable[[float], str],
    bars: tuple[int, int] | None = None,
    telling: bool = False,
    width_mm: float = 180.0,
) -> tuple[Picture, ...]:
    """Draw a plan as partial ladders, one picture a row, the first with the key to its signs.

    Args:
        line: the part's line.
        plan: the plan to draw.
        ways: for each sound, every way that sounds it.
        reports: one for each slurred move; the weak ones are numbered from 1 in their order.
        columns: what stands around each sound.
        rungs: names of the partials.
        percent: says a chance in words, as the pages do.
        bars: first and last printed bar number to draw; None for the whole part.
        telling: True leaves out rows without a weak slur or a fingering that departs from the normal one.
        width_mm: of each picture [mm].

    Raises:
        RequestError: no note begins in those bars.

    """
    weak = [report for report in reports if report.weak]
    found = {report.move: helping_choice(report) for report in weak}
    helps = {move: choice for move, choice in found.items() if choice is not None}
    scene = Scene(
        line=line,
        plan=plan,
        columns=columns,
        rungs=rungs,
        shown=shown_ways(line, plan, ways, helps),
        reports={report.move: report for report in reports},
        numbers={report.move: number for number, report in enumerate(weak, start=1)},
        helps=helps,
        percent=percent,
        slide=any(way.setting.slide_position is not None for way in plan.ways),
    )
    wanted = columns_of_bars(columns, bars)
    joined = {move.target for move in line.moves if move.slurred and move.target == move.source + 1}
    rows = rows_of(columns, wanted, _SQUEEZE * room_for_columns(width_mm), joined=joined)
    if telling:
        spots = {index for index, way in enumerate(plan.ways) if not way.normal}
        spots |= {line.moves[report.move].source for report in weak}
        rows = tuple(row for row in rows if spots.intersection(row))
    return tuple(_row(scene, row, width_mm=width_mm, with_key=row is rows[0]) for row in rows)


def _row(scene: Scene, row: range, *, width_mm: float, with_key: bool) -> Picture:
    wanted = sum(scene.columns[index].width_mm for index in row)
    stretch = min(_MOST_STRETCH, room_for_columns(width_mm) / wanted)
    partials = [partial for index in row for partial in scene.shown[index].partials]
    stage = stage_of(scene.columns, row, partials, width_mm=width_mm, stretch=stretch)
    placer = Placer(Area(stage.left + 0.5, stage.top, width_mm, stage.bottom))
    marks, extra = {}, {}
    for index in row:
        marks[index], extra[index] = place_marks(stage, index, scene.shown[index])
        placer.take([mark.area for mark in marks[index]])
    placer.take([Area(stage.left, y - _RUNG_LINE_MM, stage.right, y + _RUNG_LINE_MM) for y in stage.y.values()])
    steps = steps_of(scene, stage, marks)
    for step in steps:
        placer.take(strip(*step.shortened(), half_width=0.4))
    shapes: list[Shape] = [*draw_scenery(stage, scene.columns, scene.rungs)]
    shapes += [shape for step in steps for shape in draw_step(step)]
    shapes += [shape for step in steps for shape in draw_step_words(step, placer)]
    shapes += _notes(scene, stage, placer, marks, extra)
    if with_key:
        shapes += draw_key(top=stage.height_mm, slide=scene.slide, techniques=scene.techniques)
    return Picture(
        width_mm,
        stage.height_mm + (KEY_MM if with_key else 0.0),
        tuple(shapes),
        title=f"Partial ladder, {scene.bars_words(row)}",
        description=describe(scene, row),
    )


def _notes(
    scene: Scene,
    stage: Stage,
    placer: Placer,
    marks: Mapping[int, Sequence[Mark]],
    extra: Mapping[int, Sequence[Mark]],
) -> list[Group]:
    """Marks with their fingerings: first all that must stand, then those that find room."""
    drawn: dict[tuple[int, int], tuple[Shape, ...]] = {}
    for chosen in (True, False):
        for index in stage.columns:
            for place, mark in enumerate(marks[index]):
                if mark.chosen is chosen:
                    drawn[index, place] = (*draw_mark(mark), *draw_label(mark, placer, may_drop=False))
    for index in stage.columns:
        for place, mark in enumerate(extra[index], start=len(marks[index])):
            if placer.cover([mark.area]) > 0.0:
                continue
            label = draw_label(mark, placer, may_drop=True)
            if label:
                placer.take([mark.area])
                drawn[index, place] = (*draw_mark(mark), *label)
    return [
        Group(drawn[index, place], title=name_mark(scene, index, mark), css_class="chosen" if mark.chosen else "way")
        for index in stage.columns
        for place, mark in enumerate((*marks[index], *extra[index]))
        if (index, place) in drawn
    ]

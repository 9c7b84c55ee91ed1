"""A player's progress as pages: what is said of it, and a small panel for each slur and each note."""

import re
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from slurwright.evidence.progress.values import NoteCurve, SlurCurve, SlurProgress, WeekCount
from slurwright.formats.pages.request import Paper
from slurwright.formats.take_pages import Placed, page_width_mm, write_take_pages
from slurwright.jobs.progress.gathered import ProgressAnswer
from slurwright.jobs.progress.words import (
    HOW_TO_READ,
    NOTHING_YET,
    chance_text,
    how_text,
    note_title,
    note_verdict,
    sections_of,
    slur_title,
    slur_verdict,
)
from slurwright.jobs.take.words import counted
from slurwright.jobs.words import CAUTIONS, cents_text, in_print
from slurwright.picture.curves import CurveLine, CurveScale, Dot, Panel, draw_row
from slurwright.picture.shapes import Text
from slurwright.picture.take.blocks import Block, heading_block, words_block

__all__ = ["progress_pages"]

_ABREAST, _GAP_MM = 3, 6.0
_MOST_LINES = 4
_MOST_PANELS = 48
_HEADING = 3.4
_LEAST_CENTS, _MOST_CENTS = 20.0, 60.0
_MINUS = re.compile(r"(?<!\w)-(?=\d)")


def progress_pages(answer: ProgressAnswer, *, paper: Paper = Paper.A4) -> tuple[str, ...]:
    """Draw a player's progress on pages, one SVG each.

    Args:
        answer: how the player got on.
        paper: the sheet.
    """
    width = page_width_mm(paper)
    title = f"Progress: {answer.part}" if answer.part else "Progress"
    blocks = [Placed(heading_block(_printed(title), _printed(_subtitle(answer)), width))]
    sections = sections_of(answer)
    if not sections:
        blocks.append(Placed(words_block([NOTHING_YET], width)))
    for section in sections:
        said = [_printed(sentence) for sentence in section.sentences]
        blocks += [
            Placed(words_block(part, width, heading=section.heading if not place else "", sign="–"))
            for place, part in enumerate(_in_parts(said))
        ]
    blocks += _slur_blocks(answer, width)
    blocks += _note_blocks(answer, width)
    blocks.append(
        Placed(words_block((*HOW_TO_READ, *answer.progress.notices, CAUTIONS[0]), width, heading="How to read it"))
    )
    return write_take_pages(blocks, paper=paper, title=_printed(f"{title}, {answer.today.isoformat()}"))


_PART = 14


def _in_parts(said: Sequence[str]) -> Iterator[Sequence[str]]:
    """Share a long list out, so that it can go on overleaf."""
    for start in range(0, len(said), _PART):
        yield said[start : start + _PART]


def _printed(words: str) -> str:
    return _MINUS.sub("−", in_print(words))


def _subtitle(answer: ProgressAnswer) -> str:
    since = f"since {answer.since.isoformat()}" if answer.since else ""
    whose = ", ".join(answer.horns.values())
    attempts = counted(answer.attempts, "attempt")
    return " · ".join(filter(None, (answer.player.name, whose, attempts, since, answer.today.isoformat())))


def _slur_blocks(answer: ProgressAnswer, width: float) -> Iterator[Placed]:
    least = answer.table.slurs.least_attempts
    shown = [slur for slur in answer.progress.slurs if slur.tried >= least][:_MOST_PANELS]
    if not shown:
        return
    days = [point.day for slur in shown for curve in slur.curves for point in curve.curve]
    scale = CurveScale(min(days), max(days), 0.0, 1.0, ((0.0, "0"), (0.5, "50"), (1.0, "100 %")))
    panels = [_slur_panel(slur, answer, scale) for slur in shown]
    yield from _rows("Slurs: how many of a hundred speak, week by week", panels, scale, width)


def _slur_panel(slur: SlurProgress, answer: ProgressAnswer, scale: CurveScale) -> Panel:
    horn = f"{answer.horns[slur.horn]}: " if len(answer.horns) > 1 else ""
    verdict = slur_verdict(slur.curves[0], today=answer.today, least=answer.table.slurs.least_attempts)
    return Panel(
        title=_printed(slur_title(slur)),
        said=_printed(f"{horn}{verdict}"),
        lines=tuple(_slur_line(curve, scale) for curve in slur.curves[:_MOST_LINES]),
    )


def _slur_line(curve: SlurCurve, scale: CurveScale) -> CurveLine:
    points = ((point.day, point.value.value, point.value.low, point.value.high) for point in curve.curve)
    now = chance_text(curve.change.end.value)
    drop = "; to drop" if curve.versus is not None and curve.versus.drop else ""
    return CurveLine(
        points=tuple(points),
        dots=tuple(_week_dot(week, scale) for week in curve.weeks),
        words=_printed(f"{how_text(curve)}: {now}, {curve.spoke} of {curve.tried} spoke{drop}"),
    )


def _week_dot(week: WeekCount, scale: CurveScale) -> Dot:
    thursday = week.monday + timedelta(days=3)
    day = min(scale.last, max(scale.first, thursday))
    return Dot(day, week.spoke / week.tried, float(week.tried))


def _note_blocks(answer: ProgressAnswer, width: float) -> Iterator[Placed]:
    least = answer.table.notes.least_takes
    shown = sorted((note for note in answer.progress.notes if len(note.points) >= least), key=_by_use)[:_MOST_PANELS]
    if not shown:
        return
    shown.sort(key=lambda note: (note.way.sounding.midi, note.way.fingering))
    ends = [abs(end) for note in shown for point in note.curve for end in (point.value.low, point.value.high)]
    reach = min(_MOST_CENTS, max(_LEAST_CENTS, 10.0 * -(-max(ends) // 10.0)))
    days = [day for note in shown for day in _note_days(note)]
    marks = tuple((cents, _printed(cents_text(cents))) for cents in (-reach, -reach / 2, 0.0, reach / 2, reach))
    scale = CurveScale(min(days), max(days), -reach, reach, marks, target=0.0)
    panels = [
        Panel(
            _printed(note_title(note)),
            _printed(note_verdict(note, today=answer.today)),
            (_note_line(note),),
        )
        for note in shown
    ]
    yield from _rows("Notes: cents against their targets, what whole takes were off taken out", panels, scale, width)


def _by_use(note: NoteCurve) -> int:
    return -len(note.points)


def _note_days(note: NoteCurve) -> Iterator[date]:
    yield from (point.day for point in note.curve)
    yield from (point.day for point in note.points)


def _note_line(note: NoteCurve) -> CurveLine:
    times = sum(point.times for point in note.points)
    takes = counted(len(note.points), "take")
    return CurveLine(
        points=tuple((point.day, point.value.value, point.value.low, point.value.high) for point in note.curve),
        dots=tuple(Dot(point.day, point.cents.value) for point in note.points),
        words=f"{counted(times, 'note')} in {takes}",
    )


def _rows(heading: str, panels: Sequence[Panel], scale: CurveScale, width: float) -> Iterator[Placed]:
    """Set panels side by side, row by row."""
    each = (width - (_ABREAST - 1) * _GAP_MM) / _ABREAST
    yield Placed(
        Block((Text(0.0, _HEADING, heading, size=_HEADING, bold=True),), _HEADING * 1.2, keep_with_next=True)
    )
    for start in range(0, len(panels), _ABREAST):
        yield Placed(draw_row(panels[start : start + _ABREAST], scale, width_mm=each, step_mm=each + _GAP_MM))

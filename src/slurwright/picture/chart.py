"""A horn's chart: every note of its range, every way, where each sits and how well that is known.

Sheets for the stand, or to keep in the instrument's case. Notes run down the columns as they do down a staff, highest
first. Each way is one line: fingering, partial, a mark at its mean on a scale of cents with the interval that holds
it in nine cases of ten, and the mean as a figure. The mark and the line of the interval say together where the figure
comes from, so that neither colour nor grey is needed.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slurwright.picture.chart_key import KEY_MM, draw_chart_key
from slurwright.picture.chart_rows import HEAD_MM, ROWS_MM, WIDTH_MM, draw_block, draw_column_head
from slurwright.picture.columns import pitch_words
from slurwright.picture.metrics import text_width
from slurwright.picture.shapes import Anchor, Picture, Segment, Shape, Stroke, Text, moved
from slurwright.pitch import Reading
from slurwright.plan.charted import ChartedNote

__all__ = ["ChartWords", "chart"]

_TITLE_MM = 14.0
_MARGIN_MM = 9.0
_GAP_MM = 4.0
_BLOCK_GAP_MM = 0.9
_SMALL = 2.3


@dataclass(frozen=True, slots=True)
class ChartWords:
    """What stands around a chart."""

    title: str
    """The player's name for the horn."""
    subtitle: str
    """What it is and how it is read."""
    learnt: str
    """From how many tones, and when the last was measured."""
    held: str = "fingering"
    """"position" on a slide."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where on a sheet the columns stand [mm]."""

    columns: tuple[float, ...]
    """Left side of each."""
    top: float
    bottom: float
    row: float = ROWS_MM[-1]
    """Height of one way."""

    @property
    def room(self) -> float:
        """Height of a column [mm]."""
        return self.bottom - self.top

    def height(self, note: ChartedNote) -> float:
        """Height of a note with its ways [mm]."""
        return len(note.ways) * self.row + _BLOCK_GAP_MM


def chart(
    notes: Sequence[ChartedNote], *, reading: Reading, words: ChartWords, width_mm: float, height_mm: float
) -> tuple[Picture, ...]:
    """Draw a chart, one picture a sheet.

    Args:
        notes: lowest first, those without ways left out.
        reading: how the player reads.
        words: what stands around it.
        width_mm: of the sheet [mm].
        height_mm: of the sheet [mm].
    """
    blocks = [note for note in reversed(notes) if note.ways]
    frame = _roomy(blocks, _frame(width_mm, height_mm))
    sheets = _laid_out(blocks, frame)
    return tuple(
        Picture(
            width_mm,
            height_mm,
            (
                *_around(words, width_mm, number, len(sheets)),
                *_columns(sheet, frame, reading, words),
                *draw_chart_key(_MARGIN_MM, height_mm - _MARGIN_MM - KEY_MM + 4.0, width_mm - 2 * _MARGIN_MM),
            ),
            title=f"{words.title}: chart, sheet {number} of {len(sheets)}",
            description=_described(sheet, reading),
        )
        for number, sheet in enumerate(sheets, start=1)
    )


def _frame(width_mm: float, height_mm: float) -> _Frame:
    room = width_mm - 2 * _MARGIN_MM
    count = max(1, int((room + _GAP_MM) // (WIDTH_MM + _GAP_MM)))
    step = WIDTH_MM + (room - count * WIDTH_MM) / max(1, count - 1) if count > 1 else WIDTH_MM
    left = _MARGIN_MM if count > 1 else (width_mm - WIDTH_MM) / 2
    return _Frame(
        tuple(left + place * step for place in range(count)),
        _MARGIN_MM + _TITLE_MM + HEAD_MM,
        height_mm - _MARGIN_MM - KEY_MM,
    )


def _roomy(blocks: Sequence[ChartedNote], frame: _Frame) -> _Frame:
    """Set the lines as far apart as one sheet allows; where one does not suffice, as close as can be read."""
    for row in ROWS_MM:
        tried = replace(frame, row=row)
        if len(_filled(blocks, tried, tried.room)) <= len(frame.columns):
            return tried
    return frame


def _laid_out(blocks: Sequence[ChartedNote], frame: _Frame) -> list[list[list[ChartedNote]]]:
    """Share notes out to sheets and columns: no note is torn apart, and the last sheet's columns end alike."""
    per_sheet = len(frame.columns)
    columns = _filled(blocks, frame, frame.room)
    full = (len(columns) - 1) // per_sheet * per_sheet
    last = [note for column in columns[full:] for note in column]
    columns = columns[:full] + _evenly(last, frame)
    return [columns[at : at + per_sheet] for at in range(0, len(columns), per_sheet)]


def _evenly(blocks: Sequence[ChartedNote], frame: _Frame) -> list[list[ChartedNote]]:
    """Fill the columns of one sheet to the least height that holds all of it."""
    height = sum(map(frame.height, blocks)) / len(frame.columns)
    while height < frame.room:
        columns = _filled(blocks, frame, height)
        if len(columns) <= len(frame.columns):
            return columns
        height += frame.row / 4
    return _filled(blocks, frame, frame.room)


def _filled(blocks: Sequence[ChartedNote], frame: _Frame, room: float) -> list[list[ChartedNote]]:
    columns: list[list[ChartedNote]] = [[]]
    used = 0.0
    for note in blocks:
        if columns[-1] and used + frame.height(note) > room + 1e-9:
            columns.append([])
            used = 0.0
        columns[-1].append(note)
        used += frame.height(note)
    return columns


def _columns(
    sheet: Sequence[Sequence[ChartedNote]], frame: _Frame, reading: Reading, words: ChartWords
) -> list[Shape]:
    shapes: list[Shape] = []
    for left, notes in zip(frame.columns, sheet, strict=False):
        y = frame.top
        for note in notes:
            name = _name(note, reading)
            shapes.append(moved(draw_block(note, name, row_mm=frame.row), left, y))
            y += frame.height(note)
        bottom = y - _BLOCK_GAP_MM
        shapes += [moved(shape, left, frame.top) for shape in draw_column_head(words.held, bottom - frame.top)]
    return shapes


def _name(note: ChartedNote, reading: Reading) -> str:
    return pitch_words(reading.transposition.to_written(note.sounding))


def _around(words: ChartWords, width_mm: float, number: int, count: int) -> list[Shape]:
    """Title, what it is, and from what it was learnt."""
    right = width_mm - _MARGIN_MM
    y = _MARGIN_MM + 4.2
    shapes: list[Shape] = [
        Text(_MARGIN_MM, y, words.title, size=5.0, bold=True),
        Text(_MARGIN_MM, y + 4.2, words.subtitle, size=_SMALL),
        Segment(_MARGIN_MM, y + 6.0, right, y + 6.0, Stroke(0.3)),
    ]
    sheet = f"sheet {number} of {count}" if count > 1 else ""
    if text_width(words.title, 5.0, bold=True) + text_width(sheet, _SMALL) < width_mm - 2 * _MARGIN_MM:
        shapes.append(Text(right, y, sheet, size=_SMALL, anchor=Anchor.END))
    if text_width(words.subtitle + words.learnt, _SMALL) + 6.0 < width_mm - 2 * _MARGIN_MM:
        shapes.append(Text(right, y + 4.2, words.learnt, size=_SMALL, anchor=Anchor.END))
    else:
        shapes.append(Text(_MARGIN_MM, y + 9.0, words.learnt, size=_SMALL))
    return [shape for shape in shapes if not isinstance(shape, Text) or shape.words]


def _described(sheet: Sequence[Sequence[ChartedNote]], reading: Reading) -> str:
    notes = [note for column in sheet for note in column]
    parts = []
    for note in notes:
        best = note.ways[0]
        mean, low, high = (
            round(cents) for cents in (best.tendency.mean_cents, best.tendency.low_cents, best.tendency.high_cents)
        )
        parts.append(
            f"{_name(note, reading)} {best.way.fingering}: {mean:+d} cents ({low:+d} to {high:+d}, "
            f"{best.knowledge.value})"
        )
    return "; ".join(parts)

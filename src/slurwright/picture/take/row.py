"""One row of a take: for each run through it slurs, pitch, figures and loudness, one under another."""

from collections.abc import Sequence

from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import SlurMeasure, SlurOutcome
from slurwright.picture.lettering import draw_pitch
from slurwright.picture.metrics import CAP_HEIGHT, text_width
from slurwright.picture.placing import Area, Placer
from slurwright.picture.shapes import Group, Polyline, Segment, Shape, Stroke, Text
from slurwright.picture.take.arcs import draw_arc
from slurwright.picture.take.cents import CENTS_LANE_MM, NOTICED_CENTS, WRONG_CENTS, draw_cents
from slurwright.picture.take.level import LEVEL_LANE_MM, draw_level
from slurwright.picture.take.scene import Run, SlurSaid, TakeScene
from slurwright.picture.take.stage import BAR_AHEAD_MM, TakeStage, clock_of, stage_of_run

__all__ = ["HEAD_MM", "draw_lanes", "draw_names", "draw_run", "runs_on"]

HEAD_MM = 8.0
"""Height of the note names over a row without notation [mm]."""
_ARCS_MM, _ARCS_AND_WORDS_MM = 6.2, 11.0
"""Height of the lane of slurs, without words and with them [mm]."""
_FIGURES_MM = 4.6
"""Height of one line of figures with its air [mm]."""
_LINE_MM = 2.6
_BETWEEN_MM = 1.0
_RUN_GAP_MM = 3.0
_RUN_HEAD_MM = 3.6
_NAMES_MM = 2.8
_BAR = Stroke(0.2, opacity=0.55)
_FIGURE_SIZE = 2.2
_WORD_SIZE = 2.2
_ARC_AIR_MM = 0.9
_TOUCH_MM2 = 0.4
"""Words of a slur may cover so much of what is drawn; more, and a shorter word is tried [mm2]."""
_EDGE_MM = 2.5
"""No bar line is drawn nearer to the left edge of the lanes [mm]."""


def draw_names(scene: TakeScene, stage: TakeStage, *, top: float) -> tuple[Shape, ...]:
    """Write bar numbers and note names over a row.

    Args:
        scene: the take.
        stage: the row.
        top: upper edge [mm].
    """
    shapes: list[Shape] = []
    for column in stage.columns:
        words = scene.columns[column]
        if words.starts_bar or column == stage.columns.start:
            x = stage.x[column] - BAR_AHEAD_MM
            shapes.append(Segment(x, top + 1.0, x, top + HEAD_MM, _BAR))
            shapes.append(Text(x + 0.6, top + 2.8, words.bar_words, size=2.3, italic=True))
        shapes += draw_pitch(words.name, stage.x[column] - 0.9, top + HEAD_MM - 1.4, size=2.7)
    return tuple(shapes)


def runs_on(scene: TakeScene, stage: TakeStage) -> tuple[Run, ...]:
    """List the runs that go through a row, in order of time; those too that passed over all of it."""
    return tuple(run for run in scene.runs if scene.played(run, stage.columns) or scene.missed(run, stage.columns))


def draw_run(
    scene: TakeScene, stage: TakeStage, run: Run, *, top: float, named: bool = False
) -> tuple[tuple[Shape, ...], float]:
    """Draw one run through a row.

    Args:
        scene: the take.
        stage: the row.
        run: the run.
        top: upper edge [mm].
        named: True writes the note names over it, where other lanes stand between it and the notes.

    Returns:
        The shapes, and how far down they reach [mm].
    """
    shapes: list[Shape] = []
    y = top
    if _starts_here(scene, stage, run):
        shapes += _run_head(scene, stage, run, y)
        y += _RUN_HEAD_MM
    stage = stage_of_run(scene, stage, run)
    if named:
        shapes += _small_names(scene, stage, y)
        y += _NAMES_MM
    drawn, y = _lanes(scene, stage, run, y)
    return (*shapes, *drawn), y


def draw_lanes(scene: TakeScene, stage: TakeStage, *, top: float) -> tuple[tuple[Shape, ...], float]:
    """Draw every run through a row.

    Args:
        scene: the take.
        stage: the row.
        top: upper edge [mm].

    Returns:
        The shapes, and how far down they reach [mm].
    """
    shapes: list[Shape] = []
    y = top
    for place, run in enumerate(runs_on(scene, stage)):
        drawn, y = draw_run(scene, stage, run, top=y + (_RUN_GAP_MM if place else 0.0), named=place > 0)
        shapes += drawn
    return tuple(shapes), y


def _small_names(scene: TakeScene, stage: TakeStage, top: float) -> list[Shape]:
    return [
        shape
        for column in stage.columns
        if stage.left <= stage.x[column] < stage.right
        for shape in draw_pitch(scene.columns[column].name, stage.x[column] - 0.9, top + _NAMES_MM - 0.4, size=2.2)
    ]


def _starts_here(scene: TakeScene, stage: TakeStage, run: Run) -> bool:
    here = scene.played(run, stage.columns)
    asked = [index for index in run.played if scene.measure.following.played[index].asked is not None]
    return run.number > 1 and bool(here) and here[0] == asked[0]


def _run_head(scene: TakeScene, stage: TakeStage, run: Run, top: float) -> list[Shape]:
    """Where the player went back or jumped: an arrow at the note that they went to."""
    notes = scene.measure.following.played
    first = notes[scene.played(run, stage.columns)[0]].asked or 0
    before = next(
        (notes[at].asked for at in range(run.played.start - 1, -1, -1) if notes[at].asked is not None), None
    )
    ahead = before is not None and first > before
    x, y = stage.x[first], top + 2.2
    bar = scene.columns[first].bar
    words = f"{'jumped ahead' if ahead else 'went back'} to bar {bar}, and from there"
    turn = ((x + 4.0, y - 1.2), (x, y - 1.2), (x, y + 0.6))
    tip = Polyline(((x - 0.8, y + 0.2), (x + 0.8, y + 0.2), (x, y + 1.6)), None, closed=True, filled=True)
    return [Polyline(turn, Stroke(0.45)), tip, Text(x + 4.8, y - 0.4, words, size=2.3, bold=True)]


def _lanes(scene: TakeScene, stage: TakeStage, run: Run, top: float) -> tuple[list[Shape], float]:
    clock = clock_of(scene, stage, run)
    placer = Placer(Area(stage.left, top, stage.right + 3.0, top + 200.0))
    shapes: list[Shape] = []
    spoken = [said for slur, said in scene.slurs_of(run) if _ends(scene, stage, slur, top) is not None and said.words]
    cents_top = top + (_ARCS_AND_WORDS_MM if spoken else _ARCS_MM)
    shapes += _slurs(scene, stage, run, base=cents_top - 1.9, placer=placer)
    shapes += draw_cents(scene, stage, run, clock, top=cents_top)
    shapes += _bar_lines(stage, cents_top)
    figures_top = cents_top + CENTS_LANE_MM
    figures = _figures(scene, stage, run, top=figures_top, placer=placer)
    shapes += figures
    lowest = max((shape.y for shape in figures if isinstance(shape, Text)), default=figures_top)
    level_top = max(figures_top + _FIGURES_MM, lowest + _FIGURES_MM - _LINE_MM)
    shapes += draw_level(scene, stage, clock, top=level_top)
    return shapes, level_top + LEVEL_LANE_MM + _BETWEEN_MM


def _bar_lines(stage: TakeStage, top: float) -> list[Shape]:
    bottom = top + CENTS_LANE_MM
    return [
        Segment(x, top, x, bottom, _BAR)
        for x in stage.bar_lines
        if stage.left + _EDGE_MM < x < stage.right - _EDGE_MM / 2.0
    ]


def _slurs(scene: TakeScene, stage: TakeStage, run: Run, *, base: float, placer: Placer) -> list[Shape]:
    """The arcs of a run on a row, then their words over them where there is room."""
    found = [
        (slur, said, ends)
        for slur, said in scene.slurs_of(run)
        if (ends := _ends(scene, stage, slur, base)) is not None
    ]
    shapes: list[Shape] = []
    arcs = {slur.first: draw_arc(slur, *ends) for slur, _, ends in found}
    for slur, said, _ in found:
        arc = arcs[slur.first]
        shapes.append(Group(arc, title=said.sentence, css_class=slur.outcome.value.replace(" ", "-")))
    for slur, said, (start, end) in found:
        shapes += _words(slur, said, (start, end), _top_of(arcs[slur.first]), placer)
    return shapes


def _ends(
    scene: TakeScene, stage: TakeStage, slur: SlurMeasure, base: float
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Both ends of a slur's arc on a row; one that comes from the row before, or goes on, ends at the edge."""
    notes = scene.measure.following.played
    first, second = notes[slur.first].asked, notes[slur.second].asked
    if first is None or second is None or (first not in stage.x and second not in stage.x):
        return None
    if second not in stage.x:
        return (stage.x[first] + _ARC_AIR_MM, base), (stage.right, base)
    if first not in stage.x:
        return None
    return (stage.x[first] + _ARC_AIR_MM, base), (stage.x[second] - _ARC_AIR_MM, base)


def _top_of(shapes: Sequence[Shape]) -> float:
    """The highest point of a sign [mm]."""
    return min(y for shape in shapes if isinstance(shape, Polyline) for _, y in shape.points)


def _words(
    slur: SlurMeasure,
    said: SlurSaid,
    ends: tuple[tuple[float, float], tuple[float, float]],
    top: float,
    placer: Placer,
) -> list[Shape]:
    """A slur's words over its arc, in the first line that is free."""
    bold = slur.outcome in {SlurOutcome.BROKE, SlurOutcome.WRONG_NOTE}
    middle = (ends[0][0] + ends[1][0]) / 2.0
    lowest = min(top - 0.9, ends[0][1] - 3.4)
    for words in filter(None, (said.words, said.short)):
        candidates = _beside(words, middle, lowest, bold=bold)
        index, cover = placer.best(candidates)
        # A short word of a broken slur stands in any case; the sign of a lesser fault says enough by itself.
        if cover <= _TOUCH_MM2 or (bold and words == said.short):
            area = candidates[index][0]
            placer.take(candidates[index])
            return [Text(area.left + 0.4, area.bottom - 0.5, words, size=_WORD_SIZE, bold=bold)]
    return []


def _beside(words: str, middle: float, lowest: float, *, bold: bool) -> list[list[Area]]:
    """Where words may stand over an arc: on one of three lines, in its middle or a little aside."""
    width = text_width(words, _WORD_SIZE, bold=bold)
    candidates = []
    for lift in (0.0, 2.6, 5.0):
        for aside in (0.0, -0.35 * width, 0.35 * width):
            y, left = lowest - lift, middle + aside - width / 2.0
            candidates.append([Area(left - 0.4, y - CAP_HEIGHT * _WORD_SIZE - 0.3, left + width + 0.4, y + 0.5)])
    return candidates


def _figures(scene: TakeScene, stage: TakeStage, run: Run, *, top: float, placer: Placer) -> list[Shape]:
    """The figure under each note, two lines deep where they stand close; bold where the note is noticeably out."""
    shapes: list[Shape] = []
    measured = scene.measured
    here = scene.played(run, stage.columns)
    for index in here:
        note = scene.measure.following.played[index]
        said = scene.notes[index]
        if note.asked is None:
            continue
        cents = measured[index].cents if index in measured else None
        out = abs(round(cents.value)) if isinstance(cents, Figure) and note.played_as is PlayedAs.ASKED else 0
        bold = out >= NOTICED_CENTS
        start, end = stage.x[note.asked] - 0.6, stage.end_of(note.asked) - 0.6
        words, area = _fitting((said.figure, said.short), start, end, top, bold=bold, placer=placer)
        if words:
            placer.take([area])
            shapes.append(Text(area.left, area.bottom, words, size=_FIGURE_SIZE, bold=bold))
            if out >= WRONG_CENTS:
                y = area.bottom + 0.55
                shapes.append(Segment(area.left, y, area.right - 0.5, y, Stroke(0.3)))
    for index in here:
        note, said = scene.measure.following.played[index], scene.notes[index]
        if note.asked is not None and said.besides:
            shapes += _besides(said.besides, stage.x[note.asked] - 0.6, top, placer)
    return shapes


def _fitting(
    choices: Sequence[str], start: float, end: float, top: float, *, bold: bool, placer: Placer
) -> tuple[str, Area]:
    """The fullest words that fit under a note, in the upper line or the lower one."""
    for words in choices:
        width = text_width(words, _FIGURE_SIZE, bold=bold)
        for line in range(2):
            y = top + 2.9 + _LINE_MM * line
            area = Area(start, y - CAP_HEIGHT * _FIGURE_SIZE, start + width + 0.5, y)
            if (width <= end - start + 0.3 or line) and placer.cover([area]) <= 0.0:
                return words, area
    words = choices[-1]
    y = top + 2.9
    return words, Area(start, y - CAP_HEIGHT * _FIGURE_SIZE, start + text_width(words, _FIGURE_SIZE, bold=bold), y)


def _besides(words: str, x: float, top: float, placer: Placer) -> list[Shape]:
    size = 1.9
    width = text_width(words, size)
    for line in (1, 0):
        y = top + 2.9 + _LINE_MM * line
        area = Area(x, y - CAP_HEIGHT * size, x + width + 0.4, y)
        if placer.cover([area]) <= 0.0:
            placer.take([area])
            return [Text(x, y, words, size=size, italic=True)]
    return []

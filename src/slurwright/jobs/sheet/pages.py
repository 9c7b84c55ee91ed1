"""A practice sheet as pages for the stand: each slur with its two notes, what to do with it, boxes to tick, rests.

The first pages are the plan in its order; the notes of the daily lip slurs follow on pages of their own.
"""

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby

from numpy.random import default_rng

from slurwright.formats.pages.look import PAPER_SIZES_MM
from slurwright.formats.pages.request import PageRequest, Paper, RowLabel
from slurwright.formats.pages.systems import EngravedSystem
from slurwright.formats.take_pages import LEFT_MM, Placed, page_width_mm, write_take_pages
from slurwright.horn import Horn
from slurwright.jobs.exercise.made import ExerciseSheet
from slurwright.jobs.sheet.words import (
    coming_words,
    item_how,
    item_title,
    metre_of,
    played_how,
    rest_words,
    risk_words,
    sheet_aim,
    sheet_times,
    target_place,
)
from slurwright.jobs.words import CAUTIONS, clock_text, in_print, unbroken
from slurwright.picture.metrics import text_width
from slurwright.picture.shapes import Anchor, Rect, Segment, Shape, Stroke, Text, moved
from slurwright.picture.take.blocks import Block, heading_block, words_block, wrapped
from slurwright.plan import Way, ways_of
from slurwright.plan.familiar import Familiarity
from slurwright.practice.exercise.make import daily_lip_slurs
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.exercise.score import Played, written_part
from slurwright.practice.sheet.targets import Target
from slurwright.practice.sheet.values import ItemKind, KeptPlan, SheetItem
from slurwright.score.dynamics import mark_of_level

__all__ = ["lip_slurs_of", "sheet_pages", "slur_requests", "slurs_end_mm"]

_STAFF_MM = 56.0
"""Width of the two notes of a slur [mm]."""
_ASIDE_MM = 62.0
"""Where the words beside them start, from the left margin [mm]."""
_NAME, _WORDS, _SMALL = 3.4, 2.8, 2.4
_LEADING = 1.4
_BOX, _BOX_GAP, _SET_GAP = 3.4, 0.8, 2.4
_REST_MM = 4.4
_THIN, _RULE, _FRAME = Stroke(0.2), Stroke(0.15, opacity=0.6), Stroke(0.3)
_HALF, _DOTTED_QUARTER = Fraction(2), Fraction(3, 2)

_Key = tuple[int | None, bool]
"""Which target a group of items is about, and whether they are its passages."""


def slurs_end_mm(paper: Paper) -> float:
    """Say where the staves of slurs end, from the sheet's right edge [mm].

    Args:
        paper: the sheet of paper.
    """
    return PAPER_SIZES_MM[paper][0] - LEFT_MM - _STAFF_MM


def slur_requests(plan: KeptPlan, horn: Horn, *, familiarity: Familiarity, paper: Paper) -> dict[int, PageRequest]:
    """Ask for the two notes of each slur of a sheet, with their fingerings.

    Args:
        plan: the sheet.
        horn: its horn.
        familiarity: how ways are ordered.
        paper: the sheet of paper.

    Returns:
        By index into the sheet's targets; a slur that this horn does not have is left out.
    """
    found = {}
    for index, target in enumerate(plan.sheet.targets):
        ways = _ways(target, horn, familiarity)
        if ways is not None:
            found[index] = _request(plan, target, ways, paper)
    return found


def _ways(target: Target, horn: Horn, familiarity: Familiarity) -> tuple[Way, Way] | None:
    found = []
    for asked in target.tried.ways:
        same = [
            way
            for way in ways_of(asked.sounding, horn, familiarity=familiarity)
            if (way.fingering, way.partial) == (asked.fingering, asked.partial)
        ]
        found += same[:1]
    return (found[0], found[1]) if len(found) == 2 else None


def _request(plan: KeptPlan, target: Target, ways: tuple[Way, Way], paper: Paper) -> PageRequest:
    tried = target.tried
    events = [
        Played(
            _DOTTED_QUARTER if target.dotted else _HALF,
            asked.written,
            way,
            joined=place == 0,
            technique=tried.technique,
        )
        for place, (asked, way) in enumerate(zip(tried.ways, ways, strict=True))
    ]
    name = f"{target.names[0]} to {target.names[1]}"
    part, _ = written_part(
        events,
        plan.reading,
        name=name,
        title=name,
        metre=metre_of(target),
        tempo_qpm=tried.tempo_qpm,
        dynamic=mark_of_level(tried.dynamic),
    )
    labels = {place: RowLabel(way.fingering, changed=not way.normal) for place, way in enumerate(ways)}
    return PageRequest(part=part, title=name, labels=labels, paper=paper)


def lip_slurs_of(plan: KeptPlan, horn: Horn, *, rules: ExerciseRules) -> ExerciseSheet | None:
    """Make the notes of a sheet's daily lip slurs; None where it has none.

    Args:
        plan: the sheet.
        horn: its horn.
        rules: figures of exercises.
    """
    items = [item for item in plan.sheet.items if item.kind is ItemKind.LIP_SLURS]
    if not items:
        return None
    item = items[0]
    place = plan.sheet.items.index(item)
    lasts_s = item.lasts_s + sum(one.rest_s for one in plan.sheet.items[place + 1 : place + 2])
    made = daily_lip_slurs(horn, plan.reading, rng=default_rng(item.seed), minutes=lasts_s / 60.0, rules=rules)
    return ExerciseSheet(_numbered(plan, place) + "Daily lip slurs", horn, plan.reading, made, item.seed)


def sheet_pages(plan: KeptPlan, systems: Mapping[int, EngravedSystem], *, paper: Paper = Paper.A4) -> tuple[str, ...]:
    """Draw a sheet on pages, one SVG each.

    Args:
        plan: the sheet.
        systems: the two notes of its slurs, engraved, by index into the sheet's targets.
        paper: the sheet of paper.
    """
    sheet, width = plan.sheet, page_width_mm(paper)
    title = f"Practice of {sheet.day.isoformat()}"
    blocks = [Placed(heading_block(title, _subtitle(plan), width))]
    how = (
        "A box for each try: a stroke where it spoke, a wave where it was rough, a cross where it missed. "
        "Rest at every gap between boxes as long as you played, and after every passage."
    )
    said = (*CAUTIONS[:1], *sheet.notices, *((how,) if sheet.targets else ()))
    opening = [in_print(words[:1].upper() + words[1:]) for words in said]
    blocks.append(Placed(words_block(opening, width)))
    for target, group in groupby(enumerate(sheet.items), key=_group_key(plan)):
        blocks += _placed(plan, [place for place, _ in group], target, systems, width)
    aim = [words for words in (sheet_aim(sheet), *coming_words(sheet)) if words]
    blocks.append(Placed(words_block([in_print(words) for words in (*aim, *CAUTIONS[1:])], width)))
    return write_take_pages(blocks, paper=paper, title=title)


def _group_key(plan: KeptPlan) -> Callable[[tuple[int, SheetItem]], _Key]:
    """Items of one slur alone stand together, and so do all passages; a rest goes with what is before it."""
    keys: list[_Key] = []
    for item in plan.sheet.items:
        rests = item.kind is ItemKind.REST
        in_passage = item.kind is ItemKind.PASSAGE
        keys.append(keys[-1] if rests and keys else (None if in_passage else item.target, in_passage))
    return lambda placed: keys[placed[0]]


def _subtitle(plan: KeptPlan) -> str:
    sheet = plan.sheet
    concert = f"concert {sheet.concert.isoformat()}" if sheet.concert else ""
    names = ", ".join(dict.fromkeys(part.name for part in plan.parts if part.name))
    return " · ".join(filter(None, (names, plan.horn, concert, unbroken(sheet_times(sheet)))))


def _numbered(plan: KeptPlan, place: int) -> str:
    return f"{plan.sheet.work.index(place) + 1}. "


def _placed(
    plan: KeptPlan,
    places: Sequence[int],
    key: _Key,
    systems: Mapping[int, EngravedSystem],
    width: float,
) -> list[Placed]:
    """One slur: its notes to the left, what to do with it to the right; other work over the whole width."""
    target, _ = key
    system = None if target is None else systems.get(target)
    left = 0.0 if target is None else _ASIDE_MM
    shapes: list[Shape] = []
    y = 0.0
    if target is not None:
        head, high = _head(plan, plan.sheet.targets[target], width - left)
        shapes += [moved(shape, left, y) for shape in head]
        y += high
    for place in places:
        item = plan.sheet.items[place]
        drawn, high = _rest(item, width - left) if item.kind is ItemKind.REST else _work(plan, place, width - left)
        shapes += [moved(shape, left, y) for shape in drawn]
        y += high
    block = Block(tuple(shapes), max(y, system.height_mm if system else 0.0))
    return [_ruled(width), Placed(block, system)]


def _ruled(width: float) -> Placed:
    """A rule over what belongs together."""
    return Placed(Block((Segment(0.0, 0.0, width, 0.0, _RULE),), 0.0, keep_with_next=True))


def _head(plan: KeptPlan, target: Target, width: float) -> tuple[list[Shape], float]:
    """Where the slur stands, and how it is with it."""
    words = in_print(f"{target.names[0]} to {target.names[1]}")
    shapes: list[Shape] = []
    y = _NAME
    shapes.append(Text(0.0, y, words, size=_NAME, bold=True))
    shapes.append(Text(width, y, in_print(target_place(plan, target)), size=_SMALL, anchor=Anchor.END))
    times = f"; {target.times} times in the part" if target.times > 1 else ""
    for line in wrapped(f"breaks: {risk_words(target)}{times}", _SMALL, width):
        y += _SMALL * _LEADING
        shapes.append(Text(0.0, y, line, size=_SMALL))
    return shapes, y + 1.0


def _work(plan: KeptPlan, place: int, width: float) -> tuple[list[Shape], float]:
    """An item: a box to tick, its number, how it is played, a small box for each try, how long it takes."""
    item = plan.sheet.items[place]
    title, how = _numbered(plan, place) + in_print(_short_title(plan, item)), in_print(_short_how(plan, item))
    clock = clock_text(item.lasts_s)
    indent, y = _BOX + 1.6, 0.8 + _BOX - 0.7
    shapes: list[Shape] = [
        Rect(0.2, 0.8, _BOX, _BOX, stroke=_FRAME),
        Text(indent, y, title, size=_WORDS, bold=True),
        Text(width, y, clock, size=_SMALL, anchor=Anchor.END),
    ]
    x = indent + text_width(title, _WORDS, bold=True) + 2.0
    room = width - text_width(clock, _SMALL) - 3.0
    if x + text_width(how, _WORDS) <= room:
        shapes.append(Text(x, y, how, size=_WORDS))
        x += text_width(how, _WORDS) + 3.0
    else:
        for line in wrapped(how, _WORDS, width - indent):
            y += _WORDS * _LEADING
            shapes.append(Text(indent, y, line, size=_WORDS))
        x = width
    bottom = y + 1.6
    if item.tries:
        beside = x + _boxes_mm(item) <= room
        boxes, high = _boxes(item, room - x if beside else width - indent)
        from_x, from_y = (room - _boxes_mm(item), 0.8) if beside else (indent, bottom)
        shapes += [moved(box, from_x, from_y) for box in boxes]
        bottom = max(bottom, from_y + high)
    return shapes, bottom + 0.6


def _short_title(plan: KeptPlan, item: SheetItem) -> str:
    """What the item is; its slur is named over it already, but for passages."""
    if item.target is None or item.kind is ItemKind.PASSAGE:
        return item_title(plan, item)
    target = plan.sheet.targets[item.target]
    return {
        ItemKind.EASE: "made easy",
        ItemKind.SLUR: "as it stands",
        ItemKind.RESCUE: f"rescue: {target.rescue_named}",
    }[item.kind]


def _short_how(plan: KeptPlan, item: SheetItem) -> str:
    """How it is played, without what the boxes and the notes beside it show."""
    if item.target is None or item.tried is None:
        return item_how(plan, item)
    target = plan.sheet.targets[item.target]
    how = played_how(item.tried, target)
    if item.kind is not ItemKind.PASSAGE:
        return how
    return f"{target.bars or f'the bars around {target.label}'}, {how}"


def _boxes_mm(item: SheetItem) -> float:
    """Width of the boxes of all tries in one row [mm]."""
    gaps = (item.tries - 1) // item.set_tries if item.set_tries > 1 else 0
    return item.tries * (_BOX + _BOX_GAP) + gaps * _SET_GAP


def _boxes(item: SheetItem, width: float) -> tuple[list[Shape], float]:
    """A box for each try, in their sets."""
    shapes: list[Shape] = []
    x, y = 0.2, 0.0
    for number in range(item.tries):
        if number and item.set_tries > 1 and number % item.set_tries == 0:
            x += _SET_GAP
        if x + _BOX > width:
            x, y = 0.2, y + _BOX + _BOX_GAP
        shapes.append(Rect(x, y, _BOX, _BOX, stroke=_THIN))
        x += _BOX + _BOX_GAP
    return shapes, y + _BOX + 0.6


def _rest(item: SheetItem, width: float) -> tuple[list[Shape], float]:
    """A rest: a grey band, so that it is not played over."""
    words = rest_words(item)
    band = Rect(0.0, 0.4, width, _REST_MM - 1.0, fill=0.1)
    middle = Text(width / 2.0, _REST_MM - 2.0, words, size=_SMALL, anchor=Anchor.MIDDLE, italic=True)
    return [band, middle], _REST_MM

"""A measured take as pages: what was played and how it went, the take row by row, the signs, what to trust."""

import re
from collections.abc import Sequence
from datetime import date

from slurwright.formats.pages.request import PageRequest, Paper, RowLabel
from slurwright.formats.pages.systems import EngravedSystem
from slurwright.formats.take_pages import LEFT_MM, RIGHT_MM, Placed, page_width_mm, write_take_pages
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.picture import take_scene
from slurwright.jobs.take.sentences import happenings, summary_words
from slurwright.jobs.take.words import PROVISIONAL, level_words, room_words
from slurwright.jobs.words import CAUTIONS, in_print, part_name, title_of
from slurwright.picture.shapes import Shape
from slurwright.picture.take.blocks import Block, heading_block, words_block
from slurwright.picture.take.key import key_block
from slurwright.picture.take.row import HEAD_MM, draw_names, draw_run, runs_on
from slurwright.picture.take.scene import TakeScene
from slurwright.picture.take.stage import GUTTER_MM, TakeStage, stages_of
from slurwright.picture.take.strip import wanted_columns, widths_of

__all__ = ["STAVES_FROM_MM", "STAVES_TO_MM", "engraving_request", "take_pages"]

STAVES_FROM_MM, STAVES_TO_MM = LEFT_MM + GUTTER_MM, RIGHT_MM
"""Where engraved staves start from the sheet's left edge, and end before its right edge [mm]."""
_STAFF_GAP_MM = 1.0
_LEFT_OF_HEAD_MM = 3.4
"""Lanes start so far before the first head of a system [mm]."""
_MINUS = re.compile(r"(?<!\w)-(?=\d)")


def engraving_request(taken: MeasuredTake, *, paper: Paper = Paper.A4) -> PageRequest:
    """Ask for the part as the player reads it, with the fingerings that were asked for.

    Args:
        taken: the take.
        paper: the sheet.
    """
    study = taken.study
    labels = {
        sound.notes[0]: RowLabel(way.fingering, changed=not way.normal)
        for sound, way in zip(study.line.sounds, study.plan.ways, strict=True)
    }
    return PageRequest(part=study.part, title=title_of(study), labels=labels, paper=paper)


def take_pages(
    taken: MeasuredTake,
    *,
    played_on: date | None = None,
    systems: Sequence[EngravedSystem] = (),
    paper: Paper = Paper.A4,
    remark: str = "",
) -> tuple[str, ...]:
    """Draw a take on pages, one SVG each.

    Args:
        taken: the take.
        played_on: the day; None where it is not known.
        systems: the part, engraved; none for note names in its place.
        paper: the sheet.
        remark: what the player wants to remember about it.
    """
    width = page_width_mm(paper)
    scene = take_scene(taken)
    title = title_of(taken.study)
    blocks = [Placed(heading_block(title, _subtitle(taken, played_on), width))]
    said = [_printed(sentence) for sentence in summary_words(taken)]
    blocks.append(Placed(words_block([*said, *([remark] if remark else [])], width, bold_first=True)))
    warnings = _warnings(taken)
    if warnings:
        blocks.append(Placed(words_block(warnings, width, heading="About the recording", sign="!")))
    blocks += _rows(taken, scene, systems, width) if systems else _plain_rows(scene, width)
    told = [_printed(sentence) for sentence in happenings(taken)]
    if told:
        blocks.append(Placed(words_block(told, width, heading="What happened, in order", sign="–")))
    blocks.append(Placed(key_block(scene, width)))
    last = (*_trust(taken), CAUTIONS[0])
    blocks.append(Placed(words_block(last, width, heading="What the figures are worth")))
    return write_take_pages(blocks, paper=paper, title=", ".join(filter(None, (title, _day(played_on)))))


def _day(played_on: date | None) -> str:
    return "" if played_on is None else played_on.isoformat()


def _subtitle(taken: MeasuredTake, played_on: date | None) -> str:
    study = taken.study
    words = (part_name(study), study.horn.name, study.reading.name, f"A4 = {taken.a4_hz:g} Hz", _day(played_on))
    return " · ".join(word for word in words if word)


def _warnings(taken: MeasuredTake) -> tuple[str, ...]:
    return level_words(taken.measure.level) if taken.measure.level.faults else ()


def _trust(taken: MeasuredTake) -> tuple[str, ...]:
    fine = () if taken.measure.level.faults else level_words(taken.measure.level)
    return (*fine, room_words(taken.measure.room), *PROVISIONAL)


def _printed(sentence: str) -> str:
    return _MINUS.sub("−", in_print(sentence))


def _plain_rows(scene: TakeScene, width: float) -> list[Placed]:
    rows = []
    for stage in stages_of(scene.columns, wanted_columns(scene), widths_of(scene), width_mm=width):
        rows += _row(scene, stage, draw_names(scene, stage, top=0.0), HEAD_MM)
    return rows


def _rows(taken: MeasuredTake, scene: TakeScene, systems: Sequence[EngravedSystem], width: float) -> list[Placed]:
    """The lanes under each engraved system in which something was played."""
    wanted = wanted_columns(scene)
    first_notes = [taken.study.line.sounds[sound].notes[0] for sound in taken.sounds]
    rows = []
    for system in systems:
        here = [column for column in wanted if first_notes[column] in system.heads]
        if not here:
            continue
        stage = TakeStage(
            columns=range(here[0], here[-1] + 1),
            x={column: system.heads[first_notes[column]] - LEFT_MM for column in here},
            left=max(system.left, system.heads[first_notes[here[0]]] - _LEFT_OF_HEAD_MM) - LEFT_MM,
            right=min(width, system.right - LEFT_MM),
            bar_lines=tuple(x - LEFT_MM for x in system.bar_lines),
        )
        rows += _row(scene, stage, (), system.height_mm + _STAFF_GAP_MM, system)
    return rows


def _row(
    scene: TakeScene,
    stage: TakeStage,
    head: tuple[Shape, ...],
    head_mm: float,
    system: EngravedSystem | None = None,
) -> list[Placed]:
    """A block for each run through a row, so that many runs may go on over the page; the first has the notation."""
    runs = runs_on(scene, stage)
    if not runs:
        # Between two stretches that were played: the notation alone.
        return [Placed(Block(head, head_mm), system)]
    lanes, bottom = draw_run(scene, stage, runs[0], top=head_mm)
    rows = [Placed(Block((*head, *lanes), bottom), system)]
    for run in runs[1:]:
        lanes, bottom = draw_run(scene, stage, run, top=0.0, named=True)
        rows.append(Placed(Block(lanes, bottom)))
    return rows

"""Pages for the stand: the studied part in the player's reading, its fingering row, its weak slurs and choices."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from slurwright.formats.pages.request import (
    ChoiceRow,
    PageRequest,
    Paper,
    Picture,
    RowLabel,
    RowStyle,
    WeakSlurMark,
)
from slurwright.formats.svg import write_svg
from slurwright.horn import HornKind
from slurwright.jobs.learnt_words import HOW_TO_READ, risk_text, signed, whence
from slurwright.jobs.words import (
    CAUTIONS,
    cents_text,
    in_print,
    part_name,
    percent,
    provenance_of,
    slur_notes,
    title_of,
)
from slurwright.picture.columns import columns_of, rungs_of
from slurwright.picture.ladder import ladder
from slurwright.picture.shown import helping_choice
from slurwright.plan import Choice, SlurReport, Technique
from slurwright.plan.study import Study
from slurwright.plan.values import Basis

__all__ = ["ladder_drawings", "page_request"]

_NONE = "–"
_Signs = Callable[[SlurReport | Choice], str]
"""Says a break risk with the sign of what it rests on."""


def page_request(
    study: Study,
    *,
    paper: Paper = Paper.A4,
    row_style: RowStyle = RowStyle.ALL,
    pictures: tuple[Picture, ...] = (),
) -> PageRequest:
    """Gather what is to be printed.

    Args:
        study: the studied part.
        paper: the sheet.
        row_style: which notes get a fingering under them.
        pictures: drawings that follow the music.
    """
    part, title, horn = study.part, title_of(study), study.horn.name
    return PageRequest(
        part=part,
        title=title,
        subtitle=_line(part_name(study), horn if horn != title else "", _reading(study)),
        running=_line(title, part_name(study) or (horn.partition(",")[0] if horn != title else "")),
        labels={
            sound.notes[0]: RowLabel(way.fingering, changed=not way.normal)
            for sound, way in zip(study.line.sounds, study.plan.ways, strict=True)
        },
        weak=tuple(_mark(study, number, report) for number, report in enumerate(study.weak, start=1)),
        table=_table(study),
        table_note=_table_note(study),
        provenance=provenance_of(study),
        cautions=CAUTIONS,
        pictures=pictures,
        paper=paper,
        row_style=row_style,
        positions=study.horn.kind is HornKind.SLIDE,
    )


def _table_note(study: Study) -> str:
    """What is to be said of the table's figures where some of them are learnt."""
    if study.learnt_from is None:
        return ""
    how = "The risks are priors alone." if study.priors_only else HOW_TO_READ
    return f"{how} {whence(study)}"


def _line(*words: str) -> str:
    return " · ".join(filter(None, words))


def _reading(study: Study) -> str:
    """Name the reading as parts are headed: a player of "treble clef in F" knows how that sounds."""
    clef, comma, rest = study.reading.name.partition(", ")
    return clef if " in " in clef else f"{clef}{comma}{rest}"


def ladder_drawings(study: Study, *, telling: bool = False) -> tuple[Picture, ...]:
    """Draw the partial ladder of a studied part, one picture a row.

    Args:
        study: the studied part.
        telling: True leaves out rows in which no slur is weak and every fingering is the normal one.
    """
    pictures = ladder(
        study.line,
        study.plan,
        study.ways,
        study.reports,
        columns=columns_of(study.part, study.line),
        rungs=rungs_of(study.horn, study.reading),
        percent=percent,
        telling=telling,
    )
    return tuple(Picture(picture.title, write_svg(picture)) for picture in pictures)


def _mark(study: Study, number: int, report: SlurReport) -> WeakSlurMark:
    move = study.line.moves[report.move]
    left, reached = study.line.sounds[move.source], study.line.sounds[move.target]
    return WeakSlurMark(number, left.notes[-1], reached.notes[0], percent(report.break_risk))


def _table(study: Study) -> tuple[ChoiceRow, ...]:
    """A row for each weak slur; what was said of one that is alike is not said again."""
    told: dict[tuple[str, ...], int] = {}
    rows = []
    for number, report in enumerate(study.weak, start=1):
        row = _row(study, number, report)
        others = told.setdefault((row.notes, *sorted(row.others)), number)
        why = told.setdefault((row.why,), number)
        if others != number and row.others:
            row = replace(row, others=(f"as S{others}",))
        row = replace(row, why=f"as S{why}") if why != number and row.why else row
        rows.append(replace(row, why=_with_learnt(study, report, row.why)))
    return tuple(rows)


def _with_learnt(study: Study, report: SlurReport, why: str) -> str:
    """Say before the reason what the risk as it stands rests on, where that is more than the prior."""
    learnt = report.learnt
    if learnt is None or learnt.basis is Basis.PRIOR:
        return why
    rest = f"{why[:1].upper()}{why[1:]}"
    return f"As it stands {risk_text(report.break_risk, learnt, priors_only=study.priors_only)}. {rest}".strip()


def _row(study: Study, number: int, report: SlurReport) -> ChoiceRow:
    move = study.line.moves[report.move]
    note = study.part.notes[study.line.sounds[move.source].notes[-1]]
    signs = partial(signed, priors_only=study.priors_only)
    as_planned = report.choices[0].ways if report.choices else ()
    same = [choice for choice in report.choices if choice.ways == as_planned]
    other = [choice for choice in report.choices if choice.ways != as_planned]
    return ChoiceRow(
        number=number,
        bar=study.part.measure_of(note).number,
        notes=in_print(slur_notes(study, report)),
        as_it_stands=signs(report),
        legato_tongue=_risk_of(same, Technique.LEGATO_TONGUE, signs),
        half_valve=_risk_of(same, Technique.HALF_VALVE, signs),
        others=tuple(_other(choice, signs) for choice in other),
        why=in_print(_why(report)),
    )


def _why(report: SlurReport) -> str:
    """Why the slur is weak, and why the fingering that helps most does."""
    if not report.choices:
        return ""
    helps = helping_choice(report)
    return f"{report.choices[0].why} {helps.name}: {helps.why}" if helps else report.choices[0].why


def _risk_of(choices: list[Choice], technique: Technique, signs: _Signs) -> str:
    return next((signs(choice) for choice in choices if choice.technique is technique), _NONE)


def _other(choice: Choice, signs: _Signs) -> str:
    first, second = choice.cents
    return f"{in_print(choice.name)}: {signs(choice)} ({cents_text(first)}, {cents_text(second)})"

"""Exercises in a terminal: each by its name, what it is good for, how long to play and to rest."""

from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.text import Text

from slurwright.cli.answers import print_json
from slurwright.cli.console import hang, item, people_console
from slurwright.jobs.exercise.made import ExerciseSheet
from slurwright.jobs.words import CAUTIONS, HEADPHONES, clock_text, place_of
from slurwright.plan.study import Study
from slurwright.practice.exercise.score import tempo_text
from slurwright.wiring.exercises import ExerciseOutputs

__all__ = ["print_exercises", "show_exercises"]


def show_exercises(
    sheet: ExerciseSheet,
    study: Study | None,
    outputs: ExerciseOutputs,
    written: tuple[Path, ...],
    *,
    as_json: bool,
) -> None:
    """Print exercises as a report for people, or as JSON.

    Args:
        sheet: the exercises.
        study: the part that they are for; None for those of the day.
        outputs: what was asked for.
        written: files that were written, to be named at the end.
        as_json: JSON instead of the report.
    """
    cautions = (*CAUTIONS[:1], *((HEADPHONES,) if outputs.sound is not None else ()))
    if as_json:
        from slurwright.formats.exercises_json import exercises_answer  # noqa: PLC0415

        about = {"horn": sheet.horn.id, "reading": sheet.reading.id, "title": sheet.title, "seed": sheet.seed}
        print_json(exercises_answer(sheet.exercises, about=about, places=_places(sheet, study), cautions=cautions))
    else:
        print_exercises(sheet, study, outputs, cautions=cautions)
    for path in written:
        click.echo(f"written: {path}", err=True)


def _places(sheet: ExerciseSheet, study: Study | None) -> dict[int, dict[str, Any]]:
    """Where each slur stands in the part, and how likely it is to break."""
    if study is None:
        return {}
    from slurwright.formats.study_json import learnt_fields  # noqa: PLC0415

    reports = {report.move: report for report in study.reports}
    return {
        move: {
            "move": move,
            "number": sheet.numbers.get(move),
            "from": place_of(study, study.line.moves[move].source),
            "to": place_of(study, study.line.moves[move].target),
            "break_risk": reports[move].break_risk if move in reports else None,
            **learnt_fields(reports[move].learnt if move in reports else None),
        }
        for move in dict.fromkeys(each.move for each in sheet.exercises if each.move is not None)
    }


def print_exercises(
    sheet: ExerciseSheet,
    study: Study | None,
    outputs: ExerciseOutputs,
    *,
    cautions: tuple[str, ...],
    console: Console | None = None,
) -> None:
    """Print exercises by name.

    Args:
        sheet: the exercises.
        study: the part that they are for; None for those of the day.
        outputs: what was asked for.
        cautions: what is to be heeded.
        console: where to; None for standard output.
    """
    console = console or people_console()
    console.print(Text(sheet.title, style="bold"))
    hang("", f"{sheet.horn.name} · {sheet.reading.name} · seed {sheet.seed}".split(" "), console)
    if not sheet.exercises:
        console.print("No slur of this part is weak under these conditions; --at takes any slur, --daily needs none.")
        return
    told: int | None = None
    for number, exercise in enumerate(sheet.exercises, start=1):
        if exercise.move is not None and exercise.move != told and study is not None:
            told = exercise.move
            console.print()
            _print_slur(sheet, study, told, console)
        clock = f"play {clock_text(exercise.play_s)}, rest {clock_text(exercise.rest_s)}"
        times = f", {exercise.times} times" if exercise.times > 1 else ""
        console.print()
        hang(f"{number:>3}. ", exercise.title.split(" "), console, bold=".+")
        tempo = tempo_text(exercise.tempo_qpm, exercise.part.measures[0].time)
        what = f"{exercise.dynamic}, {tempo}{times}; {clock}"
        for words in (exercise.purpose, exercise.how, what):
            hang("     ", words.split(" "), console)
        if outputs.sound is not None:
            hang("     ", _drone(sheet, number, outputs).split(" "), console)
    console.print()
    console.print(f"In all: play {clock_text(sheet.play_s)}, rest {clock_text(sheet.rest_s)}.")
    for words in cautions:
        item(words, console)


def _print_slur(sheet: ExerciseSheet, study: Study, move: int, console: Console) -> None:
    number = sheet.numbers.get(move)
    change = study.line.moves[move]
    mended = any(one.move == move and one.choices for one in study.reports)
    unnumbered = "Slur that another fingering makes safe" if mended else "Slur"
    name = f"Slur {number}" if number is not None else unnumbered
    said = f"{name}: {place_of(study, change.source)} to {place_of(study, change.target)}"
    hang("", said.split(" "), console, bold=".+")


def _drone(sheet: ExerciseSheet, number: int, outputs: ExerciseOutputs) -> str:
    from slurwright.jobs.exercise.sound import Backing, drone_words  # noqa: PLC0415

    words = drone_words(sheet.exercises[number - 1], Backing(outputs.drone, outputs.a4_hz, line=outputs.line))
    return f"{words} (concert pitch, A4 = {outputs.a4_hz:g} Hz)"

"""Exercises from a part or a horn to notation, pages and sound.

What draws and writes is imported where it is used: a report alone does not wait for the engraver's rooms.
"""

from dataclasses import dataclass
from pathlib import Path

from slurwright.devices.files import ending_faults, place_faults, write_files
from slurwright.devices.packaged import load_exercise_rules
from slurwright.errors import RequestError
from slurwright.horn import Horn
from slurwright.jobs.exercise.made import ExerciseRequest, ExerciseSheet, daily_exercises, study_exercises
from slurwright.jobs.words import title_of
from slurwright.pitch import A4_HZ, Reading, SoundingPitch
from slurwright.plan.study import Study

__all__ = ["ExerciseOutputs", "daily_sheet", "study_sheet", "write_exercises"]


@dataclass(frozen=True, slots=True)
class ExerciseOutputs:
    """Files that the player wants, None for those that they do not."""

    pages: Path | None = None
    marked: Path | None = None
    midi: Path | None = None
    sound: Path | None = None
    paper: str = "a4"
    drone: SoundingPitch | None = None
    a4_hz: float = A4_HZ
    line: bool = False
    count_in_only: bool = False

    def __post_init__(self) -> None:
        """Refuse endings that say nothing, and places that cannot be written, before any work is done."""
        wanted = (
            ("pages of exercises", self.pages, (".pdf", ".svg")),
            ("exercises as notation", self.marked, (".musicxml", ".xml")),
            ("exercises as MIDI", self.midi, (".mid", ".midi")),
            ("exercises as sound", self.sound, (".wav",)),
        )
        faults = (*ending_faults(wanted), *place_faults(path for _, path, _ in wanted if path is not None))
        if faults:
            raise RequestError(faults=faults)


def study_sheet(study: Study, request: ExerciseRequest) -> ExerciseSheet:
    """Make the exercises for a part's slurs.

    Args:
        study: the studied part.
        request: what the player asks.

    Raises:
        RequestError: a place means no slur.
    """
    return ExerciseSheet(
        title=f"Exercises for {title_of(study)}",
        horn=study.horn,
        reading=study.reading,
        exercises=study_exercises(study, request, rules=load_exercise_rules()),
        seed=request.seed,
        numbers={report.move: number for number, report in enumerate(study.weak, start=1)},
    )


def daily_sheet(horn: Horn, reading: Reading, request: ExerciseRequest, *, minutes: float) -> ExerciseSheet:
    """Make the lip slurs of a day.

    Args:
        horn: the player's horn.
        reading: how they read.
        request: what they ask.
        minutes: for playing and resting together [min].
    """
    made = daily_exercises(horn, reading, request, minutes=minutes, rules=load_exercise_rules())
    return ExerciseSheet("Lip slurs of the day", horn, reading, made, request.seed)


def write_exercises(sheet: ExerciseSheet, outputs: ExerciseOutputs) -> tuple[Path, ...]:
    """Write the wanted files, all of them or none.

    Args:
        sheet: the exercises.
        outputs: what to write where.

    Returns:
        What was written, in order.

    Raises:
        RequestError: there is nothing to write, or the disk refuses.
        EngravingError: pages could not be drawn.
    """
    contents: dict[Path, bytes] = {}
    wanted = (outputs.pages, outputs.marked, outputs.midi, outputs.sound)
    if not sheet.exercises and any(path is not None for path in wanted):
        raise RequestError("there are no exercises to write", allowed="a part with a weak slur, --at or --daily")
    if outputs.marked is not None:
        contents[outputs.marked] = _notation(sheet)
    if outputs.midi is not None:
        contents[outputs.midi] = _midi(sheet)
    if outputs.sound is not None:
        contents[outputs.sound] = _sound(sheet, outputs)
    if outputs.pages is not None:
        contents.update(_pages(sheet, outputs.pages, outputs.paper))
    write_files(contents)
    return tuple(contents)


def _notation(sheet: ExerciseSheet) -> bytes:
    from slurwright.formats.musicxml_writer import write_musicxml  # noqa: PLC0415
    from slurwright.practice.exercise.book import bound  # noqa: PLC0415

    book = bound(sheet.exercises, title=sheet.title)
    return write_musicxml(book.part, fingerings={note: (label,) for note, label in book.labels.items()})


def _midi(sheet: ExerciseSheet) -> bytes:
    from slurwright.formats.midi.writer import write_midi  # noqa: PLC0415

    return write_midi([exercise.part for exercise in sheet.exercises], title=sheet.title)


def _sound(sheet: ExerciseSheet, outputs: ExerciseOutputs) -> bytes:
    import numpy as np  # noqa: PLC0415

    from slurwright.formats.sound.wav import wav_bytes  # noqa: PLC0415
    from slurwright.jobs.exercise.sound import RATE_HZ, Backing, exercise_sound  # noqa: PLC0415

    backing = Backing(outputs.drone, outputs.a4_hz, line=outputs.line, count_in_only=outputs.count_in_only)
    return wav_bytes(exercise_sound(sheet, backing, rng=np.random.default_rng(sheet.seed)), RATE_HZ, bits=16)


def _pages(sheet: ExerciseSheet, out: Path, paper: str) -> dict[Path, bytes]:
    from slurwright.devices.engraver import engrave_each  # noqa: PLC0415
    from slurwright.formats.pages.request import Paper  # noqa: PLC0415
    from slurwright.jobs.exercise.pages import (  # noqa: PLC0415
        STAVES_FROM_MM,
        STAVES_TO_MM,
        exercise_pages,
        exercise_requests,
    )

    requests = exercise_requests(sheet, paper=Paper(paper))
    systems = engrave_each(requests, left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM)
    pages = exercise_pages(sheet, systems, paper=Paper(paper))
    if out.suffix.lower() == ".svg":
        from slurwright.wiring.part import numbered_files  # noqa: PLC0415

        return numbered_files(out, pages)
    from slurwright.devices.sheet_setter import set_sheets  # noqa: PLC0415
    from slurwright.formats.chart_sheets import Sheet  # noqa: PLC0415

    return {out: set_sheets(pages, title=sheet.title, sheet=Sheet(paper))}

"""How long exercises take: made, engraved, written, sounded; a table on standard output.

Processor times of this process and of the engraver's child, medians of some runs, on the demo tune at pp.
"""

import os
import resource
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from slurwright.devices.engraver import engrave_each
from slurwright.devices.packaged import demo_part, load_exercise_rules, load_horn
from slurwright.formats.midi.writer import write_midi
from slurwright.formats.musicxml_writer import write_musicxml
from slurwright.jobs.exercise.made import ExerciseRequest, daily_exercises, study_exercises
from slurwright.jobs.exercise.pages import STAVES_FROM_MM, STAVES_TO_MM, exercise_pages, exercise_requests
from slurwright.jobs.exercise.sound import Backing, exercise_sound
from slurwright.jobs.study import StudyRequest
from slurwright.practice.exercise.book import bound
from slurwright.wiring.exercises import study_sheet
from slurwright.wiring.part import study_score

RUNS = 7
HORN = load_horn("euphonium-4c")
RULES = load_exercise_rules()


def _cpu_s() -> float:
    own, child = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return own.ru_utime + own.ru_stime + child.ru_utime + child.ru_stime


def _timed_s(work: Callable[[], object]) -> float:
    work()
    times = []
    for _ in range(RUNS):
        before = _cpu_s()
        work()
        times.append(_cpu_s() - before)
    return median(times)


def main() -> None:
    """Time each step and print a line for it."""
    name, data = demo_part()
    study = study_score(data, name, HORN, StudyRequest(dynamic="pp")).study
    read = study.reading
    request = ExerciseRequest(most=20, seed=1000)
    sheet = study_sheet(study, request)
    requests = exercise_requests(sheet)
    systems = engrave_each(requests, left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM)
    parts = [exercise.part for exercise in sheet.exercises]
    book = bound(sheet.exercises, title="x").part
    notes = sum(len(part.notes) for part in parts)
    works: tuple[tuple[str, Callable[[], object]], ...] = (
        ("make all of them", lambda: study_exercises(study, request, rules=RULES)),
        (
            "lip slurs of a day, 30 min",
            lambda: daily_exercises(HORN, read, request, minutes=30, rules=RULES),
        ),
        ("engrave them", lambda: engrave_each(requests, left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM)),
        ("lay them out on pages", lambda: exercise_pages(sheet, systems)),
        ("write MusicXML", lambda: write_musicxml(book)),
        ("write MIDI", lambda: write_midi(parts, title="x")),
        ("clicks and drone", lambda: exercise_sound(sheet, Backing(), rng=np.random.default_rng(1))),
    )
    length_s = sheet.play_s + sheet.rest_s
    print(f"{len(sheet.exercises)} exercises, {notes} notes, {length_s / 60:.0f} min; load {os.getloadavg()[0]:.1f}")
    for words, work in works:
        print(f"{words:32} {1000 * _timed_s(work):8.1f} ms")


if __name__ == "__main__":
    main()

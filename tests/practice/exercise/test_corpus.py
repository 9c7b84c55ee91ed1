"""Exercises cut out of real scores: measures are full, nothing has to be excused."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.errors import SlurwrightError
from slurwright.formats.musicxml import open_musicxml
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.plan.study import Study
from slurwright.practice.exercise.make import exercises_for
from slurwright.score import Note, Rest

music21 = pytest.importorskip("music21")

pytestmark = pytest.mark.oracle
FILES = 120
LARGEST_BYTES = 12_000
LEAST_SLURS = 12


def _studies() -> list[Study]:
    """Studies of the smallest scores that a trumpet can play, first parts only."""
    root = Path(music21.__file__).parent / "corpus"
    files = sorted((f for f in root.rglob("*.mxl") if f.stat().st_size < LARGEST_BYTES), key=lambda f: f.name)
    horn = load_horn("trumpet-b")
    priors: dict[str, Any] = {"chances": load_chances(), "familiarity": load_familiarity()}
    found = []
    for file in files[:: max(1, len(files) // FILES)]:
        try:
            opened = open_musicxml(file.read_bytes(), where=file.name)
            part = opened.part(opened.headings[0])
            found.append(study_part(part, horn, StudyRequest(dynamic="pp", best=1, risk_limit=0.02), **priors))
        except SlurwrightError:
            continue  # chords, several voices, or out of the horn's range
    return found


def test_exercises_of_real_parts_hold_together() -> None:
    slurs = 0
    for study in _studies():
        for report in study.reports[:12:3]:
            slurs += 1
            for exercise in exercises_for(study, report.move, rng=np.random.default_rng(1000)):
                assert not exercise.part.notices
                for measure in exercise.part.measures:
                    events: list[Note | Rest] = [*exercise.part.notes, *exercise.part.rests]
                    inside = sum(event.duration_quarter for event in events if event.measure == measure.index)
                    assert inside == measure.duration_quarter
    assert slurs >= LEAST_SLURS

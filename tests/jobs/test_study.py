"""Studying a part: what the player asks reaches every figure of the answer."""

from dataclasses import replace

import pytest

from builders.parts import part_of
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.errors import RequestError
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.plan import slur_reports

EUPHONIUM = load_horn("euphonium-4c")
CHANCES = load_chances()


def test_choices_at_slurs_are_rated_with_the_familiarity_of_the_plan() -> None:
    beginner = replace(load_familiarity(), known=0.02, other=0.02)
    request = StudyRequest(dynamic="pp", risk_limit=0.0)
    study = study_part(part_of("(F3 Bb3) F3"), EUPHONIUM, request, chances=CHANCES, familiarity=beginner)
    assert study.reports == slur_reports(
        study.line,
        study.plan,
        EUPHONIUM,
        chances=CHANCES,
        limit=0.0,
        names=[str(note.written) for note in study.part.notes],
        familiarity=beginner,
    )
    (report,) = study.reports
    alternates = [choice for choice in report.choices if not all(way.normal for way in choice.ways)]
    assert alternates
    assert max(choice.chance_around for choice in alternates) < 0.02


@pytest.mark.parametrize("limit", [-0.1, 1.1, float("nan")])
def test_a_limit_that_is_no_chance_is_refused(limit: float) -> None:
    with pytest.raises(RequestError, match="no break risk above which a slur is weak"):
        study_part(
            part_of("(F3 Bb3)"),
            EUPHONIUM,
            StudyRequest(risk_limit=limit),
            chances=CHANCES,
            familiarity=load_familiarity(),
        )

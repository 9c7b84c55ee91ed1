import pytest

from builders.stand import stand_part
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.errors import PlanError
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.plan.study import Study


def study_of(music: str, horn_id: str, reading: str) -> Study:
    request = StudyRequest(reading=reading)
    chances, familiarity = load_chances(), load_familiarity()
    return study_part(stand_part(music), load_horn(horn_id), request, chances=chances, familiarity=familiarity)


def test_notes_out_of_reach_are_named_by_bar_and_as_the_player_reads_them() -> None:
    with pytest.raises(PlanError) as refused:
        study_of("q:F3 q:Bb3 q:C3 q:F3 | q:C3 q:D3 h:F3", "cornet-b", "treble-b")
    first, second, hint = map(str, refused.value.faults)
    assert first.startswith(
        "bar 1, beat 3 and 1 more: no fingering of Cornet in B♭ sounds this note; got D3, sounding C3"
    )
    assert second.startswith("bar 2, beat 2: no fingering")
    assert "--written-for" in hint


def test_many_notes_out_of_reach_are_counted() -> None:
    with pytest.raises(PlanError, match="and 2 other notes out of reach"):
        study_of("q:C1 q:D1 q:Eb1 q:F1 | q:G1 q:A1 q:Bb1 q:F3", "trumpet-b", "treble-b")


def test_a_slide_has_positions() -> None:
    with pytest.raises(PlanError, match="no position of Tenor trombone"):
        study_of("q:C1 q:F3 h:F3", "trombone", "bass-concert")

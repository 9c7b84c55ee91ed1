"""A note is spelled once: pages, report, JSON and choices all read it from the same part."""

from builders.parts import part_of
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.formats.study_json import part_answer
from slurwright.jobs.pages import page_request
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.jobs.words import note_name


def test_an_enharmonic_key_is_spelled_alike_everywhere() -> None:
    # B major at concert pitch would be G sharp major for an E-flat instrument; it is written in A flat instead.
    part = part_of("B2 D#3 F#3 G#3 A#3 | B3 A#3 G#3 F#3", key=5)
    study = study_part(
        part,
        load_horn("tuba-eb-4c"),
        StudyRequest(reading="treble-eb13"),
        chances=load_chances(),
        familiarity=load_familiarity(),
    )
    printed = [str(note.written) for note in page_request(study).part.notes]
    assert printed[0] == "Ab4"
    assert [note_name(study, sound.index) for sound in study.line.sounds] == printed
    assert [note["written"] for note in part_answer(study)["notes"]] == printed

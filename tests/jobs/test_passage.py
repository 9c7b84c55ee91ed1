"""What was asked, as sounds: order of play, seconds, slurs, and the asked fingering's series."""

from dataclasses import replace

import pytest

from builders.parts import part_of
from builders.studies import hand_made_study
from slurwright.errors import RequestError
from slurwright.jobs.passage import passage_of
from slurwright.pitch import cents_of_ratio, hz_of_midi

TUNE = "(F3 B3) r C4 | (D4/2 C4) B3 | F3/4"


def test_notes_come_in_order_with_their_times() -> None:
    study = hand_made_study(part_of(TUNE))
    asked = passage_of(study)
    quarter = 60.0 / study.part.notes[0].tempo_qpm
    assert [note.onset_s for note in asked.passage.notes] == pytest.approx(
        [q * quarter for q in (0, 1, 3, 4, 6, 7, 8)]
    )
    assert [note.length_s for note in asked.passage.notes] == pytest.approx(
        [q * quarter for q in (1, 1, 1, 2, 1, 1, 4)]
    )
    assert asked.sounds == tuple(range(7))
    assert asked.passage.joined() == ((0, 1), (3, 4))


def test_each_note_stands_on_its_partial_of_its_series() -> None:
    study = hand_made_study(part_of(TUNE))
    for note, way in zip(passage_of(study).passage.notes, study.plan.ways, strict=True):
        assert note.partial == way.partial
        assert cents_of_ratio(note.series_hz[note.partial - 1] / note.hz) == pytest.approx(way.cents, abs=1e-6)


def test_the_band_may_tune_higher() -> None:
    study = hand_made_study(part_of(TUNE))
    usual, high = passage_of(study), passage_of(study, a4_hz=443.0)
    assert high.passage.notes[0].hz == pytest.approx(usual.passage.notes[0].hz * 443 / 440)
    assert high.passage.notes[0].series_hz[3] == pytest.approx(usual.passage.notes[0].series_hz[3] * 443 / 440)
    with pytest.raises(RequestError, match="nobody tunes so"):
        passage_of(study, a4_hz=44.0)


def test_some_bars_are_a_passage_of_their_own() -> None:
    study = hand_made_study(part_of(TUNE))
    asked = passage_of(study, bars="2-3")
    assert asked.sounds == (3, 4, 5, 6)
    assert asked.passage.notes[0].onset_s == 0.0
    assert passage_of(study, bars="2").sounds == (3, 4, 5)


def test_a_slur_out_of_the_chosen_bars_is_not_asked() -> None:
    study = hand_made_study(part_of("F3 (B3/3 | C4) D4/3"))
    assert passage_of(study).passage.joined() == ((1, 2),)
    assert passage_of(study, bars="1").passage.joined() == ()


@pytest.mark.parametrize("bars", ["9", "2-9", "-2", "2-", "", "two", "3-2"])
def test_bars_that_are_not_there_are_refused(bars: str) -> None:
    with pytest.raises(RequestError, match="bar"):
        passage_of(hand_made_study(part_of(TUNE)), bars=bars)


def test_bars_of_rests_have_nothing_to_hear() -> None:
    with pytest.raises(RequestError, match="nothing is played"):
        passage_of(hand_made_study(part_of("F3/4 | r/4 | F3/4")), bars="2")


def test_a_grace_note_keeps_a_length_at_any_tempo() -> None:
    study = hand_made_study(part_of("gC4 D4/4"))
    hurried = replace(
        study,
        line=replace(study.line, sounds=(replace(study.line.sounds[0], duration_s=0.001), study.line.sounds[1])),
    )
    assert passage_of(hurried).passage.notes[0].length_s > 0.02
    assert passage_of(hurried).passage.notes[0].hz == pytest.approx(hz_of_midi(60))

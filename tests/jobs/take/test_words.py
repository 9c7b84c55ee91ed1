"""Figures and verdicts of a take in a player's words."""

from dataclasses import replace

import pytest

from builders.measured_takes import faulty_take, good_take
from slurwright.jobs.take import words as take_words
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.sentences import (
    happenings,
    missed_words,
    note_sentence,
    note_words,
    slur_sentence,
    slur_words,
    summary_words,
)
from slurwright.jobs.take.words import figure_text, level_words, ordinal, reason_words, room_words, slur_sign_text
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.measures import LevelFault, Reason, Room, SlurMeasure, SlurOutcome, SlurPath
from slurwright.plan import Technique


@pytest.fixture(scope="module")
def faulty() -> MeasuredTake:
    return faulty_take()


def slur_at(take: MeasuredTake, asked: int) -> SlurMeasure:
    played = take.measure.following.played
    return next(slur for slur in take.measure.slurs if played[slur.first].asked == asked)


@pytest.mark.parametrize(
    ("figure", "words"),
    [
        (Figure(12.34, 11.1, 13.5), "+12 ±1 cents"),
        (Figure(-0.2, -0.4, 0.1), "0 ±1 cents"),
        (Figure(-14.0, -16.0, -12.0), "-14 ±2 cents"),
        (Figure(40.0, 38.0, 55.0), "+40 (+38 to +55) cents"),
        (Figure(4.0, 3.9, 4.8), "+4 ±1 cents"),
        (Hidden(Veil.ROOM), "the room is too live for this figure"),
    ],
)
def test_figures_stand_with_their_intervals(figure: Figure | Hidden, words: str) -> None:
    assert figure_text(figure, "cents", signed=True) == words


def test_ordinals() -> None:
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 22, 111)] == (
        ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "111th"]
    )


def test_everything_that_can_be_measured_has_words(faulty: MeasuredTake) -> None:
    assert set(take_words.VEILS) == set(Veil)
    assert set(take_words.OUTCOMES) == set(SlurOutcome)
    assert set(take_words.PATHS) == set(SlurPath)
    assert set(take_words.SIGNS) == set(Reason)
    level = faulty.measure.level
    assert all(level_words(replace(level, faults=(fault,)))[0] for fault in LevelFault)
    for reason in Reason:
        for slur in (slur_at(faulty, 2), slur_at(faulty, 17)):
            assert reason_words(faulty, slur, reason)


def test_a_slur_says_what_spoils_it(faulty: MeasuredTake) -> None:
    assert slur_sentence(faulty, slur_at(faulty, 0)) == (
        "bar 1, beat 1: Bb2 to F3 broke: 85 ±9 ms of silence; an abrupt gap, 34 ±5 dB deep."
    )
    assert "split through the 4th partial (G3) for 74 ±10 ms" in slur_words(faulty, slur_at(faulty, 2))
    assert slur_words(faulty, slur_at(faulty, 13)) == "landed on B3"
    assert slur_words(faulty, slur_at(faulty, 5)).startswith("was probably tongued")
    assert "the room is too live for this figure" in slur_words(faulty, slur_at(faulty, 17))


def test_a_tongue_that_was_tried_is_no_surprise(faulty: MeasuredTake) -> None:
    tried = replace(faulty, techniques={5: Technique.LEGATO_TONGUE})
    assert "tongued as was tried" in slur_words(tried, slur_at(tried, 5))
    assert summary_words(tried)[0] == (
        "10 of 14 slurs spoke (1 of them tongued, as was tried), 3 broke, 1 landed on another note."
    )


def test_a_hidden_figure_is_never_given(faulty: MeasuredTake) -> None:
    slur = replace(slur_at(faulty, 17), reasons=(Reason.SCOOP,))
    assert reason_words(faulty, slur, Reason.SCOOP) == (
        "arrived low and crept up (how much: the room is too live for this figure)"
    )
    assert slur_sign_text(faulty, slur) == "scoop"


def test_short_signs(faulty: MeasuredTake) -> None:
    signs = [slur_sign_text(faulty, slur_at(faulty, asked)) for asked in (0, 2, 4, 5, 8, 11, 12, 13, 25 - 4)]
    assert signs == [
        "gap 85 ms",
        "split G3, 74 ms",
        "scoop 48 c",
        "tongued",
        "past it 39 c",
        "fell back",
        "slow 210 ms",
        "landed on B3",
        "clean",
    ]


def test_notes(faulty: MeasuredTake) -> None:
    said = {note.played: note_sentence(faulty, note) for note in faulty.measure.notes}
    assert said[1] == "bar 1, beat 2: F3, +21.0 ±2.0 cents."
    assert said[10] == "bar 4, beat 1: C3, +8.0 ±1.2 cents, starts 35 ±5 low, sinks by 12."
    assert said[14] == "bar 5, beat 3: A3, B3 sounded instead."
    assert said[21] == "bar 7, beat 1: Eb3, Eb2 sounded, in another octave."
    assert "too short for its pitch" in said[19]
    assert "vibrato 5.4 a second, 11 each way" in note_words(faulty, faulty.measure.notes[4])
    assert missed_words(faulty, 19) == "bar 6, beat 4: F3 did not sound."


def test_the_whole(faulty: MeasuredTake) -> None:
    assert summary_words(faulty) == (
        "9 of 14 slurs spoke, 3 broke, 1 was tongued, 1 landed on another note.",
        "The whole take lies 6 ±1 cents sharp.",
        "Furthest from their targets: bar 5, beat 1.5: A3 +62 ±1; bar 1, beat 2: F3 +21 ±2; "
        "bar 2, beat 3: Eb3 -14 ±1 cents.",
        "24 of 27 notes sounded as asked, 1 missed, 1 wrong note, 1 in another octave, 1 extra sound, "
        "1 time back or ahead.",
    )
    assert summary_words(good_take())[0] == "14 of 14 slurs spoke."


def test_what_happened_comes_in_order_of_time(faulty: MeasuredTake) -> None:
    said = happenings(faulty)
    assert len(said) == 8 + 2 + 1 + 1 + 1
    assert said[0].startswith("bar 1, beat 1: Bb2 to F3 broke")
    ends = said[-4:]
    assert ends[0] == "bar 5, beat 4: F3, went back to here."
    assert ends[1].endswith("D3 sounded, which nobody asked for.")
    assert {"bar 6, beat 4: F3 did not sound.", "bar 7, beat 1: Eb3, Eb2 sounded, in another octave."} == set(
        ends[2:]
    )
    assert happenings(good_take()) == ()


def test_the_nearer_the_microphone_the_better_the_room() -> None:
    decay = Figure(0.5, 0.4, 0.6)
    said = [room_words(Room(decay, Figure(db, db - 2, db + 2))) for db in (25.0, 12.0, 6.0, 2.0)]
    assert len(set(said)) == 4
    assert "0.5 s" in said[0]
    assert "half a metre" in said[3]
    assert "could not be told" in room_words(Room(Hidden(Veil.UNHEARD), Hidden(Veil.UNHEARD)))

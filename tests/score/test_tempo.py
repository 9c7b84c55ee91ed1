"""Tempos by number and by word."""

from fractions import Fraction

import pytest

from builders.parts import part_of
from slurwright.score import Direction, DirectionKind, TimeSignature
from slurwright.score.tempo import USUAL_TEMPO_QPM, beat_quarter, beats_per_minute_of_words, tempo_course


def tempos(directions: list[Direction], places: list[int], time: TimeSignature | None = None) -> list[float]:
    course = tempo_course(directions, part_of("C4/8", time=time).measures)
    return [course.at(Fraction(place)) for place in places]


def said(text: str, place: int, qpm: float | None = None, kind: DirectionKind = DirectionKind.TEMPO) -> Direction:
    return Direction(kind, 0, Fraction(place), text, tempo_qpm=qpm)


def test_a_moderate_pace_holds_where_nothing_is_said() -> None:
    assert tempos([said("Presto", 4)], [0, 4]) == [USUAL_TEMPO_QPM, 180.0]


def test_a_number_beats_words_at_one_place() -> None:
    assert tempos([said("Allegro", 0), said("", 0, 126.0)], [0]) == [126.0]
    assert tempos([said("", 0, 126.0), said("Allegro", 0)], [0]) == [126.0]


def test_a_tempo_and_tempo_primo_go_back() -> None:
    directions = [said("Allegro", 0, 120.0), said("Adagio", 2, 60.0), said("a tempo", 4), said("Tempo I", 6)]
    assert tempos(directions, [0, 2, 4, 6]) == [120, 60, 60, 120]


def test_tempo_primo_is_the_number_that_beat_words_at_the_first_place() -> None:
    directions = [said("Allegro", 0), said("", 0, 100.0), said("Largo", 4), said("Tempo I", 8)]
    assert tempos(directions, [0, 4, 8]) == [100, 50, 100]


def test_ritardandi_are_not_followed() -> None:
    assert tempos([said("", 0, 90.0), said("rit.", 2, kind=DirectionKind.WORDS)], [3]) == [90]


@pytest.mark.parametrize(
    ("beats", "beat_type", "beat"),
    [(4, 4, 1), (3, 4, 1), (6, 8, Fraction(3, 2)), (9, 8, Fraction(3, 2)), (2, 2, 2), (6, 4, 3), (5, 8, 1)],
)
def test_words_count_the_beat_of_the_time(beats: int, beat_type: int, beat: Fraction) -> None:
    assert beat_quarter(TimeSignature(beats, beat_type)) == beat


def test_a_word_in_compound_time_counts_dotted_quarters() -> None:
    assert tempos([said("Allegro", 0)], [0], TimeSignature(6, 8)) == [198.0]


@pytest.mark.parametrize(
    ("text", "pace"),
    [
        ("Andante cantabile", 80),
        ("ALLEGRETTO", 112),
        ("Allegro con brio", 144),
        ("poco largo", 50),
        ("Largetto!", None),
        ("dolce", None),
    ],
)
def test_the_longest_word_counts(text: str, pace: float | None) -> None:
    assert beats_per_minute_of_words(text) == pace

"""Levels of the marks and what hairpins do between them."""

from fractions import Fraction

import pytest

from slurwright.score import Direction, DirectionKind, Hairpin
from slurwright.score.dynamics import DYNAMIC_LEVELS, dynamic_course, hairpin_of_words, level_of_mark, mark_of_level


def mark(text: str, place: int | Fraction, kind: DirectionKind = DirectionKind.DYNAMIC) -> Direction:
    return Direction(kind, 0, Fraction(place), text)


def levels(directions: list[Direction], hairpins: list[Hairpin], places: list[int]) -> list[float]:
    course = dynamic_course(directions, hairpins)
    return [course.at(Fraction(place)) for place in places]


def pin(start: int, end: int, *, grows: bool) -> Hairpin:
    return Hairpin(Fraction(start), Fraction(end), grows)


def test_plain_degrees_are_a_step_apart() -> None:
    assert [DYNAMIC_LEVELS[text] for text in ("pp", "p", "mp", "mf", "f", "ff")] == [-3, -2, -1, 0, 1, 2]
    assert list(DYNAMIC_LEVELS.values()) == [float(level) for level in range(-5, 5)]


def test_a_level_is_told_by_the_nearest_mark() -> None:
    assert [mark_of_level(level) for level in DYNAMIC_LEVELS.values()] == list(DYNAMIC_LEVELS)
    assert [mark_of_level(level) for level in (-0.4, 0.6, 0.5, -9.0, 9.0)] == ["mf", "f", "mf", "pppp", "ffff"]


def test_mf_holds_before_the_first_mark_and_a_mark_until_the_next() -> None:
    assert levels([mark("f", 4), mark("pp", 8)], [], [0, 3, 4, 7, 8, 99]) == [0, 0, 1, 1, -3, -3]


def test_a_hairpin_leads_straight_to_the_mark_behind_it() -> None:
    assert levels([mark("p", 0), mark("f", 6)], [pin(0, 6, grows=True)], [0, 2, 4, 6]) == pytest.approx(
        [-2, -1, 0, 1]
    )


def test_a_mark_up_to_a_quarter_behind_a_hairpin_is_its_aim() -> None:
    assert levels([mark("p", 0), mark("f", 4)], [pin(0, 3, grows=True)], [3]) == [1]


def test_without_a_mark_a_hairpin_is_worth_one_step() -> None:
    assert levels([mark("p", 0)], [pin(0, 4, grows=True), pin(4, 8, grows=False)], [0, 2, 4, 8, 12]) == pytest.approx(
        [-2, -1.5, -1, -2, -2]
    )


def test_a_sudden_piano_after_a_crescendo_is_not_its_aim() -> None:
    assert levels([mark("mf", 0), mark("p", 4)], [pin(0, 4, grows=True)], [0, 2, 4]) == [0, 0.5, -2]


def test_a_mark_inside_a_hairpin_is_passed_on_the_way() -> None:
    assert levels([mark("p", 0), mark("mf", 4), mark("ff", 8)], [pin(0, 8, grows=True)], [2, 4, 6, 8]) == [
        -1,
        0,
        1,
        2,
    ]


def test_words_last_until_the_next_mark() -> None:
    worded = [mark("p", 0), mark("cresc.", 0, DirectionKind.WORDS), mark("f", 6)]
    assert levels(worded, [], [0, 2, 4, 6]) == pytest.approx([-2, -1, 0, 1])


def test_words_with_no_mark_behind_them_are_worth_one_step() -> None:
    assert levels([mark("dim.", 0, DirectionKind.WORDS)], [], [0, 4, 8, 20]) == pytest.approx([0, -0.5, -1, -1])


def test_accents_hold_for_their_own_place_only() -> None:
    assert levels([mark("p", 0), mark("sfz", 4)], [], [3, 4, 5]) == [-2, 1, -2]
    assert levels([mark("fp", 4)], [], [3, 4, 5]) == [0, 1, -2]


def test_an_accent_is_never_softer_than_what_surrounds_it() -> None:
    assert levels([mark("ff", 0), mark("sfz", 4)], [], [3, 4, 5]) == [2, 2, 2]


def test_a_hairpin_leads_to_the_first_level_of_a_mark_that_falls_at_once() -> None:
    assert levels([mark("p", 0), mark("fp", 4)], [pin(0, 4, grows=True)], [0, 2, 4, 5]) == pytest.approx(
        [-2, -0.5, 1, -2]
    )


@pytest.mark.parametrize(
    ("text", "grows"),
    [
        ("cresc.", True),
        ("poco a poco cresc", True),
        ("crescendo", True),
        ("dim.", False),
        ("decresc.", False),
        ("diminuendo", False),
        ("cres.", True),
        ("dimin.", False),
        ("morendo", False),
        ("smorz.", False),
        ("senza cresc.", None),
        ("non dim.", None),
        ("crescent", None),
        ("dolce", None),
        ("dimly lit", None),
    ],
)
def test_words_that_open_a_hairpin(text: str, grows: bool | None) -> None:
    assert hairpin_of_words(text) is grows


def test_a_text_that_is_no_dynamic_has_no_level() -> None:
    assert level_of_mark("dolce") is None
    marked = level_of_mark(" FP ")
    assert marked is not None
    assert (marked.at, marked.after) == (1, -2)

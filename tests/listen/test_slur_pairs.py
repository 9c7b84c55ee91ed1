"""Which sounds are the notes of an asked slur."""

from dataclasses import replace

from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.passage import AskedNote, Passage
from slurwright.listen.slur_pairs import slur_pairs, unspoken_slurs

PASSAGE = Passage(tuple(AskedNote(220.0 + 20 * at, at * 0.5, 0.5, slurred_to_next=at in (0, 1)) for at in range(4)))


def followed(*asked: int | None, restarts: tuple[int, ...] = (), missed: tuple[int, ...] = ()) -> Following:
    played = tuple(
        PlayedNote(at * 0.5, 0.01, at * 0.5 + 0.5, 220.0, note, PlayedAs.EXTRA if note is None else PlayedAs.ASKED)
        for at, note in enumerate(asked)
    )
    return Following(played, missed, restarts)


def test_neighbours_that_are_slurred() -> None:
    assert slur_pairs(followed(0, 1, 2, 3), PASSAGE) == ((0, 1), (1, 2))


def test_a_split_leaves_another_sound_between() -> None:
    assert slur_pairs(followed(0, None, 1, 2), PASSAGE) == ((0, 2), (2, 3))


def test_no_pair_where_a_note_is_missed() -> None:
    assert slur_pairs(followed(0, 2, 3), PASSAGE) == ()


def test_each_try_counts() -> None:
    assert slur_pairs(followed(0, 1, 0, 1, 2, restarts=(2,)), PASSAGE) == ((0, 1), (2, 3), (3, 4))


def test_a_restart_on_the_second_note_is_no_slur() -> None:
    assert slur_pairs(followed(0, 1, restarts=(1,)), PASSAGE) == ()


def test_nothing_played() -> None:
    assert slur_pairs(followed(), PASSAGE) == ()


def test_a_second_note_that_never_came() -> None:
    assert unspoken_slurs(followed(0, 2, 3, missed=(1,)), PASSAGE) == ((0, 1),)


def test_a_player_who_went_back_says_nothing_of_the_slur() -> None:
    assert unspoken_slurs(followed(0, 0, 2, restarts=(1,), missed=(1,)), PASSAGE) == ((1, 1),)
    assert unspoken_slurs(followed(0, 2, restarts=(1,), missed=(1,)), PASSAGE) == ()


def test_a_note_that_is_not_slurred_to_is_no_slur() -> None:
    assert unspoken_slurs(followed(0, 1, 2, missed=(3,)), PASSAGE) == ()


def test_a_grace_note_left_out_is_passed_over() -> None:
    notes = list(PASSAGE.notes)
    notes[1] = replace(notes[1], length_s=0.08)
    assert unspoken_slurs(followed(0, 2, 3, missed=(1,)), Passage(tuple(notes))) == ()

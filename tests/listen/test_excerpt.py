"""Some notes out of a longer take."""

from slurwright.listen.excerpt import excerpt_of
from slurwright.listen.followed import Following, PlayedAs, PlayedNote


def _played(*asked: int | None) -> tuple[PlayedNote, ...]:
    return tuple(
        PlayedNote(
            float(at),
            0.01,
            at + 1.0,
            200.0,
            one,
            PlayedAs.EXTRA if one is None else PlayedAs.ASKED,
            joined_to_next=True,
        )
        for at, one in enumerate(asked)
    )


def _asked(following: Following) -> list[int | None]:
    return [note.asked for note in following.played]


def test_notes_are_counted_from_the_first_wanted_one() -> None:
    found = excerpt_of(Following(_played(0, 1, 2, 4, 5), missed=(3,)), first=2, last=4)
    assert _asked(found) == [0, 2]
    assert found.missed == (1,)
    assert found.restarts == ()


def test_what_nobody_asked_for_stays_between_wanted_notes() -> None:
    found = excerpt_of(Following(_played(None, 0, None, 1, None, 2), missed=()), first=0, last=1)
    assert _asked(found) == [0, None, 1]


def test_the_last_note_is_joined_to_nothing() -> None:
    found = excerpt_of(Following(_played(0, 1, 2), missed=()), first=0, last=1)
    assert [note.joined_to_next for note in found.played] == [True, False]


def test_going_out_and_coming_back_is_a_restart() -> None:
    found = excerpt_of(Following(_played(1, 2, 3, 4, 1, 2), missed=(), restarts=(4,)), first=1, last=2)
    assert _asked(found) == [0, 1, 0, 1]
    assert found.restarts == (2,)


def test_nothing_of_nothing() -> None:
    assert excerpt_of(Following((), ()), first=3, last=5) == Following((), ())

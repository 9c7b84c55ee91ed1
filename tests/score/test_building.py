"""From drafts to a part."""

from fractions import Fraction

from builders.parts import part_of
from slurwright.score import Direction, DirectionKind, Hairpin, Slur


def test_dynamics_and_tempo_in_force_reach_the_notes() -> None:
    part = part_of(
        "C4 D4 E4 | F4",
        directions=[
            Direction(DirectionKind.DYNAMIC, 0, Fraction(0), "p"),
            Direction(DirectionKind.DYNAMIC, 1, Fraction(3), "mf"),
            Direction(DirectionKind.TEMPO, 0, Fraction(0), "", tempo_qpm=72.0),
        ],
        hairpins=[Hairpin(Fraction(1), Fraction(3), grows=True)],
    )
    assert [note.dynamic for note in part.notes] == [-2, -2, -1, 0]
    assert {note.tempo_qpm for note in part.notes} == {72.0}
    assert part.states_dynamics
    assert part.states_tempo


def test_a_part_without_marks_says_so() -> None:
    part = part_of("C4")
    assert not part.states_dynamics
    assert not part.states_tempo


def test_slurs_are_sorted_and_doubles_dropped() -> None:
    assert part_of("((C4 (D4 E4))) F4").slurs == (Slur(0, 2), Slur(1, 2))


def test_a_slur_on_one_note_is_passed_over_with_a_notice() -> None:
    part = part_of("(C4) D4")
    assert part.slurs == ()
    assert [str(notice) for notice in part.notices] == ["measure 1: a slur covers no second note; passed over"]


def test_ties_are_marked_at_both_ends() -> None:
    part = part_of("C4~ C4 C4")
    assert [(n.tied_from_previous, n.tied_to_next) for n in part.notes] == [
        (False, True),
        (True, False),
        (False, False),
    ]


def test_a_tie_over_a_rest_joins_nothing() -> None:
    part = part_of("C4~ r C4")
    assert not part.notes[0].tied_to_next
    assert len(part.notices) == 1

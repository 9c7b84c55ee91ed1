"""The line of a part: sounds, moves, times."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.parts import part_of
from slurwright.errors import PartError
from slurwright.score import Direction, DirectionKind, Jump, Move, Part, line_of
from slurwright.score.line import BREATH_S, GRACE_S


def tempo(qpm: float, place: int = 0, measure: int = 0) -> Direction:
    return Direction(DirectionKind.TEMPO, measure, Fraction(place), "", tempo_qpm=qpm)


def move(part: Part, source: int, target: int) -> Move:
    return next(m for m in line_of(part).moves if (m.source, m.target) == (source, target))


def slurred(part: Part) -> list[tuple[int, int]]:
    return [(m.source, m.target) for m in line_of(part).moves if m.slurred]


def test_tied_notes_are_one_sound() -> None:
    line = line_of(part_of("C4/2~ C4/1~ C4/1 | C4", directions=[tempo(60)]))
    assert [sound.notes for sound in line.sounds] == [(0, 1, 2), (3,)]
    assert line.sounds[0].duration_quarter == 4
    assert line.sounds[0].duration_s == pytest.approx(4.0)
    assert line.sound_of_note() == {0: 0, 1: 0, 2: 0, 3: 1}


def test_a_tie_to_another_pitch_joins_nothing_and_is_noticed() -> None:
    part = part_of("C4~ D4")
    assert len(line_of(part).sounds) == 2
    assert any("tie" in notice.what for notice in part.notices)


def test_slurs_cover_the_moves_inside_them_only() -> None:
    assert slurred(part_of("(C4 D4 E4) F4 | (G4 A4) (B4 C5)")) == [(0, 1), (1, 2), (4, 5), (6, 7)]


def test_nested_slurs_and_slurs_over_the_bar() -> None:
    assert slurred(part_of("((C4 D4) E4 | (F4 G4)) A4")) == [(0, 1), (1, 2), (2, 3), (3, 4)]


def test_a_rest_under_a_slur_breaks_it() -> None:
    assert slurred(part_of("(C4 D4 r E4)")) == [(0, 1)]


def test_one_pitch_repeated_under_a_slur_is_tongued() -> None:
    assert slurred(part_of("(C4 C4 D4)")) == [(1, 2)]


def test_dots_or_lines_on_both_notes_are_portato() -> None:
    assert slurred(part_of("(C4. D4. E4.)")) == []
    assert slurred(part_of("(C4- D4- E4)")) == [(1, 2)]


def test_a_dot_on_the_last_note_alone_shortens_it_and_keeps_the_slur() -> None:
    assert slurred(part_of("(C4 D4.)")) == [(0, 1)]


def test_a_slur_from_a_tied_note_leads_on_from_the_whole_sound() -> None:
    assert slurred(part_of("(C4~ C4 D4) E4")) == [(0, 1)]
    assert slurred(part_of("B3 C4~ (C4 D4)")) == [(1, 2)]


def test_times_follow_tempo_and_rests_become_gaps() -> None:
    part = part_of("C4 r D4 E4", directions=[tempo(60), tempo(120, 3)])
    assert (move(part, 0, 1).time_s, move(part, 0, 1).gap_s) == pytest.approx((2.0, 1.0))
    assert move(part, 1, 2).time_s == pytest.approx(1.0)
    assert line_of(part).sounds[2].duration_s == pytest.approx(0.5)


def test_grace_notes_are_paid_for_by_the_note_they_lead_to() -> None:
    part = part_of("C4 gD4 gE4 F4 G4", directions=[tempo(60)])
    line = line_of(part)
    assert [sound.grace for sound in line.sounds] == [False, True, True, False, False]
    assert [m.time_s for m in line.moves] == pytest.approx([1.0, GRACE_S, GRACE_S, 1.0 - 2 * GRACE_S])


def test_many_grace_notes_take_no_more_than_half() -> None:
    line = line_of(part_of("gD4 gE4 gF4 gG4 A4/1/4 G4", directions=[tempo(120)]))
    assert line.sounds[4].duration_s == pytest.approx(0.125 / 2)


def test_a_breath_mark_parts_a_slur_and_takes_its_time_from_the_note() -> None:
    part = part_of("(C4, D4)", directions=[tempo(60)])
    first = move(part, 0, 1)
    assert not first.slurred
    assert (first.gap_s, first.time_s) == pytest.approx((BREATH_S, 1.0))


def test_a_repeat_adds_the_edge_back_and_counts_twice() -> None:
    line = line_of(part_of("C4 D4 | E4 F4", bars={1: {"repeat_ends": 2}}))
    assert {(m.source, m.target): m.times for m in line.moves} == {(0, 1): 2, (1, 2): 2, (2, 3): 2, (3, 0): 1}
    assert [sound.times for sound in line.sounds] == [2, 2, 2, 2]


def test_endings_skip_the_first_on_the_second_time() -> None:
    bars: dict[int, dict[str, Any]] = {
        0: {"repeat_starts": True},
        1: {"endings": (1,), "ending_starts": True, "ending_stops": True, "repeat_ends": 2},
        2: {"endings": (2,), "ending_starts": True, "ending_stops": True},
    }
    line = line_of(part_of("C4 | D4 | E4", bars=bars))
    assert {(m.source, m.target) for m in line.moves} == {(0, 1), (1, 0), (0, 2)}


def test_a_written_pair_that_is_never_played_in_sequence_has_no_move() -> None:
    bars = {0: {"jumps": (Jump.FINE,)}, 1: {"jumps": (Jump.DA_CAPO,)}}
    line = line_of(part_of("C4 | D4 | E4", bars=bars))
    assert {(m.source, m.target) for m in line.moves} == {(0, 1), (1, 0)}
    assert line.sounds[2].times == 1


def test_a_slur_over_a_jump_needs_both_its_ends() -> None:
    bars = {
        1: {"endings": (1,), "ending_starts": True, "ending_stops": True, "repeat_ends": 2},
        2: {"endings": (2,), "ending_starts": True, "ending_stops": True},
    }
    both = part_of("C4 (D4 | E4) F4 | (G4 A4)", bars=bars)
    assert not move(both, 1, 4).slurred
    through = part_of("C4 (D4 | E4 F4 | G4) A4", bars=bars)
    assert move(through, 1, 4).slurred


def test_rests_before_a_jump_are_part_of_its_gap() -> None:
    part = part_of("r C4 | D4 r", bars={1: {"repeat_ends": 2}}, directions=[tempo(60)])
    assert (move(part, 1, 0).gap_s, move(part, 1, 0).time_s) == pytest.approx((2.0, 3.0))


def test_an_empty_part_is_refused() -> None:
    with pytest.raises(PartError, match="no notes"):
        line_of(part_of("r/4"))


PITCHES = st.sampled_from(["C4", "D4", "E4", "F#4", "Bb4"])
TOKENS = st.builds(lambda p, length: f"{p}/{length}", PITCHES, st.sampled_from(["1", "2", "1/2"])) | st.just("r")
BARS = st.lists(st.lists(TOKENS, min_size=1, max_size=4).map(" ".join), min_size=1, max_size=5)


@given(BARS, st.lists(st.integers(0, 4), max_size=2))
@settings(max_examples=40, deadline=None)
def test_played_moves_add_up(bars: list[str], repeats: list[int]) -> None:
    text = " | ".join(["C4", *bars])
    part = part_of(text, bars={index: {"repeat_ends": 2} for index in repeats if index <= len(bars)})
    line = line_of(part)
    assert sum(m.times for m in line.moves) == sum(sound.times for sound in line.sounds) - 1
    assert all(m.time_s >= m.gap_s >= 0 for m in line.moves)
    assert list(line.moves) == sorted(line.moves, key=lambda m: (m.source, m.target))


@given(BARS)
@settings(max_examples=30, deadline=None)
def test_without_jumps_moves_are_neighbours_and_fill_the_time(bars: list[str]) -> None:
    part = part_of(" | ".join(["C4", *bars, "C4"]), directions=[tempo(60)])
    line = line_of(part)
    assert [(m.source, m.target) for m in line.moves] == [(i, i + 1) for i in range(len(line.sounds) - 1)]
    span = line.sounds[-1].onset_quarter - line.sounds[0].onset_quarter
    assert sum(m.time_s for m in line.moves) == pytest.approx(float(span))

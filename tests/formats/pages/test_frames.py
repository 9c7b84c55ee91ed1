from dataclasses import replace
from fractions import Fraction

from builders.stand import stand_part
from slurwright.formats.pages.frames import frame_of_measure, frames_of
from slurwright.score import Direction, DirectionKind, Hairpin, Key, Part

_EMPTY = "q:C3 q:C3 h:C3 | - | - | - | - | w:C3"


def _counts(part: Part) -> list[int]:
    return [frame.count for frame in frames_of(part)]


def test_empty_measures_are_counted_together() -> None:
    part = stand_part(_EMPTY)
    assert _counts(part) == [1, 4, 1]
    assert frame_of_measure(frames_of(part)) == {0: 0, 1: 1, 2: 1, 3: 1, 4: 1, 5: 2}


def test_a_sign_parts_a_long_rest() -> None:
    part = stand_part(_EMPTY)
    sign = Direction(DirectionKind.REHEARSAL, 3, part.measures[3].onset_quarter, "B")
    assert _counts(replace(part, directions=(sign,))) == [1, 2, 2, 1]


def test_a_sign_inside_a_measure_keeps_that_measure_alone() -> None:
    part = stand_part(_EMPTY)
    sign = Direction(DirectionKind.WORDS, 3, part.measures[3].onset_quarter + 2, "watch")
    assert _counts(replace(part, directions=(sign,))) == [1, 2, 1, 1, 1]


def test_what_a_player_must_see_parts_a_long_rest() -> None:
    opening: list[dict[str, object]] = [{"key": Key(2)}, {"repeat_starts": True}, {"ending_starts": True}]
    for change in opening:
        assert _counts(stand_part(_EMPTY, measures={3: change})) == [1, 2, 2, 1], change
    closing: list[dict[str, object]] = [{"double_bar": True}, {"repeat_ends": 2}, {"ending_stops": True}]
    for change in closing:
        assert _counts(stand_part(_EMPTY, measures={2: change})) == [1, 2, 2, 1], change


def test_a_fermata_over_a_rest_is_not_hidden() -> None:
    part = stand_part(_EMPTY)
    rests = tuple(replace(rest, fermata=rest.measure == 2) for rest in part.rests)
    assert _counts(replace(part, rests=rests)) == [1, 1, 1, 2, 1]


def test_a_hairpin_over_rests_keeps_its_measures() -> None:
    part = stand_part(_EMPTY)
    pin = Hairpin(part.measures[0].onset_quarter + 1, part.measures[3].onset_quarter, grows=False)
    assert _counts(replace(part, hairpins=(pin,))) == [1, 1, 1, 2, 1]


def test_a_shortened_measure_is_not_counted_in() -> None:
    part = stand_part(_EMPTY)
    measures = tuple(
        replace(measure, duration_quarter=Fraction(2)) if measure.index == 2 else measure for measure in part.measures
    )
    assert _counts(replace(part, measures=measures)) == [1, 1, 1, 2, 1]


def test_what_is_not_drawn_parts_no_long_rest() -> None:
    part = stand_part(_EMPTY)
    start = part.measures[3].onset_quarter
    hidden = tuple(Direction(DirectionKind.TEMPO, 3, start + late, "", 90.0, printed=False) for late in (0, 2))
    assert _counts(replace(part, directions=hidden)) == [1, 4, 1]

"""Other dynamics and tempos for the same line."""

import pytest

from builders.lines import PP, random_line
from slurwright.devices.packaged import load_chances, load_horn
from slurwright.errors import RequestError
from slurwright.plan import plan_line
from slurwright.plan.conditions import with_dynamic, with_pace, with_tempo

CHANCES = load_chances()
EUPHONIUM = load_horn("euphonium-4c")
LINE = random_line(EUPHONIUM, 40, seed=1)


def test_one_dynamic_holds_everywhere() -> None:
    soft = with_dynamic(LINE, PP)
    assert {sound.dynamic for sound in soft.sounds} == {move.dynamic for move in soft.moves} == {PP}
    assert [sound.duration_s for sound in soft.sounds] == [sound.duration_s for sound in LINE.sounds]


def test_a_tempo_scales_all_times() -> None:
    fast = with_tempo(LINE, 150.0, marked_qpm=100.0)
    for before, after in zip(LINE.sounds, fast.sounds, strict=True):
        assert after.duration_s == pytest.approx(before.duration_s / 1.5)
        assert after.duration_quarter == before.duration_quarter
    for was, now in zip(LINE.moves, fast.moves, strict=True):
        assert now.time_s == pytest.approx(was.time_s / 1.5)
        assert now.gap_s == pytest.approx(was.gap_s / 1.5)


def test_softer_and_faster_is_harder() -> None:
    plain = plan_line(LINE, EUPHONIUM, chances=CHANCES)[0]
    assert plan_line(with_dynamic(LINE, -4.0), EUPHONIUM, chances=CHANCES)[0].chance_slurs < plain.chance_slurs
    assert plan_line(with_pace(LINE, 2.0), EUPHONIUM, chances=CHANCES)[0].chance_fingers < plain.chance_fingers


@pytest.mark.parametrize("pace", [0.0, -1.0, float("nan")])
def test_a_pace_must_be_above_zero(pace: float) -> None:
    with pytest.raises(RequestError):
        with_pace(LINE, pace)
    with pytest.raises(RequestError):
        with_tempo(LINE, pace, marked_qpm=100.0)

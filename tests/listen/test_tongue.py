"""What the level and the noise around a change say, on sounds made here."""

import numpy as np
import pytest

from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.measures import Room
from slurwright.listen.slur_window import SlurWindow
from slurwright.listen.sound import HeldSound
from slurwright.listen.tongue import TouchTraits, touch_traits

RATE = 22050.0
DRY = Room(Hidden(Veil.UNHEARD), Figure(30.0, 20.0, 40.0))


def touched(*, depth_db: float, width_s: float, puff: float = 0.0, room: Room = DRY) -> TouchTraits:
    """Two notes with a notch of a half cosine's shape where they meet, and perhaps a puff of air after it."""
    times = np.arange(round(1.0 * RATE)) / RATE
    phase = 2 * np.pi * np.cumsum(np.where(times < 0.5, 220.0, 330.0)) / RATE
    tone = np.sum([np.sin(n * phase + n * n) / n for n in range(1, 9)], axis=0)
    away = np.abs(times - 0.5)
    dip = np.where(away < width_s / 2, 0.5 + 0.5 * np.cos(2 * np.pi * away / width_s), 0.0)
    tone *= 1.0 - (1.0 - 10 ** (-depth_db / 20)) * dip
    noise = np.random.default_rng(7).standard_normal(len(times))
    air = np.where(times > 0.5, np.exp(-np.maximum(times - 0.5, 0.0) / 0.018), 0.0)
    samples = 0.1 * tone + 1e-4 * noise + puff * air * noise
    window = SlurWindow(220.0, 330.0, 0.0, 0.5, 1.0)
    return touch_traits(HeldSound(samples.astype(np.float32), RATE), window, room)


def test_a_notch_is_sharper_than_a_dip_as_deep() -> None:
    notch, dip = (touched(depth_db=15.0, width_s=width) for width in (0.035, 0.15))
    assert notch.notch_db > 1.5 * dip.notch_db
    assert notch.level_ms < dip.level_ms


def test_a_deeper_notch_is_told() -> None:
    depths = [touched(depth_db=depth, width_s=0.06).total_db for depth in (3.0, 9.0, 20.0)]
    assert depths == sorted(depths)
    assert depths[0] == pytest.approx(3.0, abs=0.5)
    assert depths[2] > 15.0


def test_a_puff_of_air_is_heard() -> None:
    plain, puffed = (touched(depth_db=12.0, width_s=0.035, puff=puff) for puff in (0.0, 0.01))
    assert puffed.puff_db > plain.puff_db + 3.0
    assert puffed.hiss_db > plain.hiss_db + 3.0


@pytest.mark.parametrize(("direct_db", "floor_db"), [(30.0, 20.0), (12.0, 12.3), (3.0, 4.8), (-10.0, 3.0)])
def test_a_live_room_leaves_little_to_see(direct_db: float, floor_db: float) -> None:
    room = Room(Hidden(Veil.UNHEARD), Figure(direct_db, direct_db - 2, direct_db + 2))
    assert touched(depth_db=6.0, width_s=0.05, room=room).floor_db == pytest.approx(floor_db, abs=0.1)


def test_too_short_a_sound_says_nothing() -> None:
    sound = HeldSound(np.zeros(200, np.float32), RATE)
    assert touch_traits(sound, SlurWindow(220.0, 330.0, 0.0, 0.004, 0.009), DRY) == TouchTraits()

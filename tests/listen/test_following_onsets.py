"""Starts and ends of notes on sounds whose truth is exact."""

import numpy as np
import pytest

from builders.takes import heard
from slurwright.listen.following_change import change_of
from slurwright.listen.following_level import dips_of
from slurwright.listen.following_low import is_low
from slurwright.listen.following_rise import fall_of, rise_of
from slurwright.listen.sound import HeldSound
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Attack, Note, Retongue, Script, Slur
from slurwright.synth.rendering import RenderedTake, render

PITCHES_HZ = (55.0, 110.0, 233.0, 466.0, 932.0)


def played(*notes: Note) -> RenderedTake:
    end = notes[-1].onset_s + notes[-1].length_s
    return render(Script(notes, end + 0.5), rng=np.random.default_rng(7))


@pytest.mark.parametrize("hz", PITCHES_HZ)
@pytest.mark.parametrize("attack_s", [0.015, 0.05])
def test_a_tongued_note_starts_at_half_amplitude(hz: float, attack_s: float) -> None:
    take = played(Note(hz, 0.5, 0.6, attack=Attack(time_s=max(attack_s, 1.0 / hz))))
    rise = rise_of(heard(take), 0.52, hz, earliest_s=0.0, latest_s=1.0)
    assert rise is not None
    assert rise.time_s == pytest.approx(0.5, abs=0.002 + 0.1 / hz)
    assert rise.depth_db > 20.0


@pytest.mark.parametrize("hz", PITCHES_HZ)
def test_a_note_stops_at_half_amplitude(hz: float) -> None:
    take = played(Note(hz, 0.5, 0.6))
    fall = fall_of(heard(take), 1.08, hz, earliest_s=0.5, latest_s=1.5)
    assert fall is not None
    assert fall.time_s == pytest.approx(1.1, abs=0.004 + 0.25 / hz)


@pytest.mark.parametrize("hz", PITCHES_HZ)
@pytest.mark.parametrize("semitones", [-12.0, -5.0, 2.0, 7.0])
def test_a_slurred_note_starts_half_way(hz: float, semitones: float) -> None:
    second = hz * 2.0 ** (semitones / 12.0)
    take = played(Note(hz, 0.5, 0.5, Slur(glide_s=0.03)), Note(second, 1.0, 0.5))
    true = take.truth.notes[1].onset_s
    change = change_of(heard(take), true + 0.015, hz, second, earliest_s=0.5, latest_s=1.5)
    assert change is not None
    assert change.time_s == pytest.approx(true, abs=0.003 + (0.2 if second > 30.0 else 0.6) / min(hz, second))


def test_silence_neither_rises_nor_falls_nor_changes() -> None:
    silence = HeldSound(np.zeros(20_000, np.float32), 22050.0)
    assert rise_of(silence, 0.4, 200.0, earliest_s=0.0, latest_s=0.9) is None
    assert fall_of(silence, 0.4, 200.0, earliest_s=0.0, latest_s=0.9) is None


def test_a_note_that_does_not_change_has_no_change() -> None:
    take = played(Note(220.0, 0.5, 1.0))
    assert change_of(heard(take), 1.0, 220.0, 330.0, earliest_s=0.6, latest_s=1.4) is None


@pytest.mark.parametrize("hz", PITCHES_HZ)
def test_the_tongue_on_a_sounding_note_is_found(hz: float) -> None:
    take = played(Note(hz, 0.5, 0.5, Retongue()), Note(hz, 1.0, 0.5))
    sound = heard(take)
    dips = dips_of(sound, pitch_track(sound))
    sure = dips.time_s[(dips.odds > 1.0) & (dips.time_s > 0.6) & (dips.time_s < 1.45)]
    assert len(sure) >= 1
    assert np.all(np.abs(sure - take.truth.notes[1].onset_s) < 0.03)


def test_a_steady_note_has_no_new_start() -> None:
    take = played(Note(220.0, 0.5, 2.0))
    sound = heard(take)
    dips = dips_of(sound, pitch_track(sound))
    inside = (dips.time_s > 0.6) & (dips.time_s < 2.4)
    assert not np.any(dips.odds[inside] > 0.0)


def test_dips_do_not_depend_on_where_blocks_meet() -> None:
    times = np.arange(0.5, 42.0, 0.5)
    notes = [Note(220.0, float(at), 0.44) for at in times]
    take = played(*notes)
    sound = heard(take)
    dips = dips_of(sound, pitch_track(sound))
    strong = dips.time_s[dips.odds > 3.0]
    gaps = np.array([np.min(np.abs(strong - at)) for at in times[1:]])
    assert np.all(gaps < 0.08)


@pytest.mark.parametrize("part", [2, 3])
def test_a_low_note_is_told_from_two_high_ones(part: int) -> None:
    low = 98.0
    sounding = played(Note(low, 0.3, 0.6))
    high = played(Note(low * part, 0.3, 0.6)), played(Note(low * 5, 0.3, 0.6))
    mixed = HeldSound(high[0].samples + 0.5 * high[1].samples, 22050.0)
    assert is_low(heard(sounding), 0.4, 0.85, low_hz=low, part=part)
    assert not is_low(mixed, 0.4, 0.85, low_hz=low, part=part)

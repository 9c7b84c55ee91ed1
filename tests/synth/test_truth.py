"""Is the truth of a take what its definitions say? Checked against closed forms, and against the sound itself."""

from dataclasses import replace
from math import acos, cos, exp, log, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.errors import RequestError
from slurwright.synth import (
    Attack,
    Choke,
    Dwell,
    Note,
    Player,
    Rest,
    Retongue,
    Script,
    Shape,
    Slur,
    Standing,
    Tongue,
    Vibrato,
)
from slurwright.synth.rendering import RenderedTake, render
from slurwright.synth.truth import SlurTruth, Truth

QUIET = Player(breath_db=-150.0)
FIRST, SECOND = 233.0, 310.0


def played(*notes: Note, length_s: float = 2.4, player: Player = QUIET, seed: int = 1) -> RenderedTake:
    return render(Script(notes, length_s, player=player), rng=np.random.default_rng(seed))


def slurred(slur: Slur, hz: tuple[float, float] = (FIRST, SECOND), **second: float) -> Truth:
    note = replace(Note(hz[1], 1.0, 0.9), **second)  # type: ignore[arg-type]
    return played(Note(hz[0], 0.3, 0.7, slur), note).truth


def of_slur(slur: Slur, hz: tuple[float, float] = (FIRST, SECOND)) -> SlurTruth:
    return slurred(slur, hz).slurs[0]


def cents_at(truth: Truth, time_s: float) -> float:
    return float(1200 * np.log2(np.interp(time_s, np.arange(len(truth.hz)) * truth.step_s, truth.hz) / 440))


SIDES = st.sampled_from([(FIRST, SECOND), (SECOND, FIRST), (58.0, 87.0), (700.0, 1050.0), (440.0, 415.3)])


@settings(max_examples=25, deadline=None)
@given(glide=st.floats(0.01, 0.2), hz=SIDES)
def test_a_linear_glide_takes_four_fifths_of_its_time(glide: float, hz: tuple[float, float]) -> None:
    assert of_slur(Slur(glide, Shape.LINEAR), hz).time_ms == pytest.approx(800 * glide, abs=0.02)


@settings(max_examples=15, deadline=None)
@given(glide=st.floats(0.01, 0.2), hz=SIDES)
def test_other_shapes_take_what_their_inverse_says(glide: float, hz: tuple[float, float]) -> None:
    smooth = 1 - 2 * acos(0.8) / pi
    assert of_slur(Slur(glide, Shape.SMOOTH), hz).time_ms == pytest.approx(1000 * glide * smooth, abs=0.02)
    whole = 1 - exp(-5)
    settling = (log(1 - 0.1 * whole) - log(1 - 0.9 * whole)) / 5
    assert of_slur(Slur(glide, Shape.SETTLING), hz).time_ms == pytest.approx(1000 * glide * settling, abs=0.05)


@settings(max_examples=20, deadline=None)
@given(depth=st.floats(0.0, 18.0), width=st.floats(0.02, 0.2), step=st.floats(-6.0, 6.0))
def test_a_dip_has_the_depth_and_length_of_a_raised_cosine(depth: float, width: float, step: float) -> None:
    truth = slurred(Slur(0.02, dip_db=depth, dip_s=width), level_db=-20.0 + step).slurs[0]
    assert truth.dip_db == pytest.approx(depth, abs=0.002)
    length_s = width / pi * acos(6 / depth - 1) if depth > 3.0 else 0.0
    assert truth.dip_ms == pytest.approx(1000 * length_s, abs=1.0 if depth < 3.1 else 0.25)
    assert truth.silence_ms == 0.0


@settings(max_examples=15, deadline=None)
@given(silence=st.floats(0.005, 0.3))
def test_a_silence_is_as_long_as_it_says(silence: float) -> None:
    truth = slurred(Slur(silence_s=silence))
    assert truth.slurs[0].silence_ms == pytest.approx(1000 * silence, abs=0.25)
    assert truth.slurs[0].dip_db == pytest.approx(60.0)


def test_after_a_silence_a_note_starts_at_half_amplitude() -> None:
    truth = slurred(Slur(silence_s=0.08, dip_db=0.0))
    times = np.arange(len(truth.level_db)) * truth.step_s
    assert np.interp(1.0, times, truth.level_db) == pytest.approx(-26.0, abs=0.3)
    assert truth.notes[1].onset_s == 1.0


@pytest.mark.parametrize("hz", [(FIRST, SECOND), (SECOND, FIRST)])
def test_a_scoop_is_what_is_left_of_it_after_forty_milliseconds(hz: tuple[float, float]) -> None:
    slur = Slur(0.0001, Shape.LINEAR, scoop_cents=100.0, settle_s=0.2)
    left = 100 * (0.5 + 0.5 * cos(pi * 0.04 / 0.2))
    assert of_slur(slur, hz).scoop_cents == pytest.approx(left, abs=0.2)


def test_a_low_note_is_given_two_and_a_half_periods_to_arrive() -> None:
    slur = Slur(0.0001, Shape.LINEAR, scoop_cents=100.0, settle_s=0.2)
    left = 100 * (0.5 + 0.5 * cos(pi * 2.5 / 50.0 / 0.2))
    assert of_slur(slur, (40.0, 50.0)).scoop_cents == pytest.approx(left, abs=0.2)


def test_a_slow_glide_upwards_is_a_scoop_and_downwards_is_none() -> None:
    slow = Slur(0.2, Shape.LINEAR)
    interval = 1200 * np.log2(SECOND / FIRST)
    assert of_slur(slow).scoop_cents == pytest.approx(interval * (0.5 - 0.04 / 0.2), abs=0.2)
    assert of_slur(slow, (SECOND, FIRST)).scoop_cents == 0.0


@pytest.mark.parametrize("hz", [(FIRST, SECOND), (SECOND, FIRST)])
def test_an_overshoot_goes_away_from_the_first_note(hz: tuple[float, float]) -> None:
    truth = of_slur(Slur(0.03, overshoot_cents=70.0), hz)
    assert truth.overshoot_cents == pytest.approx(70.0, abs=0.05)
    assert of_slur(Slur(0.03), hz).overshoot_cents < 1e-9


@settings(max_examples=25, deadline=None)
@given(
    hz=SIDES,
    glide=st.floats(0.01, 0.08),
    shape=st.sampled_from(Shape),
    scoop=st.sampled_from([0.0, 0.0, 60.0]),
    tongue=st.sampled_from([None, Tongue()]),
)
def test_a_slurred_note_starts_where_the_pitch_is_half_way(
    hz: tuple[float, float], glide: float, shape: Shape, scoop: float, tongue: Tongue | None
) -> None:
    truth = slurred(Slur(glide, shape, scoop_cents=scoop, tongue=tongue), hz)
    assert truth.notes[1].onset_s == truth.notes[0].offset_s == pytest.approx(1.0, abs=1e-9)
    half = 600 * np.log2(hz[0] / 440) + 600 * np.log2(hz[1] / 440)
    speed = abs(1200 * np.log2(hz[1] / hz[0])) / glide * 5
    assert cents_at(truth, 1.0) == pytest.approx(half, abs=truth.step_s * speed)


def test_where_another_note_sounds_between_the_second_starts_after_it() -> None:
    truth = slurred(Slur(0.02, dwells=(Dwell(270.0, 0.08),)))
    assert cents_at(truth, 1.0 - 0.02) == pytest.approx(1200 * np.log2(270 / 440), abs=0.01)
    assert cents_at(truth, 1.0 - 0.08) == pytest.approx(1200 * np.log2(270 / 440), abs=0.01)
    assert cents_at(truth, 1.0 + 0.011) == pytest.approx(1200 * np.log2(SECOND / 440), abs=0.01)
    assert truth.slurs[0].dwells == (Dwell(270.0, 0.08),)
    assert truth.slurs[0].time_ms > 80


def test_a_note_between_may_be_softer_and_that_is_a_dip() -> None:
    soft = of_slur(Slur(0.02, dip_db=0.0, dwells=(Dwell(270.0, 0.08, softer_db=5.0),)))
    assert soft.dip_db == pytest.approx(5.0, abs=0.01)
    assert 70.0 < soft.dip_ms < 110.0


def test_what_became_of_a_slur_is_said() -> None:
    fell = of_slur(Slur(dwells=(Dwell(SECOND, 0.06), Dwell(FIRST, 0.06))))
    assert fell.fell_back
    assert not of_slur(Slur(dwells=(Dwell(270.0, 0.06),))).fell_back
    assert of_slur(Slur(tongue=Tongue(depth_db=16.0), dip_db=0.0)).dip_db == pytest.approx(16.0, abs=0.05)
    assert of_slur(Slur(tongue=Tongue())).tongued
    assert not of_slur(Slur()).tongued
    choked = of_slur(Slur(choke=Choke(depth_db=8.0), dip_db=0.0))
    assert choked.half_valve
    assert choked.dip_db == pytest.approx(8.0, abs=0.01)


@pytest.mark.parametrize("join", [Rest(), Retongue()])
def test_a_tongued_note_starts_where_the_level_is_at_half_amplitude(join: Rest | Retongue) -> None:
    second = Note(FIRST, 1.0, 0.8, attack=Attack(0.04))
    truth = played(Note(FIRST, 0.3, 0.7 if isinstance(join, Retongue) else 0.6, join), second).truth
    times = np.arange(len(truth.level_db)) * truth.step_s
    early = truth.level_db[(times >= 1.0) & (times < 1.08)].max()
    under = (times > 0.97) & (times <= 1.0)
    assert early == pytest.approx(-20.0, abs=0.01)
    assert np.interp(1.0, times, truth.level_db) == pytest.approx(early - 6.02, abs=0.25)
    if isinstance(join, Retongue):
        assert truth.level_db[under].min() == pytest.approx(-40.0, abs=0.3)
    assert truth.notes[0].joined_to_next is isinstance(join, Retongue)


def test_a_notes_pitch_is_that_of_its_steady_middle() -> None:
    truth = played(
        Note(
            200.0,
            0.3,
            1.0,
            attack=Attack(scoop_cents=80.0, scoop_s=0.05),
            drift_cents_s=20.0,
            vibrato=Vibrato(5.5, 30),
        ),
    ).truth
    note = truth.notes[0]
    assert note.steady_s == pytest.approx((0.36, 1.26))
    middle_s = 0.5 * sum(note.steady_s) - (0.3 - 0.015)
    assert 1200 * np.log2(note.hz / 200) == pytest.approx(20.0 * middle_s, abs=0.1)
    assert note.attack_scoop_cents == 80.0
    assert cents_at(truth, 0.286) == pytest.approx(1200 * np.log2(200 / 440) - 80.0, abs=0.5)


def test_the_level_path_is_the_level_of_the_sound() -> None:
    take = played(Note(FIRST, 0.3, 0.7, Slur(dip_db=9.0, dip_s=0.12)), Note(SECOND, 1.0, 0.8, level_db=-14.0))
    power = np.cumsum(np.concatenate(([0.0], take.samples.astype(np.float64) ** 2)))
    width = round(0.02 * take.rate_hz)
    for at in (0.5, 0.8, 0.98, 1.0, 1.02, 1.3):
        first = round(at * take.rate_hz) - width // 2
        heard = 10 * np.log10((power[first + width] - power[first]) / width)
        times = np.arange(len(take.truth.level_db)) * take.truth.step_s
        mean = 10 * np.log10(np.mean(10 ** (take.truth.level_db[np.abs(times - at) <= 0.01] / 10)))
        assert heard == pytest.approx(mean, abs=0.6)


def test_silence_between_notes_has_no_pitch() -> None:
    truth = played(Note(FIRST, 0.3, 0.5), Note(SECOND, 1.2, 0.5, asked=4, standing=Standing.WRONG)).truth
    times = np.arange(len(truth.hz)) * truth.step_s
    assert (truth.hz[(times > 0.85) & (times < 1.15)] == 0).all()
    assert (truth.hz[(times > 0.3) & (times < 0.8)] > 0).all()
    assert truth.slurs == ()
    assert (truth.notes[1].asked, truth.notes[1].standing) == (4, Standing.WRONG)


def test_notes_that_go_back_in_time_are_refused() -> None:
    with pytest.raises(RequestError, match="does not come after"):
        played(Note(FIRST, 0.5, 0.5), Note(SECOND, 0.4, 0.5))
    with pytest.raises(RequestError, match="reaches into the next"):
        played(Note(FIRST, 0.3, 0.3, Slur()), Note(SECOND, 0.6, 0.02, Slur()), Note(FIRST, 0.62, 0.4))

"""A note as it is measured, against the truth of made-up takes; seeds from 1000 up, which nothing was fitted to."""

import math

import numpy as np
import pytest

from builders.takes import CONDITIONS, NOTES_HZ, RATE_HZ, heard, lone_note, voice_for
from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.listen.measures import NoteMeasure
from slurwright.listen.notes import measure_note
from slurwright.listen.sound import HeldSound
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Attack, Note, Place, Player, Script, Slur, Vibrato
from slurwright.synth.rendering import RenderedTake, render

UNSTEADY = Player(wander_cents=1.5, jitter_cents=0.5, shimmer_db=0.4, breath_db=-45.0)


def measures_of(take: RenderedTake) -> list[NoteMeasure]:
    """Measure all notes of a take against the pitch that they truly have."""
    sound = heard(take)
    track = pitch_track(sound)
    return [
        measure_note(
            sound,
            track,
            PlayedNote(note.onset_s, 0.005, note.offset_s, note.hz, index, PlayedAs.ASKED),
            played_index=index,
            target_hz=note.hz,
        )
        for index, note in enumerate(take.truth.notes)
    ]


def figure(measured: Measured) -> Figure:
    assert isinstance(measured, Figure)
    assert math.isfinite(measured.low)
    assert measured.low <= measured.value <= measured.high
    return measured


def played(script: Script, *, seed: int, place: Place | None = None, rate_hz: float = RATE_HZ) -> RenderedTake:
    return render(script, rng=np.random.default_rng(seed), rate_hz=rate_hz, place=place or Place(noise_db=40.0))


@pytest.mark.parametrize(
    ("condition", "median", "most"),
    [("clean", 0.01, 0.05), ("room", 0.05, 0.2), ("laptop", 0.05, 0.2), ("vibrato", 0.25, 1.0)],
)
def test_a_steady_players_pitch(condition: str, median: float, most: float) -> None:
    errors = []
    for index, hz in enumerate(NOTES_HZ[::3]):
        (note,) = measures_of(lone_note(hz, condition, seed=1000 + index, length_s=0.9))
        errors.append(abs(figure(note.cents).value))
    assert np.median(errors) <= median
    assert np.max(errors) <= most


def test_intervals_hold_the_truth_nine_times_in_ten() -> None:
    """Chance alone takes 36 notes from nine tenths to between eight and all."""
    inside, widths = [], []
    for index, hz in enumerate(np.geomspace(30.0, 1300.0, 36)):
        condition = tuple(CONDITIONS)[index % 4]
        take = lone_note(float(hz), condition, seed=1100 + index, length_s=0.6, player=UNSTEADY)
        cents = figure(measures_of(take)[0].cents)
        inside.append(cents.low <= 0 <= cents.high)
        widths.append(cents.high - cents.low)
    assert 0.78 <= np.mean(inside) <= 1.0
    assert np.mean(widths) < 1.5


def test_pitch_is_told_against_the_target() -> None:
    take = lone_note(233.08, "clean", seed=1001)
    truth = take.truth.notes[0]
    sound = heard(take)
    note = PlayedNote(truth.onset_s, 0.005, truth.offset_s, 235.0, 0, PlayedAs.ASKED)
    target = truth.hz * 2 ** (-17.5 / 1200)
    measure = measure_note(sound, pitch_track(sound), note, played_index=4, target_hz=target)
    assert figure(measure.cents).value == pytest.approx(17.5, abs=0.05)
    assert measure.played == 4


@pytest.mark.parametrize("hz", [43.65, 174.6, 698.5])
def test_a_vibrato_is_told(hz: float) -> None:
    note = Note(hz, 0.3, 2.0, vibrato=Vibrato(5.8, 14.0))
    (measure,) = measures_of(played(Script((note,), 2.7, voice_for(hz), UNSTEADY), seed=1002))
    assert measure.vibrato is not None
    assert figure(measure.vibrato.rate_hz).value == pytest.approx(5.8, abs=0.1)
    assert figure(measure.vibrato.extent_cents).value == pytest.approx(14.0, abs=2.0)
    assert measure.vibrato.extent_cents.low <= 14.0 <= measure.vibrato.extent_cents.high
    assert abs(figure(measure.cents).value) < 0.8


def test_a_wander_is_no_vibrato() -> None:
    restless = Player(wander_cents=3.0, wander_hz=4.0, jitter_cents=0.5)
    for index in range(12):
        take = lone_note(311.1, "clean", seed=1200 + index, length_s=0.6 + 0.15 * index, player=restless)
        assert measures_of(take)[0].vibrato is None


@pytest.mark.parametrize("slope", [-12.0, 0.0, 8.0])
def test_a_drift_is_told(slope: float) -> None:
    take = lone_note(196.0, "room", seed=1003, length_s=1.5, drift_cents_s=slope)
    (note,) = measures_of(take)
    drift = figure(note.drift_cents_s)
    assert drift.value == pytest.approx(slope, abs=0.5)
    assert drift.low <= slope <= drift.high


@pytest.mark.parametrize("wander", [0.0, 2.0, 6.0])
def test_a_wander_is_told(wander: float) -> None:
    take = lone_note(261.6, "clean", seed=1004, length_s=4.0, player=Player(wander_cents=wander))
    assert figure(measures_of(take)[0].wander_cents).value == pytest.approx(wander, rel=0.4, abs=0.1)


@pytest.mark.parametrize(("hz", "scoop"), [(466.2, 0.0), (466.2, 40.0), (174.6, 30.0), (932.3, 60.0)])
def test_an_attack_from_below_is_told(hz: float, scoop: float) -> None:
    note = Note(hz, 0.4, 1.0, attack=Attack(scoop_cents=scoop))
    (measure,) = measures_of(played(Script((note,), 1.7, voice_for(hz)), seed=1005))
    value = figure(measure.scoop_cents)
    assert value.value == pytest.approx(scoop, abs=8.0)
    assert value.low <= scoop <= value.high + 0.1


def test_a_slurred_note_has_no_attack() -> None:
    script = Script((Note(233.1, 0.4, 0.8, join=Slur()), Note(293.7, 1.2, 0.8)), 2.4, voice_for(233.1))
    first, second = measures_of(played(script, seed=1006))
    assert isinstance(first.scoop_cents, Figure)
    assert second.scoop_cents == Hidden(Veil.UNHEARD)
    assert abs(figure(second.cents).value) < 0.2


def test_a_louder_note_is_louder_and_brighter() -> None:
    script = Script(
        (Note(233.1, 0.3, 0.8, level_db=-32.0), Note(233.1, 1.4, 0.8, level_db=-14.0)), 2.6, voice_for(233.1)
    )
    soft, loud = measures_of(played(script, seed=1007))
    assert soft.level_db == pytest.approx(-32.0, abs=0.5)
    assert loud.level_db == pytest.approx(-14.0, abs=0.5)
    assert figure(loud.brightness).value > figure(soft.brightness).value + 0.5


@pytest.mark.parametrize("length_s", [0.08, 0.12, 0.2])
def test_a_short_note_has_a_pitch_with_a_wider_interval(length_s: float) -> None:
    short, long = (
        figure(measures_of(lone_note(440.0, "room", seed=1008, length_s=s, player=UNSTEADY))[0].cents)
        for s in (length_s, 2.0)
    )
    assert abs(short.value) < 6.0
    assert short.high - short.low > long.high - long.low


@pytest.mark.parametrize(("hz", "length_s"), [(29.1, 0.15), (29.1, 0.05), (58.3, 0.06), (440.0, 0.01)])
def test_a_note_too_short_for_its_pitch_says_so(hz: float, length_s: float) -> None:
    take = lone_note(hz, "clean", seed=1009, length_s=length_s)
    assert measures_of(take)[0].cents == Hidden(Veil.SHORT)


@pytest.mark.parametrize("kind", ["noise", "silence"])
def test_where_nothing_sounds_nothing_is_told(kind: str) -> None:
    rng = np.random.default_rng(1010)
    samples = 0.01 * rng.standard_normal(22050) if kind == "noise" else np.zeros(22050)
    sound = HeldSound(samples.astype(np.float32), RATE_HZ)
    note = PlayedNote(0.2, 0.01, 0.8, 220.0, 0, PlayedAs.ASKED)
    measure = measure_note(sound, pitch_track(sound), note, played_index=0, target_hz=220.0)
    assert measure.cents == Hidden(Veil.SOFT)
    assert measure.vibrato is None
    assert math.isfinite(measure.level_db)


def test_at_eight_kilohertz_a_high_note_has_a_pitch_but_no_brightness() -> None:
    take = lone_note(1318.5, "room", seed=1011, rate_hz=8000.0)
    (note,) = measures_of(take)
    assert abs(figure(note.cents).value) < 0.4
    assert isinstance(note.brightness, Hidden)


def test_an_offset_changes_nothing() -> None:
    take = lone_note(87.3, "clean", seed=1012)
    truth = take.truth.notes[0]
    note = PlayedNote(truth.onset_s, 0.005, truth.offset_s, truth.hz, 0, PlayedAs.ASKED)
    sound = HeldSound(take.samples + np.float32(0.3), take.rate_hz)
    measure = measure_note(sound, pitch_track(sound), note, played_index=0, target_hz=truth.hz)
    assert abs(figure(measure.cents).value) < 0.05


def test_a_glissando_shows_as_drift() -> None:
    take = lone_note(174.6, "clean", seed=1013, length_s=1.0, drift_cents_s=150.0)
    (note,) = measures_of(take)
    assert figure(note.drift_cents_s).value == pytest.approx(150.0, abs=3.0)
    assert note.vibrato is None


def test_a_very_long_note_is_measured_in_its_middle() -> None:
    take = lone_note(116.5, "clean", seed=1014, length_s=33.0)
    (note,) = measures_of(take)
    assert note.steady_s[1] - note.steady_s[0] == pytest.approx(30.0, abs=0.2)
    assert abs(figure(note.cents).value) < 0.01

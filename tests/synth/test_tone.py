"""Is a made-up tone what its paths say: in pitch at each moment, in level, in its harmonics?"""

import numpy as np
import pytest
from numpy.typing import NDArray

from slurwright.synth import (
    EUPHONIUM,
    TRUMPET,
    TUBA,
    VOICES,
    Choke,
    Dwell,
    Note,
    Player,
    Retongue,
    Script,
    Shape,
    Slur,
    Tongue,
    Voice,
)
from slurwright.synth.paths import Paths, paths_of
from slurwright.synth.rendering import render
from slurwright.synth.slurpath import REFERENCE_HZ
from slurwright.synth.tone import spectrum_db, tone_of

RATE = 22050.0
HOP = 9
QUIET = Player(breath_db=-150.0)


def laid_out(*notes: Note, length_s: float, player: Player = QUIET) -> Paths:
    return paths_of(Script(notes, length_s, player=player), step_s=HOP / RATE, rng=np.random.default_rng(7))


def tone(paths: Paths, voice: Voice = EUPHONIUM) -> NDArray[np.float32]:
    return tone_of(paths, voice, rate_hz=RATE, hop=HOP)


def steady(hz: float, voice: Voice = EUPHONIUM, level_db: float = -20.0) -> NDArray[np.float32]:
    """One second from the middle of a long note."""
    samples = tone(laid_out(Note(hz, 0.2, 1.6, level_db=level_db), length_s=2.0), voice)
    return samples[int(0.5 * RATE) : int(1.5 * RATE)]


def spectrum(samples: NDArray[np.float32]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequencies and power, leakage 100 dB down a few hertz away."""
    n = np.arange(len(samples)) / len(samples)
    blackman_harris = (
        0.35875 - 0.48829 * np.cos(2 * np.pi * n) + 0.14128 * np.cos(4 * np.pi * n) - 0.01168 * np.cos(6 * np.pi * n)
    )
    power = np.abs(np.fft.rfft(samples.astype(np.float64) * blackman_harris)) ** 2
    return np.asarray(np.fft.rfftfreq(len(samples), 1 / RATE), np.float64), power


def harmonics_db(samples: NDArray[np.float32], hz: float, count: int) -> NDArray[np.float64]:
    freq, power = spectrum(samples)
    return np.array([10 * np.log10(power[np.abs(freq - k * hz) < 5].sum()) for k in range(1, count + 1)])


@pytest.mark.parametrize("hz", [29.0, 58.3, 116.5, 233.1, 466.2, 1400.0])
@pytest.mark.parametrize("level_db", [-32.0, -12.0])
def test_nothing_sounds_but_the_harmonics(hz: float, level_db: float) -> None:
    freq, power = spectrum(steady(hz, VOICES["tuba"] if hz < 60 else TRUMPET, level_db))
    away = np.abs(freq / hz - np.round(freq / hz)) * hz
    between = power[(away > 6.0) | (freq < hz / 2)]
    assert 10 * np.log10(between.sum() / power.sum()) < -70.0


@pytest.mark.parametrize("voice", VOICES.values(), ids=list(VOICES))
@pytest.mark.parametrize("hz", [58.3, 233.1, 932.3])
def test_the_level_is_the_one_asked_for(voice: Voice, hz: float) -> None:
    samples = steady(hz, voice, -23.0).astype(np.float64)
    assert 10 * np.log10(np.mean(samples**2)) == pytest.approx(-23.0, abs=0.05)


def test_a_loud_note_is_brighter_and_an_instrument_has_its_colour() -> None:
    loud, soft = (harmonics_db(steady(233.1, EUPHONIUM, level), 233.1, 8) for level in (-10.0, -34.0))
    assert (np.diff((loud - loud[0]) - (soft - soft[0])) > 0).all()
    wanted = spectrum_db(EUPHONIUM, 233.1 * np.arange(1.0, 9.0), cutoff_hz=EUPHONIUM.cutoff_hz)
    heard = harmonics_db(steady(233.1), 233.1, 8)
    assert heard - heard[0] == pytest.approx(wanted - wanted[0], abs=0.1)


def test_a_low_note_has_a_weak_fundamental() -> None:
    levels = harmonics_db(steady(29.1, TUBA), 29.1, 8)
    assert levels[0] < levels.max() - 8.0
    assert harmonics_db(steady(233.1, TUBA), 233.1, 4).argmax() == 0


EVERY_JOIN = {
    "linear": Slur(0.06, Shape.LINEAR),
    "settling": Slur(0.05, Shape.SETTLING, dip_db=8.0),
    "scoop": Slur(scoop_cents=120.0),
    "overshoot": Slur(overshoot_cents=80.0),
    "split": Slur(dwells=(Dwell(290.0, 0.07),)),
    "fell back": Slur(dwells=(Dwell(310.0, 0.07), Dwell(233.0, 0.06))),
    "broken": Slur(silence_s=0.06),
    "tongued": Slur(tongue=Tongue()),
    "half valve": Slur(choke=Choke()),
    "touched": Retongue(),
}


@pytest.mark.parametrize("join", EVERY_JOIN.values(), ids=list(EVERY_JOIN))
def test_the_sound_follows_its_pitch_and_level_through_every_join(join: Slur | Retongue) -> None:
    """Turned back by the integral of its pitch, the fundamental stands still and has the level that was asked for."""
    notes = Note(233.0, 0.2, 0.5, join), Note(310.0, 0.7, 0.5)
    player = Player(wander_cents=4.0, jitter_cents=0.5, breath_db=-150.0)
    paths = laid_out(*notes, length_s=1.4, player=player)
    samples = tone(paths).astype(np.float64)
    hz = REFERENCE_HZ * 2.0 ** ((paths.held_cents + paths.unsteady_cents) / 1200.0)
    fine = np.interp(np.arange(len(samples)) / HOP, np.arange(len(hz)), hz)
    cycles = np.concatenate(([0.0], np.cumsum(0.5 * (fine[1:] + fine[:-1])))) / RATE
    # a mean over two periods takes the other harmonics out
    turned = samples * np.exp(-2j * np.pi * cycles)
    width = 2 * round(RATE / 270.0)
    slow = np.convolve(turned, np.hanning(width) / np.hanning(width).sum(), "same")
    sounding = (np.abs(slow) > 0.02 * np.abs(slow).max()) & (np.arange(len(slow)) > 0.25 * RATE)
    sounding &= np.arange(len(slow)) < 1.1 * RATE
    phase = np.angle(slow[sounding] / np.median(slow[sounding]))
    assert np.percentile(np.abs(phase), 95) < 0.4
    assert np.median(np.abs(phase)) < 0.06


@pytest.mark.parametrize("join", EVERY_JOIN.values(), ids=list(EVERY_JOIN))
def test_no_join_clicks(join: Slur | Retongue) -> None:
    """High up, where no harmonic reaches, a step in the wave would be heard: there is none."""
    voice = Voice("dull", bell_hz=100.0, cutoff_hz=350.0, steepness=6.0)
    notes = Note(233.0, 0.2, 0.5, join), Note(310.0, 0.7, 0.5)
    samples = tone(laid_out(*notes, length_s=1.4), voice).astype(np.float64)
    transform = np.fft.rfft(samples)
    transform[np.fft.rfftfreq(len(samples), 1 / RATE) < 6000.0] = 0
    high = np.fft.irfft(transform, n=len(samples))
    assert np.abs(high[int(0.4 * RATE) : int(1.0 * RATE)]).max() < 1e-3 * np.abs(samples).max()


def test_harmonics_come_in_later_the_higher_they_are() -> None:
    samples = tone(laid_out(Note(233.0, 0.2, 1.0), length_s=1.5))

    def share(start_s: float) -> float:
        part = samples[int(start_s * RATE) : int(start_s * RATE) + 661].astype(np.float64) * np.hanning(661)
        power = np.abs(np.fft.rfft(part)) ** 2
        freq = np.fft.rfftfreq(len(part), 1 / RATE)
        return float(power[freq > 1500].sum() / power.sum())

    assert share(0.19) < 0.3 * share(0.7)


def test_breath_is_as_loud_as_asked_and_silence_is_silent() -> None:
    script = Script((Note(150.0, 0.5, 1.0),), 2.5, player=Player(breath_db=-40.0))
    noisy = render(script, rng=np.random.default_rng(1)).samples
    quiet = render(Script(script.notes, 2.5, player=QUIET), rng=np.random.default_rng(1)).samples
    noise = (noisy - quiet)[int(0.7 * RATE) : int(1.3 * RATE)].astype(np.float64)
    assert 10 * np.log10(np.mean(noise**2)) == pytest.approx(-60.0, abs=0.7)
    assert np.abs(noisy[: int(0.4 * RATE)]).max() < 1e-5
    assert np.abs(quiet[int(1.6 * RATE) :]).max() < 1e-7

"""Another note between the two of a slur is found and named; nothing is found in a clean one."""

import math

import numpy as np
import pytest

from slurwright.listen.passage import AskedNote
from slurwright.listen.slur_window import SlurWindow
from slurwright.listen.sound import HeldSound
from slurwright.listen.splits import Split, candidates_of, split_of

RATE = 16000.0
FUNDAMENTAL = 58.27
SERIES = tuple(FUNDAMENTAL * n for n in range(1, 13))


def tones(*spans: tuple[float, float]) -> HeldSound:
    """Notes one after the other, each a dozen harmonics, phase going on; pairs of pitch and length."""
    steps = np.concatenate([np.full(round(length * RATE), hz) for hz, length in spans])
    phase = 2 * np.pi * np.cumsum(steps) / RATE
    waves = [np.sin(n * phase + n * n) / (n + 1.0) * (n * steps < 3500.0) for n in range(1, 13)]
    return HeldSound((0.1 * np.sum(waves, axis=0)).astype(np.float32), RATE)


def asked(partial: int, *, known: bool = True) -> AskedNote:
    return AskedNote(SERIES[partial - 1], 0.0, 0.5, series_hz=SERIES if known else (), partial=partial)


def split(
    low: int, high: int, *between: tuple[int, float], known: bool = True, off: float = 1.0, lasts: float = 0.5
) -> Split:
    notes = [(SERIES[low - 1] * off, lasts), *((SERIES[n - 1] * off, s) for n, s in between)]
    change = sum(length for _, length in notes)
    sound = tones(*notes, (SERIES[high - 1] * off, lasts))
    window = SlurWindow(notes[0][0], SERIES[high - 1] * off, 0.0, change, change + lasts)
    return split_of(sound, window, candidates_of(asked(low, known=known), asked(high, known=known), window))


@pytest.mark.parametrize(
    ("low", "high", "third"),
    [(4, 6, 5), (6, 4, 5), (2, 4, 3), (3, 6, 4), (8, 6, 7), (4, 5, 6), (3, 2, 4), (9, 10, 8)],
)
def test_a_partial_between_is_named(low: int, high: int, third: int) -> None:
    found = split(low, high, (third, 0.09))
    assert found.third is not None
    assert found.third.partial == third
    assert found.traits.length_ms == pytest.approx(90.0, abs=25.0)
    assert found.traits.explained > 0.6


@pytest.mark.parametrize(("low", "high"), [(4, 6), (6, 4), (2, 4), (3, 5), (8, 6), (5, 4)])
def test_a_clean_change_holds_no_third_note(low: int, high: int) -> None:
    found = split(low, high)
    assert found.traits.length_ms < 20.0
    assert found.fall.turn_db < 1.0


def test_a_horn_out_of_tune_still_names_its_partial() -> None:
    found = split(4, 6, (5, 0.08), off=2 ** (40 / 1200))
    assert found.third is not None
    assert found.third.partial == 5


def test_without_a_fingering_the_note_is_found_and_not_named() -> None:
    found = split(4, 6, (5, 0.08), known=False)
    assert found.third is not None
    assert found.third.partial is None
    assert abs(1200 * math.log2(found.third.hz / SERIES[4])) < 20


@pytest.mark.parametrize(("low", "high"), [(5, 8), (8, 9), (4, 6)])
def test_a_scoop_is_no_note_of_its_own(low: int, high: int) -> None:
    creep = [(SERIES[high - 1] * 2 ** (-cents / 1200), 0.01) for cents in range(130, 0, -8)]
    sound = tones((SERIES[low - 1], 0.5), *creep, (SERIES[high - 1], 0.5))
    window = SlurWindow(SERIES[low - 1], SERIES[high - 1], 0.0, 0.5, 1.1)
    assert split_of(sound, window, candidates_of(asked(low), asked(high), window)).traits.length_ms < 30.0


@pytest.mark.parametrize(("low", "high"), [(4, 6), (6, 5), (2, 3)])
def test_the_first_note_comes_again(low: int, high: int) -> None:
    found = split(low, high, (high, 0.08), (low, 0.08))
    assert found.fall.turn_db > 6.0
    assert found.fall.return_ms == pytest.approx(80.0, abs=25.0)


def test_notes_too_short_or_alike_say_nothing() -> None:
    assert split(4, 6, lasts=0.05).third is None
    assert split(4, 4).third is None


def test_candidates_lie_near_the_two_and_apart_from_them() -> None:
    window = SlurWindow(SERIES[3], SERIES[5], 0.0, 0.5, 1.0)
    found = candidates_of(asked(4), asked(6), window)
    assert [candidate.partial for candidate in found.notes if not candidate.bent] == [3, 5, 7, 8, 9]
    assert all(abs(1200 * math.log2(note.hz / SERIES[5])) < 150 for note in found.notes if note.bent)
    assert found.column_hz == pytest.approx(FUNDAMENTAL)

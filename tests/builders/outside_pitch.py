"""What general-purpose pitch trackers say of a stretch of sound."""

import numpy as np
import pytest

from slurwright.listen.sound import HeldSound

__all__ = ["praat_cents", "yin_cents"]


def praat_cents(sound: HeldSound, span_s: tuple[float, float], *, target_hz: float) -> float:
    """Median pitch by Praat's autocorrelation method, against the target; looked for within most of an octave."""
    parselmouth = pytest.importorskip("parselmouth")
    whole = parselmouth.Sound(_stretch(sound, span_s, margin_s=0.2), sound.rate_hz)
    pitch = whole.to_pitch_ac(time_step=0.01, pitch_floor=max(15.0, 0.6 * target_hz), pitch_ceiling=1.8 * target_hz)
    margin_s = min(0.2, span_s[0])
    times, hz = pitch.xs() - margin_s, pitch.selected_array["frequency"]
    inside = (times >= 0) & (times <= span_s[1] - span_s[0]) & (hz > 0)
    return _cents(hz[inside], target_hz)


def yin_cents(sound: HeldSound, span_s: tuple[float, float], *, target_hz: float) -> float:
    """Median pitch by YIN, against the target; looked for within most of an octave."""
    librosa = pytest.importorskip("librosa")
    frame = int(2 ** np.ceil(np.log2(5 * sound.rate_hz / target_hz)))
    samples = _stretch(sound, span_s, margin_s=0.0)
    hz = librosa.yin(
        samples, fmin=0.6 * target_hz, fmax=1.8 * target_hz, sr=sound.rate_hz, frame_length=frame, center=False
    )
    return _cents(hz, target_hz)


def _stretch(sound: HeldSound, span_s: tuple[float, float], *, margin_s: float) -> np.ndarray:
    start, stop = (round(at * sound.rate_hz) for at in (max(0.0, span_s[0] - margin_s), span_s[1] + margin_s))
    return sound.read(start, stop).astype(np.float64)


def _cents(hz: np.ndarray, target_hz: float) -> float:
    return float(1200 * np.log2(np.median(hz) / target_hz))

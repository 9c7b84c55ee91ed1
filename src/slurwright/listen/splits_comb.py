"""How strong is each of some given lines of the spectrum, moment by moment? All fitted together to short frames.

Partials of one air column share harmonics, and a short frame cannot keep near ones apart; so the lines of all notes
in question are fitted to each frame at the same time, by least squares. As the window is the same for every frame and
time is counted from its middle, the normal equations are too, and fall into cosines and sines.
"""

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from slurwright.listen.sound import Sound

__all__ = ["Fit", "LineFrames", "fitted", "line_frames"]

Real = NDArray[np.float64]

_STEADY = 0.02
"""Keeps the equations solvable where two lines are nearly one."""
_OVER = 2.5
"""Samples a period of the highest line that is looked at."""


@dataclass(frozen=True, slots=True, eq=False)
class LineFrames:
    """Frames of a sound, laid against lines."""

    times_s: Real
    """Middle of each frame, shape=(frames,) [s]."""
    hz: Real
    """The lines, shape=(lines,) [Hz]."""
    energy: Real
    """Of each frame under its window, shape=(frames,)."""
    cosine: Real
    """Products of frames and lines, shape=(frames, lines)."""
    sine: Real
    cosine_gram: Real
    """Products of lines, shape=(lines, lines)."""
    sine_gram: Real


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Some of the lines, fitted together."""

    amplitude: NDArray[np.complex128]
    """Of each line, its phase in the middle of the frame, shape=(frames, lines)."""
    left: Real
    """Energy of each frame that no line explains, shape=(frames,)."""


def line_frames(sound: Sound, hz: Real, times_s: Real, *, window_s: float) -> LineFrames:
    """Cut a sound into frames and lay them against lines.

    Args:
        sound: where it is cut from.
        hz: lines, shape=(lines,) [Hz].
        times_s: middle of each frame, at equal steps, shape=(frames,) [s].
        window_s: length of the window [s].
    """
    samples, rate, first_s = _slowed(sound, float(times_s[0]) - window_s, float(times_s[-1]) + window_s, hz.max())
    size = int(window_s * rate) | 1
    window = np.hanning(size + 2)[1:-1].astype(np.float32)
    starts = np.rint((times_s - first_s) * rate).astype(np.intp) - size // 2
    pieces = sliding_window_view(samples, size)[np.clip(starts, 0, len(samples) - size)]
    windowed = pieces * window
    turns = 2.0 * np.pi * np.outer((np.arange(size) - size // 2) / rate, hz)
    cosine, sine = np.cos(turns).astype(np.float32), np.sin(turns).astype(np.float32)
    return LineFrames(
        times_s=times_s,
        hz=hz,
        energy=np.einsum("ij,ij->i", windowed, pieces).astype(np.float64),
        cosine=(windowed @ cosine).astype(np.float64),
        sine=(windowed @ sine).astype(np.float64),
        cosine_gram=((cosine * window[:, None]).T @ cosine).astype(np.float64),
        sine_gram=((sine * window[:, None]).T @ sine).astype(np.float64),
    )


def fitted(frames: LineFrames, lines: NDArray[np.intp]) -> Fit:
    """Fit some lines together to every frame.

    Args:
        frames: the frames.
        lines: which lines, shape=(n,).
    """
    square = np.ix_(lines, lines)
    firm = _STEADY * 0.5 * (frames.cosine_gram[0, 0] + frames.sine_gram[0, 0]) * np.eye(len(lines))
    real = np.linalg.solve(frames.cosine_gram[square] + firm, frames.cosine[:, lines].T).T
    imaginary = np.linalg.solve(frames.sine_gram[square] + firm, frames.sine[:, lines].T).T
    explained = np.sum(real * frames.cosine[:, lines] + imaginary * frames.sine[:, lines], axis=1)
    return Fit(real - 1j * imaginary, np.maximum(frames.energy - explained, 0.0))


def _slowed(
    sound: Sound, start_s: float, stop_s: float, highest_hz: float
) -> tuple[NDArray[np.float32], float, float]:
    """Read a stretch at a lower rate: samples, their rate, time of the first."""
    rate = sound.rate_hz
    start, stop = int(np.floor(start_s * rate)), int(np.ceil(stop_s * rate))
    count = scipy.fft.next_fast_len(stop - start, real=True)
    samples = np.zeros(count, np.float32)
    have = sound.read(start, stop)
    at = max(0, -start)
    samples[at : at + len(have)] = have
    spectrum = scipy.fft.rfft(samples)
    size = scipy.fft.next_fast_len(int(np.ceil(count * min(1.0, _OVER * highest_hz / rate))), real=True)
    if size >= count:
        return samples, rate, start / rate
    slow = scipy.fft.irfft(spectrum[: size // 2 + 1], n=size) * np.float32(size / count)
    return slow, rate * size / count, start / rate

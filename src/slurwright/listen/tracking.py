"""What pitch sounds from moment to moment? A coarse track over a whole take, block by block.

Four registers listen side by side, each on a copy of the block at a rate of its own and with a window of about three
of its longest periods: long windows for a tuba's pedal notes, short ones for a trumpet's top. Each gives the best
periods of its range by normalised autocorrelation (after Boersma, IFA Proceedings 17 (1993) 97), so that a missing
fundamental does no harm; a cheapest path through them all decides between octaves. It is good to a few cents: exact
pitch is the business of ``refining``.
"""

import math
from collections.abc import Callable

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from slurwright.listen.sound import Sound
from slurwright.listen.track import PitchTrack
from slurwright.listen.tracking_levels import levels_of
from slurwright.listen.tracking_paths import NONE_HEARD, best_path
from slurwright.listen.tracking_registers import REGISTERS, Register, candidates_of, spectrum_part

__all__ = ["pitch_track"]

_STEP_S = 0.005
_BLOCK_FRAMES = 2400
_MARGIN_S = 0.15
"""Sound read on each side of a block: half the longest window, and room for the filters to settle."""
_QUIET_DB = 55.0
"""What lies so far below the loud part of a take is not the player: hum, the neighbour's radio."""

Floats = NDArray[np.float32]


def pitch_track(
    sound: Sound,
    *,
    lowest_hz: float = 27.0,
    highest_hz: float = 1600.0,
    tick: Callable[[float], None] | None = None,
) -> PitchTrack:
    """Find the pitch of a sound every 5 ms, 0 Hz where there is none.

    Time resolution follows the pitch: a frame at 29 Hz hears 110 ms, one at 1 kHz hears 14 ms. Only the track itself
    grows with the length of the sound, by 12 bytes a frame.

    Args:
        sound: one channel, at 8 kHz or more.
        lowest_hz: lowest pitch that is looked for, 27 or more [Hz].
        highest_hz: highest pitch that is looked for, 1600 or less [Hz].
        tick: told now and then how much is done, 0..1.

    Returns:
        The track; empty for a sound without samples.
    """
    frames = math.ceil(sound.length / sound.rate_hz / _STEP_S)
    hz, strength, level = (np.zeros(frames, np.float32) for _ in range(3))
    registers = [r for r in REGISTERS if r.lowest_hz < highest_hz and r.highest_hz > lowest_hz]
    for first in range(0, frames, _BLOCK_FRAMES):
        part = slice(first, min(first + _BLOCK_FRAMES, frames))
        times = _STEP_S * np.arange(part.start, part.stop, dtype=np.float64)
        hz[part], strength[part], level[part] = _block(sound, times, registers, (lowest_hz, highest_hz))
        if tick:
            tick(part.stop / frames)
    _drop_quiet(hz, level)
    return PitchTrack(start_s=0.0, step_s=_STEP_S, hz=hz, strength=strength, level_db=level)


def _block(
    sound: Sound, times: NDArray[np.float64], registers: list[Register], limits: tuple[float, float]
) -> tuple[Floats, Floats, Floats]:
    """Track one block of frames: pitch, strength, level."""
    rate = sound.rate_hz
    start = math.floor((times[0] - _MARGIN_S) * rate)
    stop = math.ceil((times[-1] + _MARGIN_S) * rate)
    count = scipy.fft.next_fast_len(stop - start, real=True)
    samples = np.zeros(count, np.float32)
    have = sound.read(start, stop)
    at = max(0, -start)
    samples[at : at + len(have)] = have
    spectrum = scipy.fft.rfft(samples)
    places = times - start / rate
    hz_of, likeness_of = [], []
    for register in registers:
        part, part_rate = spectrum_part(spectrum, count, rate, register)
        every = register.every
        middle = (every - 1) // 2
        heard = places[np.minimum(np.arange(middle, len(places) + middle, every), len(places) - 1)]
        candidate_hz, likeness = candidates_of(part, part_rate, heard, register, limits)
        hz_of.append(np.repeat(candidate_hz, every, axis=0)[: len(places)])
        likeness_of.append(np.repeat(likeness, every, axis=0)[: len(places)])
    hz, strength = best_path(np.concatenate(hz_of, axis=1), np.concatenate(likeness_of, axis=1))
    return hz, strength, levels_of(spectrum, count, rate, places, hz)


def _drop_quiet(hz: Floats, level: Floats) -> None:
    """Take out pitches far below what is played."""
    heard = hz > NONE_HEARD
    if heard.any():
        loud = float(np.percentile(level[heard], 90))
        hz[level < loud - _QUIET_DB] = NONE_HEARD

"""A sound file brought to the working rate, block by block, and what was found on the way."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np

from slurwright.errors import SoundError
from slurwright.formats.sound.decimate import Channels, Decimator, working_factor
from slurwright.formats.sound.decoding import Decoder, opened_sound
from slurwright.formats.sound.info import SoundInfo
from slurwright.formats.sound.kinds import SoundKind, by_name
from slurwright.formats.sound.lengths import share_present
from slurwright.formats.sound.mixing import Mix, chosen_mix
from slurwright.listen.raw import RawLevels
from slurwright.listen.scanning import RawScan

__all__ = ["LONGEST_S", "Working", "to_working_rate"]

LONGEST_S = 12 * 3600.0
"""Longest recording that is read; ours, far above any take [s]."""
_SILENT_PEAK = 2.0**-14
"""A peak of at most two steps of 16 bits is silence."""
_LOUDEST = 8.0
"""Floating-point samples beyond this were written in another scale than full scale 1."""
_ABSURD = 1e12


@dataclass(frozen=True, slots=True)
class Working:
    """What was written, and what to make of it: a sample of the sound is the weighted sum of one of each channel."""

    rate_hz: float
    """Of the samples written [Hz]."""
    length: int
    """How many of them there are in each channel [samples]."""
    weights: tuple[float, ...]
    offset: float
    """Of the weighted sum; to be taken out."""
    info: SoundInfo
    remarks: tuple[str, ...]
    """What was assumed or passed over, in words."""


class _Census:
    """What the samples of all channels come to."""

    def __init__(self, decoder: Decoder) -> None:
        self._rate_hz = decoder.rate_hz
        self.scans = [RawScan(decoder.rate_hz, step=decoder.step) for _ in range(decoder.channels)]
        self._squares = np.zeros(decoder.channels + 1)
        self._sums = np.zeros(decoder.channels + 1)
        self.seen = 0

    def add(self, planes: Channels, name: str) -> None:
        mixed = planes.mean(axis=0, keepdims=True) if len(planes) > 1 else planes[:1]
        both = np.concatenate((planes, mixed)) if len(planes) > 1 else np.concatenate((planes, planes))
        squares = np.einsum("cn,cn->c", both, both, dtype=np.float64)
        if not np.isfinite(squares).all() or squares.max() > _ABSURD**2:
            self._raise_at_first(planes, name)
        self._squares += squares
        self._sums += both.sum(axis=1, dtype=np.float64)
        for scan, plane in zip(self.scans, planes, strict=True):
            scan.add(plane)
        self.seen += planes.shape[1]

    def energies(self) -> tuple[list[float], float]:
        """Mean square of each channel and of their mean, offsets taken out."""
        count = max(1, self.seen)
        of_all = np.maximum(0.0, self._squares / count - (self._sums / count) ** 2)
        return of_all[:-1].tolist(), float(of_all[-1])

    def _raise_at_first(self, planes: Channels, name: str) -> None:
        wrong = ~(np.abs(planes) < _ABSURD).all(axis=0)
        at = int(np.argmax(wrong))
        values = planes[:, at]
        value = values[~(np.abs(values) < _ABSURD)][0]
        raise SoundError(
            "the file holds samples that are no sound",
            got=f"{value} at {(self.seen + at) / self._rate_hz:.3f} s",
            allowed="finite numbers",
            where=name,
        )


def to_working_rate(
    stream: BinaryIO,
    *,
    name: str,
    write: Callable[[bytes], object],
    tick: Callable[[float], object] = lambda _: None,
) -> Working:
    """Read a sound file and write it at the working rate: float32, native order, channels side by side.

    Args:
        stream: the file, at its start; it must be able to seek.
        name: its name, for messages and for what its ending promises.
        write: takes the samples, a block at a time.
        tick: is told from time to time what share is done, 0..1.

    Raises:
        SoundError: it cannot be read, holds no sound, or holds samples that are none.

    """
    with opened_sound(stream, name=name) as (kind, decoder):
        census = _Census(decoder)
        factor = working_factor(decoder.rate_hz)
        decimator = Decimator(factor, decoder.channels)
        made = 0
        most = int(LONGEST_S * decoder.rate_hz)
        for block in decoder.blocks():
            planes = np.ascontiguousarray(block.T)
            census.add(planes, name)
            if census.seen > most:
                raise SoundError("the recording is too long", allowed=f"at most {LONGEST_S / 3600:.0f} h", where=name)
            made += _written(decimator.add(planes), write)
            tick(min(1.0, census.seen / decoder.promised) if decoder.promised else 0.0)
        made += _written(decimator.finish(), write)
        if not census.seen:
            raise SoundError("the file holds no sound: its length is zero", got=decoder.words, where=name)
        return _summed_up(census, decoder, kind, made=made, share=_share(stream, decoder, census, kind), name=name)


def _written(made: Channels, write: Callable[[bytes], object]) -> int:
    if made.shape[1]:
        write(np.ascontiguousarray(made.T).tobytes())
    return int(made.shape[1])


def _share(stream: BinaryIO, decoder: Decoder, census: _Census, kind: SoundKind | None) -> float | None:
    """Say what share of the announced sound is there."""
    promised = decoder.promised
    counted = min(1.0, census.seen / promised) if promised else 1.0
    announced = share_present(stream, kind)
    return None if announced is None else min(counted, announced)


def _summed_up(
    census: _Census, decoder: Decoder, kind: SoundKind | None, *, made: int, share: float | None, name: str
) -> Working:
    factor = working_factor(decoder.rate_hz)
    mix = chosen_mix(*census.energies())
    raw = _raw_of([scan.levels() for scan in census.scans], mix)
    if raw.peak <= _SILENT_PEAK:
        raise SoundError("the recording is silent from start to end", got=decoder.words, where=name)
    scale = 1.0 / raw.peak if raw.peak > _LOUDEST else 1.0
    offsets = [scan.levels().offset for scan in census.scans]
    weights = tuple(weight * scale for weight in mix.weights)
    return Working(
        rate_hz=decoder.rate_hz / factor,
        length=made,
        weights=weights,
        offset=sum(weight * offset for weight, offset in zip(weights, offsets, strict=True)),
        info=SoundInfo(
            words=decoder.words,
            rate_hz=decoder.rate_hz,
            channels=decoder.channels,
            length_s=census.seen / decoder.rate_hz,
            raw=raw,
        ),
        remarks=tuple(
            what
            for what in (_mislabelled(kind, name), _cut_off(share, decoder, census.seen), mix.why, _scaled(raw))
            if what
        ),
    )


def _raw_of(channels: list[RawLevels], mix: Mix) -> RawLevels:
    """Take the worst of the channels that are listened to."""
    heard = [levels for levels, weight in zip(channels, mix.weights, strict=True) if weight]
    holed = max(heard, key=lambda levels: levels.lost_runs)
    cut = max(heard, key=lambda levels: levels.clipped_share)
    return RawLevels(
        peak=max(levels.peak for levels in heard),
        offset=max((levels.offset for levels in heard), key=abs),
        clipped_share=cut.clipped_share,
        clipped_runs=cut.clipped_runs,
        lost_runs=holed.lost_runs,
        first_lost_s=holed.first_lost_s,
    )


def _mislabelled(kind: SoundKind | None, name: str) -> str:
    promised = by_name(name)
    if kind is None or promised is None or kind is promised:
        return ""
    return f"its name says {promised.value}, but it is {kind.value}; it was read as what it is"


def _cut_off(share: float | None, decoder: Decoder, seen: int) -> str:
    length = f"{seen / decoder.rate_hz:.1f} s"
    if share is None:
        return f"its recorder did not finish it; all that is there was read: {length}"
    if share < 0.999 or decoder.broke_off:
        rest = f", {share:.0%} of what it announces" if share < 0.999 else ""
        return f"the file is damaged or cut off; what is there was read: {length}{rest}"
    return ""


def _scaled(raw: RawLevels) -> str:
    if raw.peak <= _LOUDEST:
        return ""
    return f"its samples go up to {raw.peak:.0f} times full scale; they were scaled down to full scale"

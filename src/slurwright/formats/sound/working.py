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
_ROUNDED_S = 0.1
"""Containers round the length of a recording, and codecs fill up their last block [s]."""
_OFFSET = 0.05
"""An offset is worth saying from this part of the peak on; a smaller one is usual."""
_LARGEST = 1e7
"""Nothing that was meant as sound is beyond this; 24-bit integers written as floating point go up to 8e6."""


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
        self._scans = [RawScan(decoder.rate_hz, step=decoder.step) for _ in range(decoder.channels)]
        self._squares = np.zeros(decoder.channels)
        self._mixed_squares = 0.0
        self.seen = 0

    def add(self, planes: Channels, name: str) -> None:
        with np.errstate(over="ignore", invalid="ignore"):
            squares = np.array([float(np.dot(plane, plane)) for plane in planes])
        if not squares.max() < _LARGEST**2:  # not a number is not below anything
            self._raise_at_first(planes, name)
        self._squares += squares
        mixed = planes.mean(axis=0) if len(planes) > 1 else planes[0]
        self._mixed_squares += float(np.dot(mixed, mixed)) if len(planes) > 1 else float(squares[0])
        for scan, plane in zip(self._scans, planes, strict=True):
            scan.add(plane)
        self.seen += planes.shape[1]

    def levels(self) -> list[RawLevels]:
        """Sum up each channel."""
        return [scan.levels() for scan in self._scans]

    def mix(self, levels: list[RawLevels]) -> Mix:
        """Choose what is listened to, by the energies without the offsets."""
        offsets = np.array([level.offset for level in levels])
        own = np.maximum(0.0, self._squares / self.seen - offsets**2)
        mixed = max(0.0, self._mixed_squares / self.seen - float(offsets.mean()) ** 2)
        return chosen_mix(own.tolist(), mixed)

    def _raise_at_first(self, planes: Channels, name: str) -> None:
        wrong = ~(np.abs(planes) < _LARGEST)
        at = int(np.argmax(wrong.any(axis=0)))
        if not wrong.any():
            return
        value = planes[int(np.argmax(wrong[:, at])), at]
        raise SoundError(
            "the file holds samples that are no sound",
            got=f"{value:g} at {(self.seen + at) / self._rate_hz:.3f} s",
            allowed="numbers near full scale, 1",
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
    levels = census.levels()
    mix = census.mix(levels)
    raw = _raw_of(levels, mix)
    if raw.peak <= _SILENT_PEAK:
        raise SoundError("the recording is silent from start to end", got=decoder.words, where=name)
    scale = 1.0 / raw.peak if raw.peak > _LOUDEST else 1.0
    weights = tuple(weight * scale for weight in mix.weights)
    return Working(
        rate_hz=decoder.rate_hz / factor,
        length=made,
        weights=weights,
        offset=sum(weight * level.offset for weight, level in zip(weights, levels, strict=True)),
        info=SoundInfo(
            words=decoder.words,
            rate_hz=decoder.rate_hz,
            channels=decoder.channels,
            length_s=census.seen / decoder.rate_hz,
            raw=raw,
        ),
        remarks=tuple(
            what
            for what in (
                _mislabelled(kind, name),
                _cut_off(share, decoder, census.seen),
                mix.why,
                _off_zero(raw),
                _scaled(raw),
            )
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
    length_s = seen / decoder.rate_hz
    if share is None:
        return f"its recorder did not finish it; all that is there was read: {length_s:.1f} s"
    missing_s = length_s * (1 / share - 1) if share > 0 else length_s
    if missing_s > _ROUNDED_S:
        return (
            "the file is damaged or cut off; what is there was read: "
            f"{length_s:.1f} s, {share:.0%} of what it announces"
        )
    if decoder.broke_off:
        return f"the file is damaged in places; what is sound was read: {length_s:.1f} s"
    return ""


def _off_zero(raw: RawLevels) -> str:
    if abs(raw.offset) < _OFFSET * max(raw.peak, 1e-9):
        return ""
    return f"its zero line lies off by {abs(raw.offset):.1%} of full scale; that was taken out"


def _scaled(raw: RawLevels) -> str:
    if raw.peak <= _LOUDEST:
        return ""
    return f"its samples go up to {raw.peak:.0f} times full scale; they were scaled down to full scale"

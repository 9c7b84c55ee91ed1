"""Sound files of every kind that is read, made here; and ways to spoil them."""

import io
import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

__all__ = ["KINDS", "encoded", "mutated", "tone", "wav_bytes", "with_chunk_size", "written"]

Wave = NDArray[np.float32]

KINDS: dict[str, tuple[str, str | None]] = {
    "wav": ("WAV", "PCM_16"),
    "wav8": ("WAV", "PCM_U8"),
    "wav24": ("WAV", "PCM_24"),
    "wav32": ("WAV", "PCM_32"),
    "wavf": ("WAV", "FLOAT"),
    "wavd": ("WAV", "DOUBLE"),
    "rf64": ("RF64", "PCM_16"),
    "w64": ("W64", "PCM_16"),
    "flac": ("FLAC", "PCM_16"),
    "flac24": ("FLAC", "PCM_24"),
    "ogg": ("OGG", "VORBIS"),
    "opus": ("OGG", "OPUS"),
    "mp3": ("MP3", "MPEG_LAYER_III"),
    "aiff": ("AIFF", "PCM_16"),
    "au": ("AU", "PCM_16"),
    "caf": ("CAF", "ALAC_16"),
}
"""What the sound library writes, by a name for tests."""
_PYAV = {"m4a": ("mp4", "aac"), "adts": ("adts", "aac"), "webm": ("webm", "libopus"), "3gp": ("3gp", "aac")}
_WRITE = 4096


def tone(*, hz: float = 220.0, peak: float = 0.3, length_s: float = 1.0, rate_hz: int = 48_000) -> Wave:
    """A steady tone with four partials."""
    phase = 2 * np.pi * hz * np.arange(round(length_s * rate_hz)) / rate_hz
    wave = sum(0.6**k * np.sin((k + 1) * phase) for k in range(4))
    return np.asarray(peak * wave / np.abs(wave).max(), np.float32)


def encoded(samples: Wave, kind: str, *, rate_hz: int = 48_000) -> bytes:
    """A sound file as bytes; samples shape=(n,) or (n, channels)."""
    channels = 1 if samples.ndim == 1 else samples.shape[1]
    if kind in _PYAV:
        return _with_pyav(samples.reshape(-1, channels), *_PYAV[kind], rate_hz=rate_hz)
    form, subtype = KINDS[kind]
    target = io.BytesIO()
    with soundfile.SoundFile(target, "w", rate_hz, channels, subtype, format=form) as file:
        for start in range(0, len(samples), _WRITE):  # the library's Vorbis dies of more at once
            file.write(samples[start : start + _WRITE])
    return target.getvalue()


def _with_pyav(samples: Wave, container: str, codec: str, *, rate_hz: int) -> bytes:
    import av  # noqa: PLC0415

    target = io.BytesIO()
    layout = "mono" if samples.shape[1] == 1 else "stereo"
    with av.open(target, "w", format=container) as file:
        stream = file.add_stream(codec, rate=rate_hz, layout=layout)
        for start in range(0, len(samples), 960):
            planes = np.ascontiguousarray(samples[start : start + 960].T)
            packed = np.ascontiguousarray(planes.T).reshape(1, -1)
            form = "fltp" if codec == "aac" else "flt"
            frame = av.AudioFrame.from_ndarray(planes if form == "fltp" else packed, format=form, layout=layout)
            frame.sample_rate, frame.pts = rate_hz, start
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    return target.getvalue()


def wav_bytes(data: bytes, *, tag: int = 1, channels: int = 1, rate_hz: int = 48_000, bits: int = 16) -> bytes:
    """A WAV file made by hand, whatever sense it makes."""
    width = channels * bits // 8
    form = struct.pack("<HHIIHH", tag, channels, rate_hz, rate_hz * width & 0xFFFFFFFF, width & 0xFFFF, bits)
    body = b"WAVEfmt " + struct.pack("<I", len(form)) + form + b"data" + struct.pack("<I", len(data)) + data
    return b"RIFF" + struct.pack("<I", len(body)) + body


def with_chunk_size(wav: bytes, size: int) -> bytes:
    """A WAV file that says another length, for its sound and for the whole."""
    at = wav.index(b"data") + 4
    return wav[:4] + struct.pack("<I", size) + wav[8:at] + struct.pack("<I", size) + wav[at + 4 :]


def mutated(data: bytes, rng: np.random.Generator) -> bytes:
    """A spoiled copy: bits turned, bytes lost, doubled or overwritten, numbers made extreme, the end cut off.

    Half of the spoiled OGG files get good check sums again, so that the damage comes through to the codec.
    """
    copy = bytearray(data)
    at_start = rng.random() < 0.5  # most of what a decoder trusts stands there
    for _ in range(int(rng.integers(1, 5))):
        if not copy:
            break
        way = _WAYS[int(rng.integers(len(_WAYS)))]
        at = int(rng.integers(min(len(copy), 200) if at_start else len(copy)))
        way(copy, at, rng)
    if data.startswith(b"OggS") and rng.random() < 0.5:
        _good_sums(copy)
    return bytes(copy)


def _good_sums(copy: bytearray) -> None:
    """Put the check sum of every OGG page right again."""
    at = copy.find(b"OggS")
    while at >= 0:
        after = copy.find(b"OggS", at + 4)
        page = copy[at : after if after >= 0 else len(copy)]
        if len(page) >= 27:
            page[22:26] = bytes(4)
            total = 0
            for byte in page:
                total = (total << 8 & 0xFFFFFFFF) ^ _OGG_SUMS[(total >> 24) ^ byte]
            copy[at + 22 : at + 26] = struct.pack("<I", total)
        at = after


def _ogg_sum(byte: int) -> int:
    value = byte << 24
    for _ in range(8):
        value = (value << 1 ^ (0x04C11DB7 if value & 0x80000000 else 0)) & 0xFFFFFFFF
    return value


_OGG_SUMS = tuple(_ogg_sum(byte) for byte in range(256))


def _turn_bit(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    copy[at] ^= 1 << int(rng.integers(8))


def _set_byte(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    copy[at] = int(rng.choice((0, 1, 0x7F, 0x80, 0xFE, 0xFF)))


def _set_number(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    size = int(rng.choice((2, 4, 8)))
    extreme = rng.choice((b"\0" * size, b"\xff" * size, b"\x7f" + b"\xff" * (size - 1), b"\0" * (size - 1) + b"\x80"))
    copy[at : at + size] = bytes(extreme).ljust(size, b"\0")[:size]


def _scramble(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    length = int(rng.integers(1, 64))
    copy[at : at + length] = rng.bytes(min(length, len(copy) - at))


def _lose(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    del copy[at : at + int(rng.integers(1, 256))]


def _double(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    piece = copy[at : at + int(rng.integers(1, 256))]
    copy[at:at] = piece


def _cut(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    del copy[int(rng.integers(len(copy))) :]


def _swap(copy: bytearray, at: int, rng: np.random.Generator) -> None:
    other, size = int(rng.integers(len(copy))), int(rng.integers(1, 32))
    here, there = copy[at : at + size], copy[other : other + size]
    copy[at : at + len(there)], copy[other : other + len(here)] = there, here


_WAYS: tuple[Callable[[bytearray, int, np.random.Generator], None], ...] = (
    _turn_bit,
    _turn_bit,
    _set_byte,
    _set_number,
    _scramble,
    _lose,
    _double,
    _cut,
    _swap,
)


def written(path: Path, data: bytes) -> Path:
    """Put bytes into a file."""
    path.write_bytes(data)
    return path

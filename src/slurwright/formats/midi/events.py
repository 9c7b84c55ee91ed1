"""What a MIDI file plays: key strokes with their times, and the maps of tempo, time and key.

Read with mido; what mido raises on damaged bytes becomes a `NotationError`.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import mido

from slurwright.errors import NotationError
from slurwright.formats.midi.chunks import Chunks, read_chunks

__all__ = ["MARK_TRACK_NAME", "Performance", "Stroke", "Track", "read_performance"]

MARK_TRACK_NAME = "slurwright marks"
"""Name of the track that marking adds; reading passes it over."""

_DEFAULT_TEMPO_US = 500_000
"""Microseconds in a quarter where a file sets no tempo (Standard MIDI Files 1.0; from memory)."""
_DRUM_CHANNEL = 9
_HIGHEST_TICK = 1 << 31


@dataclass(frozen=True, slots=True)
class Stroke:
    """One key pressed and released [ticks]."""

    start: int
    end: int
    key: int
    velocity: int


@dataclass(frozen=True, slots=True)
class Track:
    """The strokes of one track on one channel."""

    index: int
    """Place of the track chunk in the file, from 0."""
    channel: int
    name: str
    program: int | None
    strokes: tuple[Stroke, ...]
    hanging: int
    """Keys that were never released; they end with the track."""


@dataclass(frozen=True, slots=True)
class Performance:
    """Everything in a file that a part can be made of; maps are sorted by tick and start at 0."""

    ticks_per_quarter: int
    tracks: tuple[Track, ...]
    drums: int
    """Tracks left out because they play on the percussion channel."""
    title: str
    tempi: tuple[tuple[int, int], ...]
    """(tick, microseconds in a quarter)."""
    states_tempo: bool
    times: tuple[tuple[int, int, int], ...]
    """(tick, beats, beat type)."""
    keys: tuple[tuple[int, str], ...]
    """(tick, name such as "Bb" or "F#m"); empty where the file says nothing."""


def read_performance(data: bytes, *, where: str) -> Performance:
    """Read a file.

    Raises:
        NotationError: broken, cut short, or in a form that is not supported.

    """
    chunks = read_chunks(data, where=where)
    tracks = _messages(data, chunks, where)
    maps = _maps(tracks)
    played: list[Track] = []
    drums = 0
    for index, messages in enumerate(tracks):
        for track in _split(index, messages):
            if track.name == MARK_TRACK_NAME:
                continue
            if track.channel == _DRUM_CHANNEL:
                drums += 1
            else:
                played.append(track)
    first_name = next((str(m.name) for _, m in tracks[0] if m.type == "track_name"), "") if len(tracks) > 1 else ""
    title = _text(first_name) if played and played[0].index != 0 else ""
    return Performance(
        chunks.division,
        tuple(played),
        drums,
        title,
        maps.tempi or ((0, _DEFAULT_TEMPO_US),),
        bool(maps.tempi),
        maps.times,
        maps.keys,
    )


_Timed = list[tuple[int, Any]]


def _messages(data: bytes, chunks: Chunks, where: str) -> list[_Timed]:
    """Let mido read the header and the tracks alone, so that unknown chunks do no harm; times become absolute."""
    header = b"MThd\x00\x00\x00\x06" + chunks.format.to_bytes(2, "big") + len(chunks.tracks).to_bytes(2, "big")
    body = b"".join(data[span.start : span.end] for span in chunks.tracks)
    try:
        file = mido.MidiFile(file=BytesIO(header + chunks.division.to_bytes(2, "big") + body))
    except (ValueError, OSError, LookupError, TypeError, OverflowError, EOFError, mido.KeySignatureError) as error:
        reason = str(error) or "it ends in the middle of a message"
        raise NotationError("the MIDI file is damaged", got=reason, where=where) from error
    tracks: list[_Timed] = []
    for track in file.tracks:
        tick = 0
        timed: _Timed = []
        for message in track:
            tick += message.time
            timed.append((tick, message))
        if tick >= _HIGHEST_TICK:
            raise NotationError("the MIDI file lasts too long to be music", got=f"{tick} ticks", where=where)
        tracks.append(timed)
    return tracks


@dataclass(frozen=True, slots=True)
class _Maps:
    tempi: tuple[tuple[int, int], ...]
    times: tuple[tuple[int, int, int], ...]
    keys: tuple[tuple[int, str], ...]


def _maps(tracks: Iterable[_Timed]) -> _Maps:
    tempi: dict[int, int] = {}
    times: dict[int, tuple[int, int]] = {}
    keys: dict[int, str] = {}
    for messages in tracks:
        for tick, message in messages:
            if message.type == "set_tempo" and message.tempo > 0:
                tempi[tick] = message.tempo
            elif message.type == "time_signature" and message.numerator > 0 and message.denominator <= 64:
                times[tick] = (message.numerator, message.denominator)
            elif message.type == "key_signature":
                keys.setdefault(tick, message.key)
    times.setdefault(0, (4, 4))
    if tempi:
        tempi.setdefault(0, _DEFAULT_TEMPO_US)
    return _Maps(
        tuple(sorted(tempi.items())),
        tuple((tick, beats, unit) for tick, (beats, unit) in sorted(times.items())),
        tuple(sorted(keys.items())),
    )


def _split(index: int, messages: _Timed) -> list[Track]:
    """Part one track chunk into channels, as a format-0 file needs."""
    name = ""
    programs: dict[int, int] = {}
    open_keys: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    strokes: dict[int, list[Stroke]] = defaultdict(list)
    hanging: dict[int, int] = defaultdict(int)
    last = messages[-1][0] if messages else 0
    for tick, message in messages:
        if message.type == "track_name" and not name:
            name = _text(message.name)
        elif message.type == "program_change":
            programs.setdefault(message.channel, message.program)
        elif message.type == "note_on" and message.velocity > 0:
            open_keys[message.channel, message.note].append((tick, message.velocity))
        elif message.type in ("note_on", "note_off") and open_keys[message.channel, message.note]:
            start, velocity = open_keys[message.channel, message.note].pop(0)
            strokes[message.channel].append(Stroke(start, tick, message.note, velocity))
    for (channel, key), waiting in open_keys.items():
        for start, velocity in waiting:
            strokes[channel].append(Stroke(start, max(last, start + 1), key, velocity))
            hanging[channel] += 1
    return [
        Track(
            index,
            channel,
            name,
            programs.get(channel),
            tuple(sorted(strokes[channel], key=lambda stroke: (stroke.start, stroke.key))),
            hanging[channel],
        )
        for channel in sorted(strokes)
    ]


def _text(latin: str) -> str:
    """Names are bytes without a stated encoding: take UTF-8 where it fits."""
    try:
        text = latin.encode("latin-1").decode("utf-8")
    except UnicodeError:
        text = latin
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())

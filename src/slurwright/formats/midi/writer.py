"""Parts as a Standard MIDI File to play along with: tempo, metre, dynamics as key velocities, slurs as legato.

Written with mido. One track on one channel, the clicks of the count-in on the percussion channel. A note under a slur
is held a little into the next one; a tongued note ends a little before it. Velocities step by `_EACH_STEP` a degree
(common practice: mf lies near the middle of the upper half). A MIDI file knows no cents: notes sound in equal
temperament.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

import mido

from slurwright.score import Line, Part, line_of

__all__ = ["write_midi"]

_TICKS = 480
"""Of a quarter: whole for every value down to triplet semiquavers and beyond."""
_MEZZO_FORTE, _EACH_STEP, _SOFTEST, _LOUDEST = 76, 14, 20, 120
_OVERLAP_TICKS = 12
_TONGUED_SHARE = 0.92
_CLICK_CHANNEL = 9
_CLICK_KEYS = (76, 77)
"""High and low wood block of the percussion map (General MIDI; from memory)."""
_CLICK_TICKS = 60
_BRASS = 61
"""Program of a brass section, counted from 0 (General MIDI; from memory)."""
_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")


@dataclass(frozen=True, slots=True)
class _Event:
    """A message and when it comes [ticks]; at one tick the lower rank comes first."""

    tick: int
    rank: int
    message: mido.Message | mido.MetaMessage


def write_midi(parts: Sequence[Part], *, title: str, program: int = _BRASS, count_in: bool = True) -> bytes:
    """Write parts one after the other into one file, a marker with its title at the start of each.

    Args:
        parts: as they are played; repeats are not followed.
        title: of the file.
        program: sound of the part, counted from 0.
        count_in: clicks a measure before each part.

    """
    events = [_Event(0, 0, mido.MetaMessage("track_name", name=_latin(title), time=0))]
    events.append(_Event(0, 1, mido.Message("program_change", channel=0, program=program, time=0)))
    tick = 0
    for part in parts:
        events.append(_Event(tick, 2, mido.MetaMessage("marker", text=_latin(part.title), time=0)))
        events += _state(part, tick)
        if count_in:
            tick = _count_in(part, tick, events)
        tick = _played(part, tick, events)
    track = mido.MidiTrack()
    before = 0
    for event in sorted(events, key=lambda each: (each.tick, each.rank)):
        track.append(event.message.copy(time=event.tick - before))
        before = event.tick
    track.append(mido.MetaMessage("end_of_track", time=max(0, tick - before)))
    file = mido.MidiFile(type=0, ticks_per_beat=_TICKS)
    file.tracks.append(track)
    out = BytesIO()
    file.save(file=out)
    return out.getvalue()


def _latin(words: str) -> str:
    """Words as the file can hold them."""
    return words.replace("♭", "b").replace("♯", "#").encode("latin-1", "replace").decode("latin-1")


def _state(part: Part, tick: int) -> list[_Event]:
    """Tempo, metre and key at the start of a part."""
    first = part.measures[0]
    tempo_qpm = part.notes[0].tempo_qpm if part.notes else 100.0
    sounding = first.key.fifths - 7 * (-first.transposition.semitones) + 12 * (-first.transposition.diatonic)
    place = (sounding + 7) % 12 if not 0 <= sounding + 7 < len(_MAJOR) else sounding + 7
    time = first.time
    return [
        _Event(tick, 3, mido.MetaMessage("set_tempo", tempo=round(60e6 / tempo_qpm), time=0)),
        _Event(
            tick,
            4,
            mido.MetaMessage(
                "time_signature", numerator=time.beats, denominator=time.beat_type, clocks_per_click=24, time=0
            ),
        ),
        _Event(tick, 5, mido.MetaMessage("key_signature", key=_MAJOR[place], time=0)),
    ]


def _count_in(part: Part, tick: int, events: list[_Event]) -> int:
    """Click a measure; give the tick at which the part begins."""
    time = part.measures[0].time
    compound = time.beat_type == 8 and time.beats % 3 == 0
    beat = _TICKS * 3 // 2 if compound else _TICKS * 4 // time.beat_type
    beats = time.beats // 3 if compound else time.beats
    for number in range(beats):
        key = _CLICK_KEYS[0 if number == 0 else 1]
        start = tick + number * beat
        events.append(_Event(start, 8, _key_on(key, 80, channel=_CLICK_CHANNEL)))
        events.append(_Event(start + _CLICK_TICKS, 6, _key_off(key, channel=_CLICK_CHANNEL)))
    return tick + beats * beat


def _key_on(key: int, velocity: int, *, channel: int) -> mido.Message:
    return mido.Message("note_on", channel=channel, note=key, velocity=velocity, time=0)


def _key_off(key: int, *, channel: int) -> mido.Message:
    return mido.Message("note_off", channel=channel, note=key, velocity=0, time=0)


def _played(part: Part, tick: int, events: list[_Event]) -> int:
    """Play the sounds of a part; give the tick at which it ends."""
    last = part.measures[-1]
    end = tick + round((last.onset_quarter + last.duration_quarter) * _TICKS)
    if not part.notes:
        return end
    line = line_of(part)
    slurred = {move.source for move in line.moves if move.slurred}
    for number, (start, stop) in enumerate(_spans(line)):
        sound = line.sounds[number]
        length = stop - start
        held = length + _OVERLAP_TICKS if number in slurred else max(1, round(_TONGUED_SHARE * length))
        velocity = round(min(_LOUDEST, max(_SOFTEST, _MEZZO_FORTE + _EACH_STEP * sound.dynamic)))
        key = min(127, max(0, sound.sounding.midi))
        events.append(_Event(tick + start, 8, _key_on(key, velocity, channel=0)))
        events.append(_Event(tick + start + held, 7 if number not in slurred else 9, _key_off(key, channel=0)))
    return end


def _spans(line: Line) -> list[tuple[int, int]]:
    """Start and end of each sound [ticks]; grace notes come before the note that they lead to."""
    spans: list[tuple[int, int]] = []
    waiting = 0
    for sound in line.sounds:
        start = round(sound.onset_quarter * _TICKS)
        length = round(sound.duration_quarter * _TICKS)
        if sound.grace or not length:
            waiting += 1
            spans.append((start, start))
            continue
        each = min(_TICKS // 8, length // (2 * waiting)) if waiting else 0
        for place in range(waiting):
            spans[len(spans) - waiting + place] = (start + place * each, start + (place + 1) * each)
        spans.append((start + waiting * each, start + length))
        waiting = 0
    return spans

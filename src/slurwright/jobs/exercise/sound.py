"""Exercises as a sound to practise with: clicks, a soft drone under the notes, silence to rest in.

A measure of clicks counts in; softer ones keep the beat while the exercise is played.

The drone of lip slurs is the root of each fingering, with which all of its partials go; that of a slur alone is its
first note, that of a passage the key note, unless the player names another. The line itself, where it is wanted,
sounds where each fingering really lies on this horn.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from slurwright.errors import RequestError
from slurwright.horn import Horn, HornKind
from slurwright.jobs.exercise.made import ExerciseSheet
from slurwright.jobs.passage import A4_RANGE_HZ
from slurwright.listen.passage import AskedNote
from slurwright.pitch import A4_HZ, SoundingPitch, hz_of_midi
from slurwright.practice.exercise.rungs import partial_semitones
from slurwright.practice.exercise.values import Exercise, ExerciseKind
from slurwright.score import Part, TimeSignature, line_of
from slurwright.score.dynamics import DYNAMIC_LEVELS
from slurwright.synth import EUPHONIUM, FRENCH_HORN, TROMBONE, TRUMPET, TUBA, Player, Slur, Voice
from slurwright.synth.backing import click_of, drone_of, mixed_in
from slurwright.synth.faults import Manner
from slurwright.synth.performing import perform
from slurwright.synth.rendering import render

__all__ = ["RATE_HZ", "Backing", "drone_words", "exercise_sound"]

RATE_HZ = 22050.0
"""Samples a second: enough for every harmonic that matters [Hz]."""
_LOWEST_DRONE_MIDI = 43
"""Drones sound from here up to a seventh above: low enough to be under the notes, high enough for small speakers."""
_LINE_DB, _EACH_DEGREE_DB = -28.0, 2.0
_STEADY = Player(wander_cents=0.0, jitter_cents=0.3, shimmer_db=0.2)
_LEAD_S = 0.1
_HIGH_MIDI = 64
_FIFTH_LOWER = -7
_ON_BEAT_DB = -8.0
"""Level of the clicks under the notes against those that count in; ours [dB]."""
_TOUCH = 1e-6


@dataclass(frozen=True, slots=True)
class Backing:
    """What is to sound."""

    drone: SoundingPitch | None = None
    """The same drone under everything; None for the usual ones."""
    a4_hz: float = A4_HZ
    """To what it is tuned [Hz]."""
    line: bool = False
    """True plays the line itself as well."""
    count_in_only: bool = False
    """True leaves the clicks out once the exercise is played."""

    def __post_init__(self) -> None:
        """Refuse a tuning that nobody has."""
        low, high = A4_RANGE_HZ
        if not low <= self.a4_hz <= high:
            raise RequestError("nobody tunes so", got=f"A4 at {self.a4_hz:g} Hz", allowed=f"{low:g} to {high:g} Hz")


@dataclass(frozen=True, slots=True)
class _Held:
    """A drone from one place of an exercise on."""

    start_s: float
    length_s: float
    midi: int


def drone_words(exercise: Exercise, backing: Backing) -> str:
    """Say which drone sounds under an exercise."""
    if backing.drone is not None:
        return f"drone {backing.drone}"
    held = list(dict.fromkeys(one.midi for one in _drones(exercise)))
    names = [str(SoundingPitch.from_midi(midi)) for midi in held]
    return f"drone {names[0]}" if len(names) == 1 else f"drones {', '.join(names)}"


def exercise_sound(sheet: ExerciseSheet, backing: Backing, *, rng: np.random.Generator) -> NDArray[np.float32]:
    """Sound all exercises in order, each as often as it is played and with the rest after it, shape=(n,).

    Args:
        sheet: the exercises.
        backing: what is to sound.
        rng: for the small unsteadiness of the line's tone.
    """
    turns = [(exercise, _count_in_s(exercise), _once_s(exercise)) for exercise in sheet.exercises]
    whole_s = sum(exercise.times * (before + once) + exercise.rest_s for exercise, before, once in turns)
    track = np.zeros(round(whole_s * RATE_HZ) + 1, np.float32)
    at_s = 0.0
    for exercise, before_s, once_s in turns:
        for _ in range(exercise.times):
            _count_in(track, exercise, at_s)
            if not backing.count_in_only:
                _beats(track, exercise, at_s + before_s)
            _under(track, exercise, at_s, before_s, backing)
            if backing.line:
                _line(track, exercise, at_s + before_s, sheet.horn, backing, rng=rng)
            at_s += before_s + once_s
        at_s += exercise.rest_s
    return track


def _once_s(exercise: Exercise) -> float:
    return exercise.play_s / exercise.times


def _beat_quarter(part: Part) -> float:
    return _beat_of(part.measures[0].time)


def _beat_of(time: TimeSignature) -> float:
    """Length of a beat as it is counted [quarters]."""
    return 1.5 if time.beat_type == 8 and time.beats % 3 == 0 else 4.0 / time.beat_type


def _count_in_s(exercise: Exercise) -> float:
    return float(exercise.part.measures[0].time.length_quarter) * 60.0 / exercise.tempo_qpm


def _count_in(track: NDArray[np.float32], exercise: Exercise, at_s: float) -> None:
    """Click a measure."""
    beat_s = _beat_quarter(exercise.part) * 60.0 / exercise.tempo_qpm
    for number in range(round(_count_in_s(exercise) / beat_s)):
        mixed_in(track, click_of(first=number == 0, rate_hz=RATE_HZ), at_s + number * beat_s, rate_hz=RATE_HZ)


def _beats(track: NDArray[np.float32], exercise: Exercise, at_s: float) -> None:
    """Click on through the measures, softer; a measure that is cut short at its start has the last of its beats."""
    second = 60.0 / exercise.tempo_qpm
    soft = np.float32(10.0 ** (_ON_BEAT_DB / 20.0))
    for measure in exercise.part.measures:
        beat = _beat_of(measure.time)
        missing = float(measure.time.length_quarter - measure.duration_quarter) if measure.index == 0 else 0.0
        for number in range(
            ceil(missing / beat - _TOUCH), ceil((missing + float(measure.duration_quarter)) / beat - _TOUCH)
        ):
            place = float(measure.onset_quarter) - missing + number * beat
            click = soft * click_of(first=number == 0, rate_hz=RATE_HZ)
            mixed_in(track, click, at_s + place * second, rate_hz=RATE_HZ)


def _under(track: NDArray[np.float32], exercise: Exercise, at_s: float, before_s: float, backing: Backing) -> None:
    """Hold the drones; the first one sounds through the clicks already, so that its pitch is in the ear."""
    if backing.drone is not None:
        held = [_Held(0.0, _once_s(exercise), backing.drone.midi)]
    else:
        held = list(_drones(exercise))
    held = [_Held(one.start_s + before_s, one.length_s, one.midi) for one in held]
    held[0] = replace(held[0], start_s=0.0, length_s=held[0].length_s + before_s)
    for one in held:
        sound = drone_of(hz_of_midi(one.midi, backing.a4_hz), one.length_s, rate_hz=RATE_HZ)
        mixed_in(track, sound, at_s + one.start_s, rate_hz=RATE_HZ)


def _drones(exercise: Exercise) -> Iterator[_Held]:
    """Choose the usual drones: what lies under each stretch, joined where it stays."""
    part = exercise.part
    second = 60.0 / exercise.tempo_qpm
    if exercise.slur is not None:
        first = part.notes[exercise.slur[0]].sounding.midi
        midi = _tonic_class(part) if exercise.kind is ExerciseKind.PASSAGE else first
        yield _Held(0.0, _once_s(exercise), _placed(midi))
        return
    waiting: _Held | None = None
    for measure in part.measures:
        inside = [note for note in part.notes if note.measure == measure.index]
        ways = [exercise.ways[note.index] for note in inside]
        if len({way.fingering for way in ways}) == 1:
            midi = _placed(inside[0].sounding.midi - partial_semitones(ways[0].partial))
        else:
            midi = _placed(inside[0].sounding.midi) if inside else _LOWEST_DRONE_MIDI
        length_s = float(measure.duration_quarter) * second
        if waiting is not None and waiting.midi == midi:
            waiting = replace(waiting, length_s=waiting.length_s + length_s)
            continue
        if waiting is not None:
            yield waiting
        waiting = _Held(float(measure.onset_quarter) * second, length_s, midi)
    if waiting is not None:
        yield waiting


def _tonic_class(part: Part) -> int:
    """Key note at concert pitch, in any octave [semitones]."""
    first = part.measures[0]
    tonic = 7 * first.key.fifths + (9 if first.key.mode == "minor" else 0)
    return tonic + first.transposition.semitones


def _placed(midi: int) -> int:
    return _LOWEST_DRONE_MIDI + (midi - _LOWEST_DRONE_MIDI) % 12


def _line(
    track: NDArray[np.float32],
    exercise: Exercise,
    at_s: float,
    horn: Horn,
    backing: Backing,
    *,
    rng: np.random.Generator,
) -> None:
    """Play the notes where each fingering lies."""
    manner = Manner(
        voice=_voice_of(horn),
        level_db=_LINE_DB + _EACH_DEGREE_DB * DYNAMIC_LEVELS.get(exercise.dynamic, 0.0),
        slur=Slur(glide_s=0.03, dip_db=2.0),
        lead_s=_LEAD_S,
        tail_s=0.3,
    )
    notes = _asked(exercise, backing.a4_hz)
    played = render(perform(notes, rng=rng, manner=manner, player=_STEADY), rng=rng, rate_hz=RATE_HZ)
    mixed_in(track, played.samples, at_s + notes[0].onset_s - _LEAD_S, rate_hz=RATE_HZ)


def _asked(exercise: Exercise, a4_hz: float) -> list[AskedNote]:
    """The sounds of an exercise in the order of play, at the pitch of their fingerings."""
    line = line_of(exercise.part)
    slurred = {move.source for move in line.moves if move.slurred}
    notes: list[AskedNote] = []
    for sound in line.sounds:
        cents = exercise.ways[sound.notes[0]].cents
        onset_s = float(sound.onset_quarter) * 60.0 / exercise.tempo_qpm
        if notes and onset_s <= notes[-1].onset_s:
            onset_s = notes[-1].onset_s + notes[-1].length_s
        hz = hz_of_midi(sound.sounding.midi + cents / 100.0, a4_hz)
        notes.append(AskedNote(hz, onset_s, sound.duration_s, slurred_to_next=sound.index in slurred))
    return notes


def _voice_of(horn: Horn) -> Voice:
    """Tone colour that suits a horn, by its slide, its length and its range."""
    if horn.kind is HornKind.SLIDE:
        return TROMBONE
    if any(reading.transposition.semitones == _FIFTH_LOWER for reading in horn.readings):
        return FRENCH_HORN
    if horn.open_pitch.midi >= SoundingPitch.named("G2").midi:
        return TRUMPET
    return EUPHONIUM if horn.comfortable[1].midi > _HIGH_MIDI else TUBA

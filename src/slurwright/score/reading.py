"""How the same part looks to a player who reads another clef or transposition.

The sound stays; written pitches, keys, clefs and accidentals are made anew. Keys move by the interval between the two
transpositions; a key of more than seven accidentals gives way to its enharmonic neighbour, and all notes under it
with it. A note that would need a double accidental, where it needed none before, is spelled more simply.
"""

from dataclasses import dataclass, replace

from slurwright.errors import PitchError
from slurwright.pitch import Reading, SoundingPitch, Transposition, WrittenPitch
from slurwright.score.accidentals import accidental_name, accidentals, needed_accidentals
from slurwright.score.part import Key, Measure, Note, Part

__all__ = ["in_reading", "read_as"]

_MOST_FIFTHS = 7


def in_reading(part: Part, reading: Reading) -> Part:
    """Write a part for a player of another reading; it sounds as before.

    Accidentals of the result are complete: `shown_accidental` is set on each note that needs one, and on those that
    had a cautionary one.

    Args:
        part: with its transposition known (see `read_as`).
        reading: clef and transposition to write it in.

    """
    target = reading.transposition
    shifts = {measure.index: _shift(measure, target) for measure in part.measures}
    measures = tuple(
        replace(
            measure,
            key=shifts[measure.index].key,
            clef=reading.clef,
            transposition=target,
        )
        for measure in part.measures
    )
    reminders = {index for index, sign in accidentals(part).items() if sign.cautionary}
    spelled: dict[tuple[SoundingPitch, int, int], WrittenPitch] = {}
    notes = []
    for note in part.notes:
        shift = shifts[note.measure]
        key = (note.sounding, note.written.alter, shift.steps)
        if key not in spelled:
            spelled[key] = _written(note, target, shift.steps)
        notes.append(replace(note, written=spelled[key], shown_accidental=""))
    moved = replace(part, measures=measures, notes=tuple(notes))
    needed = needed_accidentals(moved)
    shown = tuple(
        replace(note, shown_accidental=accidental_name(note.written))
        if note.index in needed or note.index in reminders
        else note
        for note in moved.notes
    )
    return replace(moved, notes=shown, states_transposition=True)


def read_as(part: Part, transposition: Transposition) -> Part:
    """Say how a part sounds whose file does not: what is written stays, what sounds is made anew.

    Args:
        part: any part; a transposition that it states itself is overruled.
        transposition: of the instrument that reads it.

    """
    sounds: dict[WrittenPitch, SoundingPitch] = {}
    for note in part.notes:
        if note.written not in sounds:
            sounds[note.written] = transposition.to_sounding(note.written)
    return replace(
        part,
        measures=tuple(replace(measure, transposition=transposition) for measure in part.measures),
        notes=tuple(replace(note, sounding=sounds[note.written]) for note in part.notes),
    )


@dataclass(frozen=True, slots=True)
class _Shift:
    """What a new reading does to one measure."""

    key: Key
    steps: int
    """Letters by which the spelling moves beside the plain interval: enharmonic change of key [steps]."""


def _shift(measure: Measure, target: Transposition) -> _Shift:
    """Move a key by the interval between two transpositions."""
    steps = measure.transposition.diatonic - target.diatonic
    semitones = measure.transposition.semitones - target.semitones
    fifths = measure.key.fifths + 7 * semitones - 12 * steps
    beside = 0
    while fifths > _MOST_FIFTHS:
        fifths, beside = fifths - 12, beside + 1
    while fifths < -_MOST_FIFTHS:
        fifths, beside = fifths + 12, beside - 1
    return _Shift(Key(fifths, measure.key.mode), beside)


def _written(note: Note, target: Transposition, beside: int) -> WrittenPitch:
    """Spell a note by the interval, and more simply where that got worse than it was."""
    plain = _spelled(note.sounding, target, beside)
    if plain is not None and (abs(plain.alter) <= 1 or abs(plain.alter) <= abs(note.written.alter)):
        return plain
    choices = [_spelled(note.sounding, target, beside + step) for step in (0, -1, 1)]
    simplest = [pitch for pitch in choices if pitch is not None]
    return min(simplest, key=lambda pitch: abs(pitch.alter)) if simplest else target.to_written(note.sounding)


def _spelled(sounding: SoundingPitch, target: Transposition, beside: int) -> WrittenPitch | None:
    """Write a sounding pitch so many letters beside the plain interval; None where no accidental reaches."""
    moved = Transposition(target.diatonic - beside, target.semitones)
    try:
        written = moved.to_written(sounding)
    except PitchError:
        return None
    return written if written.diatonic == sounding.diatonic - moved.diatonic else None

"""How a part is read: its clef, and how far the sound lies from what is written."""

from dataclasses import dataclass
from enum import StrEnum

from slurwright.errors import PitchError
from slurwright.pitch.names import STEPS, SoundingPitch, WrittenPitch

__all__ = ["CONCERT", "Clef", "Reading", "Transposition"]

_NATURAL = (0, 2, 4, 5, 7, 9, 11)


class Clef(StrEnum):
    """The clefs that brass parts use."""

    TREBLE = "treble"
    ALTO = "alto"
    TENOR = "tenor"
    BASS = "bass"


def _spell(diatonic: int, semitones: int) -> tuple[str, int, int]:
    """Spell a staff step so that it names a given key; alterations past a double sign move to the next letter."""
    for step in (diatonic, diatonic - 1, diatonic + 1):
        octave, letter = divmod(step, 7)
        alter = semitones - (12 * (octave + 1) + _NATURAL[letter])
        if -2 <= alter <= 2:
            return STEPS[letter], alter, octave
    raise PitchError(
        "a transposition of letters and semitones that do not belong together",
        got=f"staff step {diatonic} for key {semitones}",
    )


@dataclass(frozen=True, slots=True)
class Transposition:
    """Sounding minus written: staff steps and semitones; a B-flat trumpet is (-1, -2)."""

    diatonic: int
    semitones: int

    def to_sounding(self, written: WrittenPitch) -> SoundingPitch:
        """Say what a written pitch sounds like."""
        return SoundingPitch(*_spell(written.diatonic + self.diatonic, written.staff_key + self.semitones))

    def to_written(self, sounding: SoundingPitch) -> WrittenPitch:
        """Say how a sounding pitch is written."""
        return WrittenPitch(*_spell(sounding.diatonic - self.diatonic, sounding.midi - self.semitones))


CONCERT = Transposition(0, 0)


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to write an instrument's parts, e.g. bass clef at concert pitch."""

    id: str
    name: str
    clef: Clef
    transposition: Transposition

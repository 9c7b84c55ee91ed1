"""Spelled pitches: what the staff shows (written) and what comes out (sounding), kept apart as types.

Names are ASCII and scientific: a letter, ``b`` or ``#`` up to twice, an octave number; C4 is middle C and
MIDI 60 (a convention of scientific pitch notation; published: R. W. Young, JASA 11 (1939) 134).
"""

import re
from dataclasses import dataclass
from typing import Self

from slurwright.errors import PitchError

__all__ = ["STEPS", "SoundingPitch", "WrittenPitch"]

STEPS = "CDEFGAB"
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_NAME = re.compile(r"([A-Ga-g])(b{0,2}|#{0,2})(-?\d{1,2})", re.ASCII)
_FLAT_SPELLING = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


@dataclass(frozen=True, slots=True)
class _SpelledPitch:
    """A letter, an alteration in semitones and an octave; never used by itself."""

    step: str
    alter: int
    octave: int

    def __post_init__(self) -> None:
        if self.step not in STEPS or not -3 <= self.alter <= 3:
            raise PitchError(
                "not a pitch",
                got=f"{self.step}{self.alter:+d} octave {self.octave}",
                allowed="a letter C to B, altered by at most three semitones",
            )

    @classmethod
    def named(cls, name: str) -> Self:
        """Read an ASCII name such as ``Bb3`` or ``F#4``.

        Raises:
            PitchError: the name is not of that form.

        """
        match = _NAME.fullmatch(name.strip().replace("♭", "b").replace("♯", "#"))
        if match is None:
            raise PitchError("not a pitch name", got=repr(name), allowed="a letter, b or #, an octave: Bb3, F#4, C4")
        letter, sign, octave = match.groups()
        return cls(letter.upper(), len(sign) * (-1 if sign.startswith("b") else 1), int(octave))

    @property
    def diatonic(self) -> int:
        """Steps of the staff above C0 [steps]."""
        return self.octave * 7 + STEPS.index(self.step)

    @property
    def _semitones(self) -> int:
        return 12 * (self.octave + 1) + _SEMITONES[self.step] + self.alter

    def __str__(self) -> str:
        """Write the ASCII name."""
        sign = "b" * -self.alter if self.alter < 0 else "#" * self.alter
        return f"{self.step}{sign}{self.octave}"


@dataclass(frozen=True, slots=True)
class SoundingPitch(_SpelledPitch):
    """A pitch at concert pitch: what a listener hears."""

    @property
    def midi(self) -> int:
        """Number of the key at concert pitch; A4 is 69 [semitones]."""
        return self._semitones

    @classmethod
    def from_midi(cls, midi: int) -> "SoundingPitch":
        """Spell a key number with the flats that brass players read, F# alone as a sharp."""
        return cls.named(f"{_FLAT_SPELLING[midi % 12]}{midi // 12 - 1}")


@dataclass(frozen=True, slots=True)
class WrittenPitch(_SpelledPitch):
    """A pitch as the part shows it: what a player reads."""

    @property
    def staff_key(self) -> int:
        """Number of the key that the staff names, before any transposition; written A4 is 69 [semitones]."""
        return self._semitones

"""What does each instrument sound like? Coarse spectra, for takes that are made up; ours, from memory.

The bell lets little out below a corner frequency, so that low notes have a weak fundamental; above a cutoff the
spectrum falls, and the cutoff rises with loudness, which is why a loud note is a bright one.
"""

from dataclasses import dataclass

__all__ = ["EUPHONIUM", "FRENCH_HORN", "TROMBONE", "TRUMPET", "TUBA", "VOICES", "Voice"]


@dataclass(frozen=True, slots=True)
class Voice:
    """A tone colour."""

    name: str
    bell_hz: float
    """Below this the bell radiates less and less [Hz]."""
    cutoff_hz: float
    """Where the spectrum of a note at -20 dB starts to fall [Hz]."""
    octaves_per_db: float = 0.07
    """How far the cutoff rises with the level [octaves]."""
    steepness: float = 3.2
    """Fall above the cutoff: the amplitude goes as frequency to minus this [1]."""


TRUMPET = Voice("trumpet", bell_hz=700.0, cutoff_hz=1700.0, steepness=2.8)
FRENCH_HORN = Voice("horn", bell_hz=350.0, cutoff_hz=750.0, steepness=3.4)
TROMBONE = Voice("trombone", bell_hz=330.0, cutoff_hz=1050.0, steepness=3.0)
EUPHONIUM = Voice("euphonium", bell_hz=230.0, cutoff_hz=700.0, steepness=3.4)
TUBA = Voice("tuba", bell_hz=150.0, cutoff_hz=430.0, steepness=3.2)
VOICES = {voice.name: voice for voice in (TRUMPET, FRENCH_HORN, TROMBONE, EUPHONIUM, TUBA)}

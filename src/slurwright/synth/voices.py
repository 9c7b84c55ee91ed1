"""What does each instrument sound like? Coarse spectra, for takes that are made up.

The bell lets little out below a corner frequency, so that low notes have a weak fundamental; above a cutoff the
spectrum falls, and the cutoff rises with loudness, which is why a loud note is a bright one. Ours: the corners and
the slopes were set by eye beside recorded single notes, whose harmonics scatter by some 5 dB around them.
"""

from dataclasses import dataclass

__all__ = ["EUPHONIUM", "FRENCH_HORN", "TROMBONE", "TRUMPET", "TUBA", "VOICES", "Ripple", "Voice"]


@dataclass(frozen=True, slots=True)
class Ripple:
    """One wave of unevenness over the frequency on a scale of octaves."""

    turn_rad: float
    """How much of a wave there is in an octave [rad]."""
    phase_rad: float
    size_db: float


@dataclass(frozen=True, slots=True)
class Voice:
    """A tone colour."""

    name: str
    bell_hz: float
    """Below this the bell radiates less and less, 12 dB an octave [Hz]."""
    cutoff_hz: float
    """Where the spectrum of a note at -20 dB starts to fall [Hz]."""
    octaves_per_db: float = 0.07
    """How far the cutoff rises with the level [octaves]."""
    steepness: float = 4.5
    """Fall above the cutoff: the amplitude goes as frequency to minus this [1]."""
    ripples: tuple[Ripple, ...] = (Ripple(4.3, 0.4, 2.0), Ripple(9.1, 1.9, 2.0))


TRUMPET = Voice("trumpet", bell_hz=230.0, cutoff_hz=1700.0, steepness=4.0)
FRENCH_HORN = Voice("horn", bell_hz=210.0, cutoff_hz=700.0, steepness=5.5)
TROMBONE = Voice("trombone", bell_hz=110.0, cutoff_hz=1000.0, steepness=4.5)
EUPHONIUM = Voice("euphonium", bell_hz=120.0, cutoff_hz=650.0, steepness=4.8)
TUBA = Voice("tuba", bell_hz=80.0, cutoff_hz=400.0, steepness=4.5)
VOICES = {voice.name: voice for voice in (TRUMPET, FRENCH_HORN, TROMBONE, EUPHONIUM, TUBA)}

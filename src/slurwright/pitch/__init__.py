"""Pitch: names, readings and tuning; what every other room speaks in."""

from slurwright.pitch.names import STEPS, SoundingPitch, WrittenPitch
from slurwright.pitch.reading import CONCERT, Clef, Reading, Transposition
from slurwright.pitch.tuning import A4_HZ, cents_of_ratio, hz_of_midi, midi_of_hz, speed_of_sound

__all__ = [
    "A4_HZ",
    "CONCERT",
    "STEPS",
    "Clef",
    "Reading",
    "SoundingPitch",
    "Transposition",
    "WrittenPitch",
    "cents_of_ratio",
    "hz_of_midi",
    "midi_of_hz",
    "speed_of_sound",
]

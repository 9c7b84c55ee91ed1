"""Frequencies, cents and air: the few conversions that every room shares.

Standard pitch A4 = 440 Hz (ISO 16:1975; from memory). Speed of sound in dry air 331.3 sqrt(1 + T/273.15) m/s
(handbook formula; from memory).
"""

import math

__all__ = ["A4_HZ", "cents_of_ratio", "hz_of_midi", "midi_of_hz", "speed_of_sound"]

A4_HZ = 440.0


def cents_of_ratio(ratio: float) -> float:
    """Size of a frequency ratio above zero [cents].

    Args:
        ratio: higher frequency over lower [1].

    """
    return 1200.0 * math.log2(ratio)


def hz_of_midi(midi: float, a4_hz: float = A4_HZ) -> float:
    """Frequency in equal temperament [Hz].

    Args:
        midi: key number at concert pitch, 69 is A4 [semitones].
        a4_hz: what A4 is tuned to [Hz].

    """
    return float(a4_hz * 2.0 ** ((midi - 69.0) / 12.0))


def midi_of_hz(frequency_hz: float, a4_hz: float = A4_HZ) -> float:
    """Key number, with fractions, of a frequency in equal temperament [semitones].

    Args:
        frequency_hz: above zero [Hz].
        a4_hz: what A4 is tuned to [Hz].

    """
    return 69.0 + 12.0 * math.log2(frequency_hz / a4_hz)


def speed_of_sound(temperature_c: float) -> float:
    """Speed of sound in dry air, good to about 0.1 m/s from -20 to +40 degrees [m/s].

    Args:
        temperature_c: of the air in the instrument [degC].

    """
    return 331.3 * math.sqrt(1.0 + temperature_c / 273.15)

"""Which printed note shapes make a length of time: for readers whose files give lengths but no shapes."""

from fractions import Fraction

from slurwright.score.part import NoteValue, Tuplet

__all__ = ["NOTE_TYPES", "length_of_value", "value_of_length", "values_of_gap"]

NOTE_TYPES: dict[str, Fraction] = {
    "maxima": Fraction(32),
    "long": Fraction(16),
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
    "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}
"""Length of each shape [quarters]."""
_MOST_DOTS = 3
_TUPLETS = ((3, 2), (5, 4), (7, 4), (6, 4), (7, 8), (9, 8), (2, 3), (4, 3))
_PLAIN: dict[Fraction, tuple[str, int]] = {
    length * (2 - Fraction(1, 2**dots)): (name, dots)
    for dots in range(_MOST_DOTS, -1, -1)
    for name, length in NOTE_TYPES.items()
}


def length_of_value(value: NoteValue) -> Fraction:
    """Length that a shape stands for [quarters].

    Args:
        value: with its dots and tuplet.

    """
    length = NOTE_TYPES[value.type] * (2 - Fraction(1, 2**value.dots))
    return length * Fraction(value.tuplet.normal, value.tuplet.actual) if value.tuplet else length


def value_of_length(length_quarter: Fraction) -> NoteValue | None:
    """Name the shape of a length: plain or dotted, else under a common tuplet; None where no single shape fits.

    Args:
        length_quarter: above zero [quarters].

    """
    if (plain := _PLAIN.get(length_quarter)) is not None:
        return NoteValue(*plain)
    for actual, normal in _TUPLETS:
        found = _PLAIN.get(length_quarter * Fraction(actual, normal))
        if found is not None and found[1] < 2:
            return NoteValue(found[0], found[1], Tuplet(actual, normal))
    return None


def values_of_gap(length_quarter: Fraction) -> tuple[tuple[Fraction, NoteValue | None], ...]:
    """Split a silence into rests, the longest first: (length, shape) each; a shape of None where none fits.

    Args:
        length_quarter: the silence [quarters].

    """
    pieces: list[tuple[Fraction, NoteValue | None]] = []
    left = length_quarter
    while left > 0:
        single = value_of_length(left)
        if single is not None and single.dots < 2:
            return (*pieces, (left, single))
        length = max((x for x in NOTE_TYPES.values() if x <= left), default=left)
        pieces.append((length, value_of_length(length)))
        left -= length
    return tuple(pieces)

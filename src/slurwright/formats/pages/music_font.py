"""What pages must know of the fonts that the engraver measures with: advances of letters, outlines of signs."""

from dataclasses import dataclass
from typing import Protocol

__all__ = ["Face", "MusicFont", "is_sign", "sign_of", "sign_scale"]

_ACCIDENTALS = {"\u266d": 0xE260, "\u266e": 0xE261, "\u266f": 0xE262}
"""Text accidentals and the music font's own (published: SMuFL 1.4, range "Standard accidentals")."""
_IN_TEXT = 1.15
"""How much larger than the letters the music font is set for an accidental among them, so that it is as tall
as a capital. Derived."""


@dataclass(frozen=True, slots=True)
class Face:
    """A face of the text font."""

    bold: bool = False
    italic: bool = False


class MusicFont(Protocol):
    """Metrics of the engraver's fonts; lengths in parts of the font size."""

    def letter_advance(self, letter: str, face: Face) -> float:
        """Say how wide a letter is.

        Args:
            letter: one character.
            face: bold, italic, both or neither.

        Returns:
            Advance [font sizes].

        """
        ...

    def sign_advance(self, code: int) -> float:
        """Say how wide a musical sign is.

        Args:
            code: code point [1].

        Returns:
            Advance [font sizes].

        """
        ...

    def sign_outline(self, code: int) -> str:
        """Give the outline of a musical sign as SVG path data, y upwards, 1000 units a font size.

        Args:
            code: code point [1].

        """
        ...


def is_sign(letter: str) -> bool:
    """Say whether a character of a text is drawn from the music font."""
    return "\ue000" <= letter <= "\uf8ff" or letter in _ACCIDENTALS


def sign_of(letter: str) -> int:
    """Say which sign of the music font a character stands for.

    Returns:
        Code point [1].

    """
    return _ACCIDENTALS.get(letter, ord(letter))


def sign_scale(letter: str) -> float:
    """Say how much larger than its text a sign is set.

    Returns:
        Factor [1].

    """
    return _IN_TEXT if letter in _ACCIDENTALS else 1.0

"""A font for tests of drawings, with plain numbers instead of files."""

from slurwright.formats.pages.music_font import Face


class PlainFont:
    """Every letter is half as wide as the font is high, every sign as wide as it is high."""

    def letter_advance(self, letter: str, face: Face) -> float:
        """Say how wide a letter is."""
        return 0.5

    def sign_advance(self, code: int) -> float:
        """Say how wide a sign is."""
        return 1.0

    def sign_outline(self, code: int) -> str:
        """Draw a square that tells its code."""
        return f"M0 0 h{code} v1 h-1 z"

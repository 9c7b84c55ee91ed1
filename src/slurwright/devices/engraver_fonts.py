"""Metrics and outlines of the engraver's fonts, read from the files that its library brings along."""

from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from xml.etree import ElementTree as ET

from slurwright.errors import EngravingError
from slurwright.formats.pages.music_font import Face

__all__ = ["EngraverFonts", "text_font_folder"]

_MUSIC_FONT = "Leipzig"
_TEXT_FILES = {
    Face(): "Times",
    Face(bold=True): "Times-bold",
    Face(italic=True): "Times-italic",
    Face(bold=True, italic=True): "Times-bold-italic",
}
_UPRIGHT_DEFAULT, _ITALIC_DEFAULT = 1479 / 2048, 1024 / 2048
"""Advance of letters whose entry states none [font sizes]. Derived: so wide are all of them in Liberation Serif."""
_UNKNOWN_LETTER = 0.5
"""Advance that is assumed for a letter without metrics [font sizes]. Derived: the mean of the text font's letters."""


def text_font_folder() -> Path:
    """Find the folder with the font that pages are set in."""
    return Path(str(files("slurwright") / "data" / "fonts" / "liberation-serif"))


class EngraverFonts:
    """A `MusicFont` over the engraver's own data files; each file is read once."""

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder or _engraver_data()
        self._letters: dict[Face, dict[int, float]] = {}
        self._signs: dict[int, float] = {}

    def letter_advance(self, letter: str, face: Face) -> float:
        """Say how wide a letter is.

        Args:
            letter: one character.
            face: bold, italic, both or neither.

        Returns:
            Advance [font sizes].

        """
        if face not in self._letters:
            unstated = _ITALIC_DEFAULT if face.italic else _UPRIGHT_DEFAULT
            self._letters[face] = _advances(self._folder / "text" / f"{_TEXT_FILES[face]}.xml", unstated)
        return self._letters[face].get(ord(letter), _UNKNOWN_LETTER)

    def sign_advance(self, code: int) -> float:
        """Say how wide a musical sign is.

        Args:
            code: code point [1].

        Returns:
            Advance [font sizes].

        """
        if not self._signs:
            self._signs = _advances(self._folder / f"{_MUSIC_FONT}.xml", 0.0)
        return self._signs.get(code, _UNKNOWN_LETTER)

    def sign_outline(self, code: int) -> str:
        """Give the outline of a musical sign as SVG path data, y upwards, 1000 units a font size.

        Args:
            code: code point [1].

        Returns:
            Path data; empty for a sign that the font does not have.

        """
        file = self._folder / _MUSIC_FONT / f"{code:04X}.xml"
        if not file.is_file():
            return ""
        path = ET.parse(file).getroot().find("path")  # noqa: S314 - the engraver's own data
        return "" if path is None else path.get("d", "")


def _advances(file: Path, unstated: float) -> dict[int, float]:
    root = ET.parse(file).getroot()  # noqa: S314 - the engraver's own data
    em = float(root.get("units-per-em", "1000"))
    return {
        int(glyph.get("c", "0"), 16): float(stated) / em if (stated := glyph.get("h-a-x")) else unstated
        for glyph in root.iter("g")
        if glyph.get("c")
    }


def _engraver_data() -> Path:
    """Find the engraver's data without loading the engraver.

    Raises:
        EngravingError: the engraver's library is not installed.

    """
    spec = find_spec("verovio")
    if spec is None or spec.origin is None:
        raise EngravingError("the engraver is not installed", allowed="the Python package verovio")
    return Path(spec.origin).parent / "data"

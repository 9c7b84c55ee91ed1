"""Which pitch an MEI note writes: its name, octave and the accidental that holds.

What holds, in this order: ``@accid.ges``, ``@accid`` (as attribute or element), an accidental of the same line
earlier in the measure, the key signature. An ``@oct.ges`` under an octave line replaces ``@oct``: the line is
written out, so that notes stand where they sound.
"""

from dataclasses import dataclass

from slurwright.formats.mei.tree import children, local
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.xmlsafe import Element
from slurwright.pitch import WrittenPitch
from slurwright.score import Key

__all__ = ["PitchReader", "ReadPitch"]

_ALTERS = {"s": 1, "f": -1, "n": 0, "ss": 2, "x": 2, "ff": -2, "xs": 3, "sx": 3, "ts": 3, "tf": -3, "nf": -1, "ns": 1}
_SHOWN = {
    "s": "sharp",
    "f": "flat",
    "n": "natural",
    "ss": "double-sharp",
    "x": "double-sharp",
    "ff": "flat-flat",
    "nf": "natural-flat",
    "ns": "natural-sharp",
}
_SHARPS = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class ReadPitch:
    """A pitch and the accidental printed before it."""

    pitch: WrittenPitch
    shown: str


class PitchReader:
    """Reads pitches and remembers the accidentals of the measure."""

    def __init__(self, log: Log) -> None:
        self._log = log
        self.key = Key()
        self._measure: dict[tuple[str, int], int] = {}
        self._held: dict[tuple[str, int], int] = {}

    def new_measure(self, key: Key) -> None:
        """Forget the accidentals of the last measure, but for ties out of it."""
        self.key = key
        self._measure = {}

    def read(self, note: Element, *, octaves: int) -> ReadPitch | None:
        """Read a note's pitch; None and a fault if it has none.

        Args:
            note: the note.
            octaves: how far the octave sign of the clef moves what is shown [octaves].

        """
        step = (note.get("pname") or "").upper()
        octave = self._log.whole(note.get("oct.ges") or note.get("oct"), "octave of a note", low=-2, high=12)
        if len(step) != 1 or step not in "CDEFGAB":
            self._log.fault("a note has no pitch name", got=repr(note.get("pname")), allowed="a to g")
            return None
        if octave is None:
            return None
        written, heard = self._accidentals(note)
        line = (step, octave)
        alter = self._alter(line, written, heard, tied=any(sign in note.get("tie", "") for sign in "mt"))
        if alter is None:
            return None
        if written:
            self._measure[line] = _ALTERS[written]
        self._held[line] = alter
        return ReadPitch(WrittenPitch(step, alter, octave + octaves), _SHOWN.get(written, ""))

    def _accidentals(self, note: Element) -> tuple[str, str]:
        """Give the written and the sounding accidental of a note; either may be empty."""
        written, heard = note.get("accid", ""), note.get("accid.ges", "")
        for child in children(note):
            if local(child) == "accid":
                written = child.get("accid", "") or written
                heard = child.get("accid.ges", "") or heard
        return written, heard

    def _alter(self, line: tuple[str, int], written: str, heard: str, *, tied: bool) -> int | None:
        for sign in (heard, written):
            if sign:
                if sign not in _ALTERS:
                    self._log.fault("an accidental makes no sense here", got=repr(sign), allowed="s, f, n, ss, x, ff")
                    return None
                return _ALTERS[sign]
        if tied and line in self._held:
            return self._held[line]
        if line in self._measure:
            return self._measure[line]
        at = _SHARPS.index(line[0])
        return 1 if at < self.key.fifths else -1 if 6 - at < -self.key.fifths else 0

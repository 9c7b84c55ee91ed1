"""Where a sign stands in MEI: at a note when one begins there, else at a beat of a written measure."""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from slurwright.formats.pages.element import note_id
from slurwright.formats.pages.frames import Frame, frame_of_measure, frames_of
from slurwright.score import Part

__all__ = ["Places", "places_of"]


@dataclass(frozen=True, slots=True)
class Places:
    """The measures as they are written, and the note that begins at each place."""

    part: Part
    frames: tuple[Frame, ...]
    frame_of: Mapping[int, int]
    """Index into ``Part.measures`` -> index into `frames`."""
    note_at: Mapping[Fraction, int]
    """Onset -> index of the main note that begins there."""
    onsets: tuple[Fraction, ...]
    """Onset of every measure of the part [quarters]."""

    def measure_at(self, place: Fraction) -> int:
        """Find the measure in which a place lies; a bar line belongs to the measure after it.

        Args:
            place: from the start of the part [quarters].

        Returns:
            Index into ``Part.measures`` [1].

        """
        return max(0, bisect_right(self.onsets, place) - 1)

    def start(self, measure: int, place: Fraction) -> dict[str, str]:
        """Say where a sign begins, as MEI attributes.

        Args:
            measure: index into ``Part.measures`` [1].
            place: from the start of the part [quarters].

        """
        note = self.note_at.get(place)
        if note is not None and self.part.notes[note].measure == measure:
            return {"startid": f"#{note_id(note)}"}
        return {"tstamp": self.beat(measure, place)}

    def end(self, start_measure: int, place: Fraction) -> str:
        """Say where a sign ends: so many measures further and a beat, as MEI writes it.

        Args:
            start_measure: index of the measure in which the sign begins [1].
            place: from the start of the part; on a bar line, the measure before it is meant [quarters].

        """
        measure = self.measure_at(place)
        if measure > start_measure and place == self.onsets[measure]:
            measure -= 1
        ahead = self.frame_of[measure] - self.frame_of[start_measure]
        return f"{ahead}m+{self.beat(measure, place)}"

    def beat(self, measure: int, place: Fraction) -> str:
        """Count the beat of a place in a measure from 1, as a decimal number.

        Args:
            measure: index into ``Part.measures`` [1].
            place: from the start of the part [quarters].

        """
        held = self.part.measures[measure]
        inside = min(max(place - held.onset_quarter, Fraction(0)), held.duration_quarter)
        return f"{float(1 + inside * Fraction(held.time.beat_type, 4)):.6g}"


def places_of(part: Part) -> Places:
    """Prepare to place signs in a part."""
    frames = frames_of(part)
    note_at: dict[Fraction, int] = {}
    for note in part.notes:
        if not note.grace:
            note_at.setdefault(note.onset_quarter, note.index)
    onsets = tuple(measure.onset_quarter for measure in part.measures)
    return Places(part, frames, frame_of_measure(frames), note_at, onsets)

"""The chart of a player's horn: which ways stand on it, and the drawings."""

from collections.abc import Sequence
from dataclasses import replace

from slurwright.formats.chart_sheets import SHEET_SIZES_MM, Sheet
from slurwright.formats.svg import write_svg
from slurwright.horn import Horn, HornKind
from slurwright.jobs.own_horn import OwnHorn
from slurwright.jobs.words import tones_text
from slurwright.picture.chart import ChartWords, chart
from slurwright.pitch import Reading
from slurwright.plan.charted import ChartedNote, Knowledge

__all__ = ["chart_drawings", "usual_ways"]


def usual_ways(notes: Sequence[ChartedNote], horn: Horn) -> tuple[ChartedNote, ...]:
    """Leave of each note the normal way, the alternates that players learn first, and what was measured.

    Args:
        notes: with every way.
        horn: the same horn.
    """
    return tuple(
        replace(
            note,
            ways=tuple(
                charted
                for charted in note.ways
                if charted.way.normal
                or (charted.way.fingering, charted.way.partial) in horn.alternates.get(note.sounding.midi, ())
                or charted.knowledge is Knowledge.MEASURED
            ),
        )
        for note in notes
    )


def chart_drawings(
    own: OwnHorn, horn: Horn, notes: Sequence[ChartedNote], *, reading: Reading, sheet: Sheet = Sheet.A4
) -> tuple[str, ...]:
    """Draw the chart of a horn, one SVG a sheet.

    Args:
        own: the horn.
        horn: the same with what was learnt.
        notes: those that are to stand on it, lowest first.
        reading: how the player reads.
        sheet: what it is drawn for.
    """
    width, height = SHEET_SIZES_MM[sheet]
    slides = f", slides set: {horn.tuning}" if horn.kind is HornKind.VALVES else ""
    words = ChartWords(
        title=own.owned.name,
        subtitle=_spelled(f"{own.model.name}{slides} · {reading.name}"),
        learnt=_learnt(own, horn),
        held="position" if horn.kind is HornKind.SLIDE else "fingering",
    )
    pictures = chart(notes, reading=reading, words=words, width_mm=width, height_mm=height)
    return tuple(write_svg(picture) for picture in pictures)


def _spelled(words: str) -> str:
    """Say flats and sharps of an instrument's name in words: not every type has the signs."""
    return words.replace("♭", " flat").replace("♯", " sharp")


def _learnt(own: OwnHorn, horn: Horn) -> str:
    if not horn.measured_tones:
        return "nothing measured yet: all of it is prior"
    last = max(kept.played.played_on for kept in own.readings)
    return f"learnt from {tones_text(horn.measured_tones)}, the last of {last.isoformat()}"

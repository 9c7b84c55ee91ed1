"""Which layer and which notes of chords are the player's line.

A voice that is named gives its own layer; in measures where it has no notes and no printed rest, both players read
the line that is there. Layers that never hold notes in the same measure are one line. "top" and "bottom" take the
upper or lower note of chords, and of several layers the higher or lower one; "2 top" names both.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from slurwright.errors import PartError
from slurwright.formats.mei.layer import Event
from slurwright.formats.mei.tree import children, descendants, local
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.xmlsafe import Element

__all__ = ["Choice", "choose", "layers_of", "line_of_measure", "sounding_layers"]

_SIDES = ("top", "bottom")
_STEPS = "cdefgab"


@dataclass(frozen=True, slots=True)
class Choice:
    """What is read."""

    layer: str | None
    """None where all layers are one line."""
    side: str | None
    """"top" or "bottom" of chords; None where there may be none."""


def layers_of(measure: Element, staff: str | None) -> list[tuple[str, Element]]:
    """Give the layers of a staff of one measure with their names; of every staff if none is named."""
    found: list[tuple[str, Element]] = []
    order = 0
    for child in children(measure):
        if local(child) == "staff":
            order += 1
            if staff is None or child.get("n", str(order)) == staff:
                own = [layer for layer in children(child) if local(layer) == "layer"]
                found.extend((layer.get("n", str(at)), layer) for at, layer in enumerate(own, start=1))
    return found


def sounding_layers(measures: Sequence[Element], staff: str) -> tuple[str, ...]:
    """Say which layers of a staff hold notes."""
    found: dict[str, None] = {}
    for measure in measures:
        for name, layer in layers_of(measure, staff):
            if name not in found and next(descendants(layer, "note"), None) is not None:
                found[name] = None
    return tuple(sorted(found, key=lambda name: (len(name), name)))


def choose(measures: Sequence[Element], staff: str, voice: str | None, log: Log) -> Choice:
    """Say what the player's word means on this staff.

    Raises:
        PartError: no notes, no such voice, or several voices and no word.

    """
    words = (voice or "").split()
    side = words.pop().lower() if words and words[-1].lower() in _SIDES else None
    name = " ".join(words) or None
    sounding = sounding_layers(measures, staff)
    if not sounding:
        raise PartError("the part has no notes to play", where=log.where())
    if name is not None and name not in sounding:
        raise PartError("no such voice with notes", got=repr(voice), allowed=_offer(sounding), where=log.where())
    if name is not None or len(sounding) == 1:
        return Choice(name or sounding[0], side)
    if side is not None:
        return Choice(_outer(measures, staff, sounding, side), side)
    if _share_a_measure(measures, staff):
        raise PartError(
            "several voices sound together in a single player's line",
            got=f"voices {', '.join(sounding)}",
            allowed=_offer(sounding),
            where=log.where(),
        )
    log.notice(f"voices {', '.join(sounding)} never sound together and are read as one line")
    return Choice(None, None)


def _offer(sounding: Sequence[str]) -> str:
    names = [f"voice {name}" for name in sounding] if len(sounding) > 1 else []
    return ", ".join([*names, *_SIDES])


def _share_a_measure(measures: Sequence[Element], staff: str) -> bool:
    return any(
        sum(next(descendants(layer, "note"), None) is not None for _, layer in layers_of(measure, staff)) > 1
        for measure in measures
    )


def _outer(measures: Sequence[Element], staff: str, sounding: Sequence[str], side: str) -> str:
    """Find the layer that lies highest or lowest on average, where both say something."""
    heights: dict[str, list[int]] = {name: [] for name in sounding}
    for measure in measures:
        for name, layer in layers_of(measure, staff):
            heights.get(name, []).extend(_heights(layer))

    def height(name: str) -> Fraction:
        return Fraction(sum(heights[name]), max(1, len(heights[name])))

    ranked = sorted(sounding, key=height)
    return ranked[-1] if side == "top" else ranked[0]


def _heights(layer: Element) -> Iterator[int]:
    for note in descendants(layer, "note"):
        if _has_height(note):
            yield _height(note)


def _has_height(note: Element) -> bool:
    octave, step = note.get("oct", ""), note.get("pname", "")
    return octave.isdecimal() and len(octave) < 3 and len(step) == 1 and step in _STEPS


def _height(note: Element) -> int:
    return 7 * int(note.get("oct", "0")) + _STEPS.index(note.get("pname", "c"))


def line_of_measure(layers: Mapping[str, Sequence[Event]], choice: Choice, log: Log) -> tuple[str, Sequence[Event]]:
    """Give the name and the events of the layer that is read in one measure, one note of each chord.

    Raises:
        PartError: a chord, and no side was named.

    """
    name = choice.layer
    if name is None or not any(_is_printed(event) for event in layers.get(name, ())):
        with_notes = (other for other, events in layers.items() if any(event.kind == "note" for event in events))
        borrowed = next(with_notes, name or next(iter(layers), "1"))
        if name is not None and borrowed != name:
            log.notice(f"where voice {name} is empty, the line that both players share is read")
        name = borrowed
    return name, _single(layers.get(name, ()), choice.side, log)


def _is_printed(event: Event) -> bool:
    return event.kind != "sign" and local(event.element) not in ("space", "mSpace")


def _single(events: Sequence[Event], side: str | None, log: Log) -> list[Event]:
    chosen: list[Event] = []
    for event in events:
        before = chosen[-1] if chosen else None
        if event.chord is None or before is None or before.chord is not event.chord:
            chosen.append(event)
        elif side is None:
            raise PartError(
                "several notes at once in a single player's line; choose a voice",
                got="a chord",
                allowed="top or bottom, as the voice",
                where=log.where(),
            )
        elif _has_height(event.element) and _has_height(before.element):
            higher = _height(event.element) > _height(before.element)
            if higher == (side == "top"):
                chosen[-1] = event
    return chosen

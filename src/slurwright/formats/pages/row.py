"""The fingering row under the staff, and the marks of weak slurs above it."""

from collections.abc import Mapping, Sequence

from slurwright.formats.pages.element import Element, child, note_id, write
from slurwright.formats.pages.places import Places
from slurwright.formats.pages.request import PageRequest, RowLabel, RowStyle, WeakSlurMark
from slurwright.formats.pages.signs import SignWriter

__all__ = ["label_id", "labels_to_print", "mark_id", "mark_text", "row_writers"]

_LABEL_SIZE = "82%"
"""Of the engraver's text size: "1-2-3" under every semiquaver leaves air. Derived."""
_GRACE_SIZE = "62%"
_MARK_SIZE = "82%"
_FOOT_SIZE = "45%"
"""A second, empty line in the box makes room for its foot; the box is closed above it in the drawing."""
_HARD_SPACE = "\u00a0"
_SPACES_PER_LETTER = 1.8
"""A fingering's letters are so many spaces wide: digits 0.5, hyphens 0.33, a space 0.25 of the font size. Derived."""


def label_id(note: int) -> str:
    """Name the drawing of the fingering under a note.

    Args:
        note: index into ``Part.notes`` [1].

    """
    return f"f{note}"


def mark_id(number: int) -> str:
    """Name the drawing of a weak slur's mark.

    Args:
        number: the mark's number [1].

    """
    return f"s{number}"


def mark_text(mark: WeakSlurMark) -> str:
    """Say what stands in the box over a weak slur."""
    return f"S{mark.number} {mark.label}".strip()


def labels_to_print(request: PageRequest) -> dict[int, RowLabel]:
    """Choose which notes get their fingering: all or only changes, never the continuation of a tie."""
    at_weak = {note for mark in request.weak for note in (mark.first_note, mark.last_note)}
    return {
        note: label
        for note, label in sorted(request.labels.items())
        if label.text.strip()
        and not request.part.notes[note].tied_from_previous
        and (request.row_style is RowStyle.ALL or label.changed or note in at_weak)
    }


def row_writers(request: PageRequest, places: Places) -> dict[int, list[SignWriter]]:
    """Gather the row's labels and the weak slurs' marks by frame."""
    signs: dict[int, list[SignWriter]] = {}
    notes = request.part.notes
    labels = labels_to_print(request)
    for holder, graces in _with_graces(request, labels).items():
        small = [(note, labels[note]) for note in graces]
        main = (holder, labels[holder]) if holder in labels and holder not in graces else None
        signs.setdefault(places.frame_of[notes[holder].measure], []).append(_label(holder, main, small))
    for mark in request.weak:
        signs.setdefault(places.frame_of[notes[mark.first_note].measure], []).append(_mark(mark))
    return signs


def _with_graces(request: PageRequest, labels: Mapping[int, RowLabel]) -> dict[int, list[int]]:
    """Find the notes that labels hang from, each with the grace notes whose labels it takes along.

    The engraver makes room for labels of full notes only, so grace notes share the label of the note they lean on.
    """
    holders: dict[int, list[int]] = {}
    waiting: list[int] = []
    for note in request.part.notes:
        if note.grace:
            if note.index in labels:
                waiting.append(note.index)
            continue
        if waiting or note.index in labels:
            holders[note.index] = waiting
            waiting = []
    if waiting:
        holders[waiting[-1]] = waiting
    return holders


def _label(holder: int, main: tuple[int, RowLabel] | None, graces: Sequence[tuple[int, RowLabel]]) -> SignWriter:
    """Write a note's fingering after those of its grace notes, with as much air behind it to keep it centred."""

    def sign(measure: Element) -> None:
        changed = main is not None and main[1].changed
        harm = child(
            measure,
            "harm",
            {
                "xml:id": label_id(holder),
                "startid": f"#{note_id(holder)}",
                "place": "below",
                "type": "changed" if changed else "normal",
            },
        )
        for note, label in graces:
            _write_label(harm, label, _GRACE_SIZE, label_id(note) if note != holder else "")
            child(harm, "rend", {"fontsize": _GRACE_SIZE}, _HARD_SPACE)
        if main is not None:
            _write_label(harm, main[1], _LABEL_SIZE, "")
        if graces and main is not None:
            letters = sum(len(label.text) + 1 for _, label in graces)
            child(harm, "rend", {"fontsize": _GRACE_SIZE}, _HARD_SPACE * round(letters * _SPACES_PER_LETTER))

    return sign


def _write_label(harm: Element, label: RowLabel, size: str, name: str) -> None:
    style = {"fontsize": size, "fontweight": "bold" if label.changed else "normal"}
    if label.changed:
        style["rend"] = "underline"
    write(harm, label.text, {"xml:id": name, **style})


def _mark(mark: WeakSlurMark) -> SignWriter:
    def sign(measure: Element) -> None:
        start = {"startid": f"#{note_id(mark.first_note)}", "place": "above"}
        place = child(measure, "dir", {"xml:id": mark_id(mark.number), **start})
        style = {"rend": "box", "fontweight": "bold", "fontstyle": "normal", "fontsize": _MARK_SIZE}
        box = write(place, mark_text(mark), style)
        child(box, "lb")
        write(box, "", {"fontsize": _FOOT_SIZE}).text = _HARD_SPACE

    return sign

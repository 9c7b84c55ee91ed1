"""The fingering row under the staff, and the marks of weak slurs above it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from slurwright.formats.pages.element import Element, child, note_id, write
from slurwright.formats.pages.places import Places
from slurwright.formats.pages.request import PageRequest, RowLabel, RowStyle, WeakSlurMark
from slurwright.formats.pages.signs import SignWriter
from slurwright.score import Note

__all__ = ["has_tight_labels", "label_id", "labels_to_print", "mark_id", "mark_texts", "row_writers"]

_LABEL_SIZE, _SMALLEST_LABEL = 82, 50
"""Of the engraver's text size: "1-2-3" under every semiquaver leaves air. Derived."""
_GRACE_SIZE = "62%"
_LETTERS_A_LINE = 100
"""Letters of fingerings with their gaps that a line holds at the usual size; a measure with more of them has its
labels made smaller, and tight (without hyphens) where that is not enough. Derived."""
_MOST_LETTERS = _LETTERS_A_LINE * _LABEL_SIZE // _SMALLEST_LABEL
_MARK_SIZE = "82%"
_MOST_FULL_MARKS = 2
"""More weak slurs in one measure than this leave no room for their chances over the staff. Derived."""
_FOOT_SIZE = "45%"
"""A second, empty line in the box makes room for its foot; the box is closed above it in the drawing."""
_HARD_SPACE = "\u00a0"
_SPACES_PER_LETTER = 1.7
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


def mark_texts(request: PageRequest) -> dict[int, str]:
    """Say what stands in the box over each weak slur, by number; where they crowd a measure, the number alone."""
    measures = [request.part.notes[mark.first_note].measure for mark in request.weak]
    return {
        mark.number: f"S{mark.number} {mark.label}".strip()
        if measures.count(measure) <= _MOST_FULL_MARKS
        else f"S{mark.number}"
        for mark, measure in zip(request.weak, measures, strict=True)
    }


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
    crowd = _crowds(notes, labels)
    tight = {
        note: _tight(label) if crowd[notes[note].measure] > _MOST_LETTERS else label for note, label in labels.items()
    }
    sizes = {measure: _size(letters) for measure, letters in _crowds(notes, tight).items()}
    for held in _with_graces(notes, labels):
        measure = notes[held.holder].measure
        signs.setdefault(places.frame_of[measure], []).append(_label(held, tight, sizes[measure]))
    texts = mark_texts(request)
    for mark in request.weak:
        signs.setdefault(places.frame_of[notes[mark.first_note].measure], []).append(_mark(mark, texts[mark.number]))
    return signs


def has_tight_labels(request: PageRequest) -> bool:
    """Say whether some measure is so crowded that its fingerings stand without hyphens."""
    labels = labels_to_print(request)
    crowds = _crowds(request.part.notes, labels)
    return any(
        "-" in label.text and crowds[request.part.notes[note].measure] > _MOST_LETTERS
        for note, label in labels.items()
    )


def _crowds(notes: Sequence[Note], labels: Mapping[int, RowLabel]) -> dict[int, int]:
    """Count the letters of each measure's labels, a gap each included."""
    letters: dict[int, int] = {}
    for note, label in labels.items():
        measure = notes[note].measure
        letters[measure] = letters.get(measure, 0) + len(label.text) + 1
    return letters


def _size(letters: int) -> str:
    """Say how large the labels of a measure are, so that even one as wide as the sheet holds them."""
    return f"{max(_SMALLEST_LABEL, min(_LABEL_SIZE, _LABEL_SIZE * _LETTERS_A_LINE // letters))}%"


def _tight(label: RowLabel) -> RowLabel:
    return replace(label, text=label.text.replace("-", ""))


@dataclass(frozen=True, slots=True)
class _Held:
    """The notes whose fingerings one label of the engraver holds, by index."""

    holder: int
    """The note that the label hangs from."""
    before: tuple[int, ...] = ()
    after: tuple[int, ...] = ()
    """Grace notes with fingerings, before and after the holder."""


def _with_graces(notes: Sequence[Note], labels: Mapping[int, RowLabel]) -> list[_Held]:
    """Gather labels under full notes.

    The engraver makes room for labels of full notes only, so grace notes share the label of the note they lean on;
    those at the end of a measure, the label of the note they follow.
    """
    held: list[_Held] = []
    for _, group in groupby(notes, key=lambda note: note.measure):
        start = len(held)
        waiting: list[int] = []
        last_main = -1
        for note in group:
            if not note.grace:
                if waiting or note.index in labels:
                    held.append(_Held(note.index, before=tuple(waiting)))
                waiting, last_main = [], note.index
            elif note.index in labels:
                waiting.append(note.index)
        if waiting and last_main < 0:
            held.append(_Held(waiting[-1], before=tuple(waiting[:-1])))
        elif waiting:
            before: tuple[int, ...] = ()
            if len(held) > start and held[-1].holder == last_main:
                before = held.pop().before
            held.append(_Held(last_main, before=before, after=tuple(waiting)))
    return held


def _label(held: _Held, labels: Mapping[int, RowLabel], size: str) -> SignWriter:
    """Write a note's fingering between those of its grace notes, with air on the shorter side to keep it centred."""

    def sign(measure: Element) -> None:
        main = labels.get(held.holder)
        attributes = {
            "xml:id": label_id(held.holder),
            "startid": f"#{note_id(held.holder)}",
            "place": "below",
            "type": "changed" if main is not None and main.changed else "normal",
        }
        harm = child(measure, "harm", attributes)
        lead = _letters(held.before, labels) - _letters(held.after, labels)
        _write_air(harm, -lead)
        for note in held.before:
            _write_label(harm, labels[note], _GRACE_SIZE, label_id(note))
            _write_air(harm, 1)
        if main is not None:
            _write_label(harm, main, size, "")
        for note in held.after:
            _write_air(harm, 1)
            _write_label(harm, labels[note], _GRACE_SIZE, label_id(note))
        _write_air(harm, lead)

    return sign


def _letters(graces: Sequence[int], labels: Mapping[int, RowLabel]) -> int:
    """Count the spaces that are as wide as the labels of grace notes with a space each."""
    return round(sum(_SPACES_PER_LETTER * len(labels[note].text) + 1 for note in graces))


def _write_air(harm: Element, spaces: int) -> None:
    if spaces > 0:
        child(harm, "rend", {"fontsize": _GRACE_SIZE}, _HARD_SPACE * spaces)


def _write_label(harm: Element, label: RowLabel, size: str, name: str) -> None:
    style = {"fontsize": size, "fontweight": "bold" if label.changed else "normal"}
    if label.changed:
        style["rend"] = "underline"
    write(harm, label.text, {"xml:id": name, **style})


def _mark(mark: WeakSlurMark, words: str) -> SignWriter:
    def sign(measure: Element) -> None:
        start = {"startid": f"#{note_id(mark.first_note)}", "place": "above"}
        place = child(measure, "dir", {"xml:id": mark_id(mark.number), **start})
        style = {"rend": "box", "fontweight": "bold", "fontstyle": "normal", "fontsize": _MARK_SIZE}
        box = write(place, words, style)
        child(box, "lb")
        write(box, "", {"fontsize": _FOOT_SIZE}).text = _HARD_SPACE

    return sign

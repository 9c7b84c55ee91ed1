"""Notes and rests of one measure as MEI: shapes, accidentals, articulations, beams and tuplets."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from slurwright.errors import EngravingError
from slurwright.formats.pages.beams import Event, beams_by_beats, beams_of_file
from slurwright.formats.pages.element import Element, child, note_id, rest_id
from slurwright.formats.pages.nest import Branch, Run, nested
from slurwright.formats.pages.text import printable
from slurwright.score import Beam, Measure, Note, NoteValue, Part, Rest

__all__ = ["ARTICULATIONS", "Layers", "layers_of", "write_layer"]

_DURATIONS = (
    {
        "maxima": "maxima",
        "long": "long",
        "breve": "breve",
        "whole": "1",
        "half": "2",
        "quarter": "4",
        "eighth": "8",
    }
    | {f"{size}th": str(size) for size in (16, 64, 128, 256, 1024)}
    | {"32nd": "32", "512th": "512"}
)
_ALTERATIONS = {-3: "tf", -2: "ff", -1: "f", 0: "n", 1: "s", 2: "x", 3: "xs"}
ARTICULATIONS: Mapping[str, str] = {
    "staccato": "stacc",
    "tenuto": "ten",
    "accent": "acc",
    "marcato": "marc",
    "strong-accent": "marc",
    "staccatissimo": "stacciss",
    "spiccato": "spicc",
    "detached-legato": "ten-stacc",
    "stopped": "stop",
    "open": "open",
    "double-tongue": "dbltongue",
    "triple-tongue": "trpltongue",
}
"""Articulations that the engraver draws as signs; names on the left are the trade's, on the right MEI's."""


@dataclass(frozen=True, slots=True)
class Layers:
    """What every measure of a part holds, and how its notes are to be beamed."""

    events: Mapping[int, tuple[Event, ...]]
    """Index into ``Part.measures`` -> notes and rests in order."""
    rest_places: Mapping[tuple[int, Fraction], int]
    """(measure, onset) -> index into ``Part.rests``."""
    shown: frozenset[int]
    """Notes with a printed accidental."""
    file_beams: bool


def layers_of(part: Part, *, shown: frozenset[int]) -> Layers:
    """Sort notes and rests into their measures.

    Args:
        part: the part.
        shown: notes with a printed accidental, as indices into ``Part.notes``.

    """
    events: dict[int, list[Event]] = {}
    held: list[Event] = [*part.notes, *part.rests]
    for event in held:
        events.setdefault(event.measure, []).append(event)
    return Layers(
        {measure: tuple(sorted(inside, key=_order)) for measure, inside in events.items()},
        {(rest.measure, rest.onset_quarter): place for place, rest in enumerate(part.rests)},
        shown,
        any(note.beam is not Beam.NONE for note in part.notes),
    )


def write_layer(layer: Element, measure: Measure, layers: Layers) -> None:
    """Write the notes and rests of a measure that is not empty."""
    events = layers.events.get(measure.index, ())
    missing = max(Fraction(0), measure.time.length_quarter - measure.duration_quarter) if measure.index == 0 else 0
    beams = (
        beams_of_file(events)
        if layers.file_beams
        else beams_by_beats(events, measure, missing_quarter=Fraction(missing))
    )
    spaces = _spaces(events, measure)
    last_main = max((place for place, event in enumerate(events) if not _is_grace(event)), default=-1)

    def put(parent: Element, branches: Sequence[Branch | int]) -> None:
        for branch in branches:
            if isinstance(branch, Branch):
                put(_write_run(parent, branch, events), branch.children)
                continue
            for value, dots in spaces.get(branch, ()):
                child(parent, "space", {"dur": value, "dots": str(dots or "")})
            _write_event(parent, events[branch], layers, trailing=branch > last_main)

    put(layer, nested(len(events), _tuplets(events), beams))


def _order(event: Event) -> tuple[Fraction, int]:
    return event.onset_quarter, event.index if isinstance(event, Note) else -1


def _is_grace(event: Event) -> bool:
    return isinstance(event, Note) and event.grace


def _write_run(parent: Element, branch: Branch, events: Sequence[Event]) -> Element:
    """Open a beam or a tuplet; a beam over the whole tuplet makes its bracket needless."""
    run = branch.run
    if run.kind == "beam":
        return child(parent, "beam")
    value = events[run.first].value
    tuplet = value.tuplet if value else None
    if tuplet is None:
        raise EngravingError("a tuplet without its numbers", where=f"event {run.first}")
    whole = any(
        isinstance(inner, Branch) and (inner.run.first, inner.run.last) == (run.first, run.last)
        for inner in branch.children
    )
    return child(
        parent,
        "tuplet",
        {
            "num": str(tuplet.actual),
            "numbase": str(tuplet.normal),
            "bracket.visible": "false" if whole else "true",
            "num.format": "count",
        },
    )


def _write_event(parent: Element, event: Event, layers: Layers, *, trailing: bool) -> None:
    if isinstance(event, Rest):
        place = layers.rest_places[event.measure, event.onset_quarter]
        if event.value is None:
            child(parent, "mRest", {"xml:id": rest_id(place)})
        else:
            child(parent, "rest", {"xml:id": rest_id(place), **_shape(event.value)})
        return
    attributes = {
        "xml:id": note_id(event.index),
        **_shape(event.value),
        "pname": event.written.step.lower(),
        "oct": str(event.written.octave),
        "stem.mod": _tremolo(event),
    }
    if event.grace:
        attributes["grace"] = "unacc" if event.grace_slash else "acc"
        if event.grace_slash and event.beam is Beam.NONE:
            attributes["stem.mod"] = "1slash"
        if trailing:
            parent = child(parent, "graceGrp", {"attach": "pre"})
    note = child(parent, "note", attributes)
    if event.index in layers.shown:
        child(note, "accid", {"accid": _ALTERATIONS[event.written.alter]})
    signs = [ARTICULATIONS[name] for name in sorted(event.articulations) if name in ARTICULATIONS]
    for sign in signs:
        child(note, "artic", {"artic": sign})
    for line, lyric in enumerate(event.lyrics, start=1):
        if lyric.strip():
            child(child(note, "verse", {"n": str(line)}), "syl", {}, printable(lyric))


def _shape(value: NoteValue) -> dict[str, str]:
    if value.type not in _DURATIONS:
        raise EngravingError(
            "a note value that cannot be drawn", got=repr(value.type), allowed=", ".join(sorted(_DURATIONS))
        )
    return {"dur": _DURATIONS[value.type], "dots": str(value.dots or "")}


def _tremolo(note: Note) -> str:
    slashes = [name.removeprefix("tremolo-") for name in note.ornaments if name.startswith("tremolo-")]
    return f"{slashes[0]}slash" if slashes and slashes[0] in {"1", "2", "3", "4", "5", "6"} else ""


def _tuplets(events: Sequence[Event]) -> tuple[Run, ...]:
    """Find the brackets: from first to last as the file says, else until the group has its normal length."""
    runs: list[Run] = []
    first: int | None = None
    filled = Fraction(0)
    before: tuple[int, int] | None = None
    for place, event in enumerate(events):
        if _is_grace(event):
            continue
        tuplet = event.value.tuplet if event.value else None
        numbers = (tuplet.actual, tuplet.normal) if tuplet else None
        if first is not None and (numbers != before or (tuplet and tuplet.starts)):
            first = None
        before = numbers
        if tuplet is None or event.value is None:
            continue
        if first is None:
            first, filled = place, Fraction(0)
            unit = event.duration_quarter * Fraction(2**event.value.dots, 2 ** (event.value.dots + 1) - 1)
            runs.append(Run("tuplet", place, place))
        runs[-1] = Run("tuplet", first, place)
        filled += event.duration_quarter
        if tuplet.ends or (not _marked(events) and filled >= unit * tuplet.actual):
            first = None
    return tuple(runs)


def _marked(events: Sequence[Event]) -> bool:
    """Say whether the file marks where tuplets start or end."""
    return any(
        event.value.tuplet.starts or event.value.tuplet.ends
        for event in events
        if event.value is not None and event.value.tuplet is not None
    )


def _spaces(events: Sequence[Event], measure: Measure) -> dict[int, tuple[tuple[str, int], ...]]:
    """Find the gaps that no note or rest fills: place of the next event -> values of the gap.

    Raises:
        EngravingError: two events stand at the same time, or one stands outside its measure.

    """
    gaps: dict[int, tuple[tuple[str, int], ...]] = {}
    cursor = measure.onset_quarter
    for place, event in enumerate(events):
        if event.onset_quarter < cursor and not _is_grace(event):
            raise EngravingError(
                "two notes or rests at the same time in a single line",
                got=f"one at {event.onset_quarter} quarters while the one before lasts to {cursor}",
                where=f"bar {measure.number}",
            )
        if event.onset_quarter > cursor:
            gaps[place] = _values_of(event.onset_quarter - cursor)
        cursor = max(cursor, event.onset_quarter + event.duration_quarter)
    if cursor > measure.onset_quarter + measure.duration_quarter:
        raise EngravingError(
            "a measure with more in it than it holds",
            got=f"{cursor - measure.onset_quarter} quarters",
            allowed=f"{measure.duration_quarter} quarters",
            where=f"bar {measure.number}",
        )
    return gaps


def _values_of(length_quarter: Fraction) -> tuple[tuple[str, int], ...]:
    """Split a silence into note values, longest first; what is no sum of values (within a tuplet) takes no room."""
    values: list[tuple[str, int]] = []
    left = length_quarter
    for power in range(9):
        while left >= (size := Fraction(4, 2**power)) and len(values) < 16:
            values.append((str(2**power), 0))
            left -= size
    return tuple(values)

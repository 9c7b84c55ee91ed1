"""What a layer of MEI holds: notes, rests and signs one after another, with exact places in the measure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from slurwright.formats.mei.tree import children, ident, local, reference
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.xmlsafe import Element
from slurwright.score import NoteValue, Tuplet

__all__ = ["Event", "EventKind", "walk_layer"]

EventKind = str
"""note, rest, measure-rest, multi-rest, measure-repeat, sign."""

_TYPES = {
    "long": ("long", Fraction(16)),
    "breve": ("breve", Fraction(8)),
    "1": ("whole", Fraction(4)),
    "2": ("half", Fraction(2)),
    "4": ("quarter", Fraction(1)),
    "8": ("eighth", Fraction(1, 2)),
    "16": ("16th", Fraction(1, 4)),
    "32": ("32nd", Fraction(1, 8)),
    "64": ("64th", Fraction(1, 16)),
    "128": ("128th", Fraction(1, 32)),
    "256": ("256th", Fraction(1, 64)),
}
_WRAPPERS = frozenset({"beam", "tuplet", "graceGrp", "bTrem", "fTrem", "ligature", "halfmRpt"})
_SIGNS = frozenset({"clef", "keySig", "meterSig"})
_DEEPEST = 40


@dataclass(frozen=True, slots=True)
class Event:
    """One thing of a layer."""

    kind: EventKind
    element: Element
    onset: Fraction
    """From the start of the measure [quarters]."""
    duration: Fraction
    value: NoteValue | None = None
    chord: Element | None = None
    """The chord around this note, if it stands in one."""
    grace: str = ""
    """"acc", "unacc" or "unknown" for grace notes."""
    beams: tuple[Element, ...] = ()
    tremolo: int = 0


@dataclass(frozen=True, slots=True)
class _Context:
    ratio: Fraction = Fraction(1)
    tuplet: Tuplet | None = None
    grace: str = ""
    beams: tuple[Element, ...] = ()
    tremolo: int = 0
    depth: int = 0
    default_value: str = ""


@dataclass(slots=True)
class _Cursor:
    now: Fraction = Fraction(0)
    spans: dict[str, tuple[Element, str]] = field(default_factory=dict)
    """Tuplets that are given as spans, by the id of their first event."""
    open_span: tuple[int, int, str] | None = None
    """Notes, in the time of how many, and the id of the last, of the span that is open."""


def walk_layer(
    layer: Element, log: Log, *, default_duration: str = "", spans: Sequence[Element] = ()
) -> Iterator[Event]:
    """Give the events of a layer in order.

    Args:
        layer: the layer.
        log: takes faults and notices.
        default_duration: ``dur.default`` in force, if any.
        spans: the measure's ``<tupletSpan>`` elements.

    """
    ends = _span_ends(spans)
    yield from _walk(layer, _Context(default_value=default_duration), _Cursor(spans=ends), log)


def _span_ends(spans: Sequence[Element]) -> dict[str, tuple[Element, str]]:
    """Give each span by the id that it starts at, with the id that it ends at."""
    return {
        reference(span.get("startid")): (span, reference(span.get("endid"))) for span in spans if span.get("startid")
    }


def _walk(parent: Element, context: _Context, cursor: _Cursor, log: Log) -> Iterator[Event]:
    if context.depth > _DEEPEST:
        log.fault("beams and tuplets stand inside one another too deeply", allowed=f"{_DEEPEST} levels")
        return
    own = [child for child in children(parent) if local(child) in _ALL]
    for child in own:
        name = local(child)
        if name in _WRAPPERS:
            yield from _wrapper(child, name, context, cursor, log)
        elif name == "note":
            yield _note(child, context, cursor, log)
        elif name == "chord":
            yield from _chord(child, context, cursor, log)
        elif name in ("rest", "space"):
            value, length = _length(child, context, cursor, log)
            yield Event("rest", child, cursor.now, length, value)
            cursor.now += length
        elif name in _SIGNS:
            yield Event("sign", child, cursor.now, Fraction(0))
        else:
            yield from _whole_measure(child, name, cursor, log)


_ALL = (
    _WRAPPERS
    | _SIGNS
    | {"note", "chord", "rest", "space", "mRest", "mSpace", "multiRest", "mRpt", "mRpt2", "multiRpt", "beatRpt"}
)


def _whole_measure(child: Element, name: str, cursor: _Cursor, log: Log) -> Iterator[Event]:
    if name in ("mRest", "mSpace"):
        yield Event("measure-rest", child, cursor.now, Fraction(0))
    elif name == "multiRest":
        yield Event("multi-rest", child, cursor.now, Fraction(0))
    elif name == "mRpt":
        yield Event("measure-repeat", child, cursor.now, Fraction(0))
    else:
        log.fault(f"a repeat sign <{name}> cannot be read", allowed="notes written out, or <mRpt>")


def _wrapper(child: Element, name: str, context: _Context, cursor: _Cursor, log: Log) -> Iterator[Event]:
    inner = replace(context, depth=context.depth + 1)
    if name == "tuplet":
        yield from _tuplet(child, inner, cursor, log)
        return
    if name == "halfmRpt":
        log.fault("a repeat sign <halfmRpt> cannot be read", allowed="notes written out, or <mRpt>")
        return
    if name == "beam":
        inner = replace(inner, beams=(*context.beams, child))
    elif name == "graceGrp":
        inner = replace(inner, grace=child.get("grace") or context.grace or "unknown")
    elif name == "bTrem":
        inner = replace(inner, tremolo=_strokes(child))
    elif name == "fTrem":
        inner = replace(inner, tremolo=_strokes(child), ratio=context.ratio / 2)
    yield from _walk(child, inner, cursor, log)


def _strokes(element: Element) -> int:
    unit = element.get("unitdur", "")
    return {"8": 1, "16": 2, "32": 3, "64": 4}.get(unit, 3)


def _tuplet(child: Element, context: _Context, cursor: _Cursor, log: Log) -> Iterator[Event]:
    actual = log.whole(child.get("num", "3"), "tuplet", low=1, high=128)
    normal = log.whole(child.get("numbase", "2"), "tuplet", low=1, high=128)
    if actual is None or normal is None:
        return
    outer = context.tuplet
    shown = Tuplet(actual * (outer.actual if outer else 1), normal * (outer.normal if outer else 1))
    inner = replace(context, ratio=context.ratio * Fraction(normal, actual), tuplet=shown)
    events = list(_walk(child, inner, cursor, log))
    timed = [
        at for at, event in enumerate(events) if event.value is not None and event.value.tuplet and not event.grace
    ]
    for at, event in enumerate(events):
        if timed and at in (timed[0], timed[-1]) and event.value is not None and event.value.tuplet is not None:
            tuplet = replace(
                event.value.tuplet,
                starts=event.value.tuplet.starts or at == timed[0],
                ends=event.value.tuplet.ends or at == timed[-1],
            )
            yield replace(event, value=replace(event.value, tuplet=tuplet))
        else:
            yield event


def _chord(child: Element, context: _Context, cursor: _Cursor, log: Log) -> Iterator[Event]:
    notes = [note for note in children(child) if local(note) == "note"]
    value, length = _length(child if child.get("dur") or not notes else notes[0], context, cursor, log)
    grace = child.get("grace") or context.grace
    for note in notes:
        yield Event(
            "note",
            note,
            cursor.now,
            Fraction(0) if grace else length,
            value,
            child,
            grace,
            context.beams,
            context.tremolo,
        )
    if not grace:
        cursor.now += length


def _note(child: Element, context: _Context, cursor: _Cursor, log: Log) -> Event:
    value, length = _length(child, context, cursor, log)
    grace = child.get("grace") or context.grace
    if grace:
        length = Fraction(0)
        value = replace(value, tuplet=None)
    event = Event("note", child, cursor.now, length, value, None, grace, context.beams, context.tremolo)
    cursor.now += length
    return event


def _length(element: Element, context: _Context, cursor: _Cursor, log: Log) -> tuple[NoteValue, Fraction]:
    name = element.get("dur") or element.get("dur.ges") or context.default_value or ("8" if context.grace else "")
    if name not in _TYPES:
        log.fault("a note value makes no sense", got=repr(name), allowed=", ".join(_TYPES))
        name = "4"
    kind, length = _TYPES[name]
    dots_text = element.get("dots")
    dots = (log.whole(dots_text, "dots", low=0, high=4) or 0) if dots_text else 0
    if not dots_text:
        dots = sum(local(child) == "dot" for child in children(element))
    dots = min(dots, 4)
    length = length * (2 - Fraction(1, 2**dots)) * context.ratio
    tuplet = context.tuplet
    span = None if context.grace or element.get("grace") else _span_at(element, cursor, log)
    if span is not None and tuplet is None:
        actual, normal, starts, ends = span
        length = length * Fraction(normal, actual)
        tuplet = Tuplet(actual, normal, starts, ends)
    return NoteValue(kind, dots, tuplet), length


def _span_at(element: Element, cursor: _Cursor, log: Log) -> tuple[int, int, bool, bool] | None:
    """Say which tuplet span an event is under: notes, in the time of how many, first of it, last of it."""
    names = {ident(element)} | {ident(child) for child in children(element) if local(child) == "note"}
    starting = next((cursor.spans[name] for name in names if name and name in cursor.spans), None)
    if starting is not None:
        actual = log.whole(starting[0].get("num", "3"), "tuplet", low=1, high=128)
        normal = log.whole(starting[0].get("numbase", "2"), "tuplet", low=1, high=128)
        if actual is None or normal is None:
            return None
        cursor.open_span = actual, normal, starting[1]
    if cursor.open_span is None:
        return None
    actual, normal, last = cursor.open_span
    ends = last in names
    if ends:
        cursor.open_span = None
    return actual, normal, starting is not None, ends

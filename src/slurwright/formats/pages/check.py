"""Whether a request can be drawn at all: places that exist, numbers that an engraver survives."""

from collections.abc import Iterator

from slurwright.errors import EngravingError, Fault
from slurwright.formats.pages.request import PageRequest
from slurwright.score import Measure, Note, Part, TimeSignature

__all__ = ["check_request"]

_MOST_NOTES = 20_000
"""About two hundred pages: far past any part, and still within the time that drawing may take. Derived."""
_BEAT_TYPES = (1, 2, 4, 8, 16, 32, 64)
_MOST_BEATS = 64
_OCTAVES = range(10)
_MOST_FAULTS = 20


def check_request(request: PageRequest) -> None:
    """Refuse what cannot be drawn, all faults at once.

    Raises:
        EngravingError: at least one fault was found.

    """
    part = request.part
    faults = [*_too_much(part)]
    if not faults:
        faults = [*_measures(part), *_notes(part), *_signs(part), *_marks(request)]
    if faults:
        raise EngravingError(faults=tuple(faults[:_MOST_FAULTS]))


def _too_much(part: Part) -> Iterator[Fault]:
    if not part.measures:
        yield Fault("a part without measures cannot be drawn")
    for what, count in (("notes", len(part.notes)), ("measures", len(part.measures)), ("rests", len(part.rests))):
        if count > _MOST_NOTES:
            yield Fault(f"too many {what} to draw", got=str(count), allowed=f"at most {_MOST_NOTES}")


def _measures(part: Part) -> Iterator[Fault]:
    for place, measure in enumerate(part.measures):
        where = f"bar {measure.number}"
        if measure.index != place:
            yield Fault("a measure whose index is not its place", got=str(measure.index), where=where)
        if measure.duration_quarter < 0 or measure.onset_quarter < 0:
            yield Fault("a measure of negative length or place", got=str(measure.duration_quarter), where=where)
        if place and measure.onset_quarter < part.measures[place - 1].onset_quarter:
            yield Fault("a measure that begins before the one before it", where=where)
        yield from _time(measure.time, where)
        yield from _key(measure, where)


def _time(time: TimeSignature, where: str) -> Iterator[Fault]:
    if time.beat_type not in _BEAT_TYPES or not 1 <= time.beats <= _MOST_BEATS:
        yield Fault(
            "a time signature that cannot be drawn",
            got=f"{time.beats}/{time.beat_type}",
            allowed=f"1 to {_MOST_BEATS} beats over {', '.join(map(str, _BEAT_TYPES))}",
            where=where,
        )
    if time.groups and (any(group < 1 for group in time.groups) or sum(time.groups) != time.beats):
        yield Fault("beat groups that do not add up to the beats", got=str(time.groups), where=where)


def _key(measure: Measure, where: str) -> Iterator[Fault]:
    if not -7 <= measure.key.fifths <= 7:
        yield Fault(
            "a key signature that cannot be drawn",
            got=f"{measure.key.fifths} fifths",
            allowed="7 flats to 7 sharps",
            where=where,
        )


def _notes(part: Part) -> Iterator[Fault]:
    for place, note in enumerate(part.notes):
        if note.index != place:
            yield Fault("a note whose index is not its place", got=str(note.index), where=f"note {place}")
        yield from _event(part, note.measure, f"note {place}")
        yield from _note(note, f"note {place}")
    for place, rest in enumerate(part.rests):
        yield from _event(part, rest.measure, f"rest {place}")
        if rest.duration_quarter < 0:
            yield Fault("a rest of negative length", got=str(rest.duration_quarter), where=f"rest {place}")


def _note(note: Note, where: str) -> Iterator[Fault]:
    if note.written.octave not in _OCTAVES:
        yield Fault("a note too far off the staff", got=str(note.written), allowed="octaves 0 to 9", where=where)
    if note.duration_quarter < 0:
        yield Fault("a note of negative length", got=str(note.duration_quarter), where=where)
    if not 0 <= note.value.dots <= 4:
        yield Fault("too many dots", got=str(note.value.dots), allowed="0 to 4", where=where)
    tuplet = note.value.tuplet
    if tuplet is not None and not (1 <= tuplet.actual <= 64 and 1 <= tuplet.normal <= 64):
        yield Fault("a tuplet that cannot be drawn", got=f"{tuplet.actual}:{tuplet.normal}", where=where)


def _event(part: Part, measure: int, where: str) -> Iterator[Fault]:
    if not 0 <= measure < len(part.measures):
        yield Fault("stands in a measure that is not there", got=str(measure), where=where)


def _signs(part: Part) -> Iterator[Fault]:
    for direction in part.directions:
        yield from _event(part, direction.measure, f"direction {direction.text[:20]!r}")
    for slur in part.slurs:
        if not 0 <= slur.first < slur.last < len(part.notes):
            yield Fault("a slur between notes that are not there", got=f"{slur.first} to {slur.last}")
    for hairpin in part.hairpins:
        if not 0 <= hairpin.start_quarter <= hairpin.end_quarter:
            yield Fault(
                "a hairpin that ends before it starts", got=f"{hairpin.start_quarter} to {hairpin.end_quarter}"
            )


def _marks(request: PageRequest) -> Iterator[Fault]:
    count = len(request.part.notes)
    for note in request.labels:
        if not 0 <= note < count:
            yield Fault("a fingering for a note that is not there", got=str(note), allowed=f"0 to {count - 1}")
    for mark in request.weak:
        if not 0 <= mark.first_note < mark.last_note < count:
            yield Fault("a weak slur between notes that are not there", got=f"{mark.first_note} to {mark.last_note}")
    numbers = [mark.number for mark in request.weak]
    if len(set(numbers)) != len(numbers):
        yield Fault("two weak slurs with the same number", got=str(numbers))

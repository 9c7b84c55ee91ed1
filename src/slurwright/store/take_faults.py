"""What cannot be true of a take and its measures, said before anything of it is kept."""

import math
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from types import NoneType
from typing import Any

from slurwright.errors import Fault
from slurwright.listen.figure import Figure
from slurwright.listen.kept import KeptMeasures, KeptSlur, KeptTake, TakeAbout, TakenWay, TakeState
from slurwright.store.names import writable

__all__ = [
    "LARGEST_DOCUMENT",
    "LONGEST_WORDS",
    "about_faults",
    "is_ending",
    "leaf_faults",
    "measures_faults",
    "take_faults",
    "way_faults",
]

LONGEST_WORDS = 2000
"""Most letters of any text about a take; ours [characters]."""
LARGEST_DOCUMENT = 256 * 1024 * 1024
"""Most letters of a document of measures: some hours of playing; ours [characters]."""


def about_faults(about: TakeAbout, where: str) -> Iterator[Fault]:
    """Say what cannot be true of what is known of a take.

    Args:
        about: what is known.
        where: how to call it in messages.
    """
    yield from leaf_faults(about, where)
    asked = about.asked
    for name, text in (("model", about.model), ("fingerprint", about.part.fingerprint)):
        if not text.strip():
            yield Fault(f"a take needs a {name}", where=where)
    if not 0 <= asked.first <= asked.last:
        yield Fault("no such notes", got=f"{asked.first} to {asked.last}", allowed="0 or more, rising", where=where)
    for number in (asked.tempo_qpm, asked.a4_hz):
        if number is not None and not number > 0:
            yield Fault("a figure that must be above 0", got=f"{number:g}", where=where)


def take_faults(take: KeptTake, where: str) -> Iterator[Fault]:
    """Say what cannot be true of a take that comes from elsewhere.

    Args:
        take: the take.
        where: how to call it in messages.
    """
    yield from about_faults(take.about, where)
    for value in (take.id, take.failure, take.method, take.length_s, take.sound):
        yield from leaf_faults(value, where)
    measured = take.state is TakeState.MEASURED
    if (take.length_s is not None) is not measured or bool(take.method) is not measured:
        yield Fault("its state and its measures contradict each other", got=take.state.value, where=where)
    if bool(take.failure) is not (take.state is TakeState.FAILED):
        yield Fault("its state and its failure contradict each other", got=take.state.value, where=where)
    sound = take.sound
    if sound is None and not measured:
        yield Fault("what is not measured needs its recording", got=take.state.value, where=where)
    if sound is not None:
        stem, dot, ending = sound.name.partition(".")
        if stem != take.id or not dot or not is_ending(ending):
            yield Fault("not the name of its recording", got=repr(sound.name), where=where)
        if sound.size_bytes <= 0:
            yield Fault("a recording without bytes", got=str(sound.size_bytes), where=where)


def is_ending(ending: str) -> bool:
    """Say whether a recording's name may end so: a few plain small letters and figures."""
    return ending.isascii() and ending.isalnum() and ending == ending.lower() and len(ending) <= 8


def measures_faults(measures: KeptMeasures, where: str) -> Iterator[Fault]:
    """Say what cannot be true of the measures of a take.

    Args:
        measures: of a take.
        where: how to call it in messages.
    """
    if not measures.method.strip() or len(measures.method) > LONGEST_WORDS:
        yield Fault("measures need the version of the measuring", got=repr(measures.method[:40]), where=where)
    if measures.schema < 1:
        yield Fault("no version of a document", got=str(measures.schema), allowed="1 or more", where=where)
    if len(measures.measures_json) > LARGEST_DOCUMENT or not writable(measures.measures_json):
        yield Fault("the document of the measures cannot be kept", where=where)
    if not math.isfinite(measures.length_s) or measures.length_s < 0:
        yield Fault("no length", got=f"{measures.length_s:g} s", where=where)
    for at, note in enumerate(measures.notes):
        here = f"{where}, note {at}"
        yield from leaf_faults(note, here)
        yield from way_faults(note.way, here)
        if note.asked < 0 or note.measure.played < 0 or not note.onset_s <= note.offset_s:
            yield Fault(
                "no such place", got=f"note {note.asked}, {note.onset_s:g} to {note.offset_s:g} s", where=here
            )
    for at, slur in enumerate(measures.slurs):
        yield from _slur_faults(slur, f"{where}, slur {at}")


def _slur_faults(slur: KeptSlur, where: str) -> Iterator[Fault]:
    yield from leaf_faults(slur, where)
    for way in slur.ways:
        yield from way_faults(way, where)
    if min(*slur.asked, slur.measure.first, slur.measure.second) < 0 or slur.time_s < 0 or slur.tempo_qpm <= 0:
        yield Fault("no such place", got=f"notes {slur.asked[0]} and {slur.asked[1]}", where=where)
    if slur.hold_s is not None and slur.hold_s < 0:
        yield Fault("no length of the second note", got=f"{slur.hold_s:g} s", allowed="0 or more", where=where)
    if not slur.technique.strip():
        yield Fault("a slur needs a technique", where=where)
    if not 0 <= slur.measure.outcome_chance <= 1:
        yield Fault("no chance", got=f"{slur.measure.outcome_chance:g}", allowed="0 to 1", where=where)


def way_faults(way: TakenWay, where: str) -> Iterator[Fault]:
    """Say what cannot be true of how a note was tried.

    Args:
        way: how it was tried.
        where: how to call it in messages.
    """
    if not 1 <= way.partial <= 64 or not way.fingering.strip():
        yield Fault("no such way", got=f"{way.fingering!r}, partial {way.partial}", where=where)


def _parts(value: Any) -> tuple[Any, ...]:
    """Give what a value is made of; nothing for what is not made of others."""
    if isinstance(value, tuple):
        return value
    kind = type(value)
    if kind not in _FIELDS:
        _FIELDS[kind] = tuple(field.name for field in fields(kind)) if is_dataclass(kind) else ()
    return tuple([getattr(value, name) for name in _FIELDS[kind]])


_FIELDS: dict[type, tuple[str, ...]] = {}
"""Names of the fields of the classes that were met: asking `dataclasses` each time takes longer than all else."""
_SINGLE = (int, date, Enum, NoneType)


def _is_plain(value: Any) -> bool:
    """Say whether there is nothing to say against a value, however deep it is; most have nothing against them."""
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, str):
        return len(value) <= LONGEST_WORDS and (value.isascii() or writable(value))
    if isinstance(value, _SINGLE):
        return True
    if isinstance(value, Figure) and not value.low <= value.high:
        return False
    parts = _parts(value)
    return (bool(parts) or isinstance(value, tuple)) and all(map(_is_plain, parts))


def leaf_faults(value: Any, where: str) -> Iterator[Fault]:
    """Find figures that are none and texts that cannot be kept, however deep they stand.

    Args:
        value: of dataclasses, tuples and plain values.
        where: how to call it in messages.
    """
    if _is_plain(value):
        return
    if isinstance(value, float):
        yield Fault("not a number", got=str(value), where=where)
    elif isinstance(value, str):
        yield Fault("a text is too long or garbled", got=ascii(value[:40]), where=where)
    elif isinstance(value, Figure) and all(map(_is_plain, _parts(value))):
        yield Fault("an interval that is upside down", got=f"{value.low:g} to {value.high:g}", where=where)
    elif parts := _parts(value):
        for part in parts:
            yield from leaf_faults(part, where)
    else:
        yield Fault("not a plain value", got=type(value).__name__, where=where)

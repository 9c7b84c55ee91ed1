"""The measures of a take out of its JSON answer, so that a take that was kept can be drawn and counted again.

Fields may be added to the answer; those that are needed must be there and right. Words, places and units are passed
over: they follow from the part.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import numpy as np

from slurwright.errors import Fault, StoreError
from slurwright.formats.json_fields import (
    Kind,
    a_number,
    a_whole_number,
    list_of,
    maybe,
    named,
    parse_json,
    read_fields,
    true_or_false,
)
from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.measures import (
    Foreign,
    LevelCheck,
    LevelFault,
    NoteMeasure,
    Reason,
    Room,
    SlurMeasure,
    SlurOutcome,
    SlurPath,
    Vibrato,
)
from slurwright.listen.passage import AskedNote, Passage
from slurwright.listen.take import TakeMeasure
from slurwright.listen.track import PitchTrack

__all__ = ["take_measure_from_answer"]

Json = dict[str, Any]
_Made = TypeVar("_Made")


def take_measure_from_answer(text: str | bytes) -> TakeMeasure:
    """Read the measures of a take that `take_answer` has written; its track has the step that was written.

    Args:
        text: the answer as JSON; bytes are UTF-8.

    Raises:
        StoreError: it is no such answer, or has faults; all faults at once.
    """
    document = parse_json(text, where="the take")
    if not isinstance(document, dict) or not _TOP.keys() <= document.keys():
        raise StoreError("these are not the measures of a take", allowed="a JSON object as `take measure` answers")
    faults: list[Fault] = []
    top = _read(document, _TOP, "the take", faults)
    asked = _each(top, "asked", _ASKED, faults)
    played = _each(top, "played", _PLAYED, faults)
    notes = _each(top, "notes", _NOTE, faults)
    slurs = _each(top, "slurs", _SLUR, faults)
    track = _read(top.get("track"), _TRACK, "track", faults)
    if not faults:
        faults += _lost(top, asked, played, notes, slurs)
        faults += _uneven(track)
    if faults:
        raise StoreError(faults=tuple(faults))
    return TakeMeasure(
        passage=Passage(tuple(_asked(fields, top["series_hz"]) for fields in asked)),
        length_s=top["length_s"],
        level=top["level"],
        room=top["room"],
        track=_track(track),
        following=Following(tuple(PlayedNote(**fields) for fields in played), top["missed"], top["restarts"]),
        notes=tuple(NoteMeasure(**fields) for fields in notes),
        slurs=tuple(SlurMeasure(**fields) for fields in slurs),
    )


def _read(value: object, kinds: Mapping[str, Kind], where: str, faults: list[Fault]) -> Json:
    """Read the fields that are needed and pass over the others."""
    known = {name: value[name] for name in kinds if name in value} if isinstance(value, dict) else value
    return read_fields(known, kinds, where, faults)


def _each(top: Json, name: str, kinds: Mapping[str, Kind], faults: list[Fault]) -> list[Json]:
    return [_read(value, kinds, f"{name}[{at}]", faults) for at, value in enumerate(top.get(name, ()))]


def _asked(fields: Json, series: Sequence[tuple[float, ...]]) -> AskedNote:
    place = fields.pop("series")
    return AskedNote(**fields, series_hz=() if place is None else series[place])


def _track(fields: Json) -> PitchTrack:
    hz, strength, level = (np.array(fields[name], np.float32) for name in ("hz", "strength", "level_db"))
    return PitchTrack(fields["start_s"], fields["step_s"], hz, strength, level)


def _uneven(track: Json) -> list[Fault]:
    lengths = {name: len(track[name]) for name in ("hz", "strength", "level_db")}
    faults = []
    if len(set(lengths.values())) > 1:
        faults.append(Fault("a track whose rows differ in length", got=str(lengths), where="track"))
    if track["step_s"] <= 0:
        faults.append(Fault("a track that does not go on", got=str(track["step_s"]), where="track.step_s"))
    if any(hz < 0 for hz in track["hz"]):
        faults.append(Fault("a pitch below 0", where="track.hz"))
    return faults


def _lost(top: Json, asked: list[Json], played: list[Json], notes: list[Json], slurs: list[Json]) -> list[Fault]:
    """Find what points to nothing."""
    pointers = [
        *(("asked", at, "series", fields["series"], len(top["series_hz"])) for at, fields in enumerate(asked)),
        *(("played", at, "asked", fields["asked"], len(asked)) for at, fields in enumerate(played)),
        *(("notes", at, "played", fields["played"], len(played)) for at, fields in enumerate(notes)),
        *(
            ("slurs", at, end, fields[end], len(played))
            for at, fields in enumerate(slurs)
            for end in ("first", "second")
        ),
        *(("missed", at, "", note, len(asked)) for at, note in enumerate(top["missed"])),
        *(("restarts", at, "", note, len(played)) for at, note in enumerate(top["restarts"])),
    ]
    return [
        Fault(
            "points to nothing",
            got=str(value),
            allowed=f"0 to {count - 1}",
            where=f"{name}[{at}].{field}".rstrip("."),
        )
        for name, at, field, value, count in pointers
        if value is not None and not 0 <= value < count
    ]


def _object_of(make: Callable[..., _Made], kinds: Mapping[str, Kind]) -> Callable[[Any], _Made]:
    """Make a kind of a small object within another."""

    def kind(value: object) -> _Made:
        faults: list[Fault] = []
        fields = _read(value, kinds, "", faults)
        if faults:
            raise ValueError("; ".join(str(fault) for fault in faults))
        return make(**fields)

    return kind


def _a_figure(value: object) -> Figure:
    figure = _FIGURE(value)
    if not figure.low <= figure.value <= figure.high:
        raise ValueError("low, value and high in this order")
    return figure


def _measured(value: object) -> Measured:
    """Take a figure, or why there is none."""
    if isinstance(value, dict) and "hidden" in value:
        return _HIDDEN(value)
    return _a_figure(value)


def _two_numbers(value: object) -> tuple[float, float]:
    numbers = list_of(a_number)(value)
    if len(numbers) != 2:
        raise ValueError("two numbers")
    return numbers[0], numbers[1]


def _as_it_is(value: object) -> object:
    return value


_LATER = list_of(_as_it_is)
"""A list whose objects are read in their turn, so that each is named by its place."""
_FIGURE = _object_of(Figure, {"value": a_number, "low": a_number, "high": a_number})
_HIDDEN = _object_of(lambda *, hidden: Hidden(hidden), {"hidden": named(Veil)})
_LEVEL = {
    "peak_db": a_number,
    "loud_db": a_number,
    "noise_db": a_number,
    "clipped_share": a_number,
    "faults": list_of(named(LevelFault)),
}
_ASKED = {
    "hz": a_number,
    "onset_s": a_number,
    "length_s": a_number,
    "slurred_to_next": true_or_false,
    "series": maybe(a_whole_number),
    "partial": maybe(a_whole_number),
}
_PLAYED = {
    "onset_s": a_number,
    "onset_sd_s": a_number,
    "offset_s": a_number,
    "hz": a_number,
    "asked": maybe(a_whole_number),
    "played_as": named(PlayedAs),
    "joined_to_next": true_or_false,
}
_NOTE = {
    "played": a_whole_number,
    "cents": _measured,
    "steady_s": _two_numbers,
    "drift_cents_s": _measured,
    "wander_cents": _measured,
    "scoop_cents": _measured,
    "vibrato": maybe(_object_of(Vibrato, {"rate_hz": _a_figure, "extent_cents": _a_figure})),
    "level_db": a_number,
    "brightness": _measured,
}
_SLUR = {
    "first": a_whole_number,
    "second": a_whole_number,
    "time_ms": _measured,
    "dip_db": _measured,
    "dip_ms": _measured,
    "silence_ms": _measured,
    "scoop_cents": _measured,
    "overshoot_cents": _measured,
    "path": named(SlurPath),
    "foreign": maybe(_object_of(Foreign, {"hz": a_number, "partial": maybe(a_whole_number), "length_ms": _a_figure})),
    "outcome": named(SlurOutcome),
    "outcome_chance": a_number,
    "quality": _measured,
    "reasons": list_of(named(Reason)),
}
_TRACK = {
    "start_s": a_number,
    "step_s": a_number,
    "hz": list_of(a_number),
    "strength": list_of(a_number),
    "level_db": list_of(a_number),
}
_TOP = {
    "length_s": a_number,
    "level": _object_of(LevelCheck, _LEVEL),
    "room": _object_of(Room, {"decay_s": _measured, "direct_db": _measured}),
    "series_hz": list_of(list_of(a_number)),
    "asked": _LATER,
    "played": _LATER,
    "missed": list_of(a_whole_number),
    "restarts": list_of(a_whole_number),
    "notes": _LATER,
    "slurs": _LATER,
    "track": _as_it_is,
}

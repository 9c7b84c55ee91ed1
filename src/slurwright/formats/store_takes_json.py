"""Takes and their measures as fields of a store's document, and back; every figure to its last digit."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TypeVar

from slurwright.errors import Fault
from slurwright.formats.json_fields import (
    Kind,
    a_date,
    a_number,
    a_text,
    a_time,
    a_whole_number,
    any_text,
    list_of,
    maybe,
    named,
    read_fields,
    true_or_false,
)
from slurwright.formats.json_layout import Row
from slurwright.formats.store_shared_json import (
    LATER,
    PART,
    WAY,
    Json,
    as_it_is,
    maybe_one,
    one,
    pair_of,
    part_fields,
    way_fields,
    without,
)
from slurwright.formats.times import to_text
from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import (
    AskedFor,
    KeptMeasures,
    KeptNote,
    KeptSlur,
    KeptTake,
    SoundFile,
    TakeAbout,
    TakenPart,
    TakenWay,
    TakeState,
    WholeTake,
)
from slurwright.listen.measures import Foreign, NoteMeasure, Reason, SlurMeasure, SlurOutcome, SlurPath, Vibrato

__all__ = ["take_fields", "take_from_fields"]

_Made = TypeVar("_Made")
_WITH_HOLDS = 3
"""First version of the document in which slurs say how long they are held."""
_NOTE_FIGURES = ("cents", "drift_cents_s", "wander_cents", "scoop_cents", "brightness")
_SLUR_FIGURES = ("time_ms", "dip_db", "dip_ms", "silence_ms", "scoop_cents", "overshoot_cents", "quality")


def take_fields(whole: WholeTake) -> Json:
    """Write a take with its measures, whose notes and slurs are made as they are gone through.

    Args:
        whole: the take.
    """
    take, about, sound = whole.take, whole.take.about, whole.take.sound
    part, asked = about.part, about.asked
    return {
        "id": take.id,
        "horn": about.horn_id,
        "model": about.model,
        "tuning": about.tuning,
        "part": part_fields(part),
        "asked": {name: getattr(asked, name) for name in _ASKED},
        "played_on": about.played_on.isoformat(),
        "note": about.note,
        "keeps_sound": about.keeps_sound,
        "made_at": to_text(take.made_at),
        "changed_at": to_text(take.changed_at),
        "state": take.state.value,
        "failure": take.failure,
        "sound": None if sound is None else {name: getattr(sound, name) for name in _SOUND},
        "deleted_at": None if take.deleted_at is None else to_text(take.deleted_at),
        "measures": None if whole.measures is None else _measures_fields(whole.measures),
    }


def _measures_fields(measures: KeptMeasures) -> Json:
    return {
        "method": measures.method,
        "length_s": measures.length_s,
        "schema": measures.schema,
        "document": measures.measures_json,
        "notes": map(Row, map(_note_fields, measures.notes)),
        "slurs": map(Row, map(_slur_fields, measures.slurs)),
    }


def _figure_fields(measured: Measured) -> Json:
    if isinstance(measured, Figure):
        return {"value": measured.value, "low": measured.low, "high": measured.high}
    return {"hidden": measured.why.value}


def _note_fields(note: KeptNote) -> Json:
    measure, vibrato = note.measure, note.measure.vibrato
    return {
        "asked": note.asked,
        "label": note.label,
        "way": way_fields(note.way),
        "technique": note.technique,
        "dynamic": note.dynamic,
        "played_as": note.played_as.value,
        "onset_s": note.onset_s,
        "offset_s": note.offset_s,
        "played": measure.played,
        "steady_s": list(measure.steady_s),
        **{name: _figure_fields(getattr(measure, name)) for name in _NOTE_FIGURES},
        "vibrato": None
        if vibrato is None
        else {"rate_hz": _figure_fields(vibrato.rate_hz), "extent_cents": _figure_fields(vibrato.extent_cents)},
        "level_db": measure.level_db,
    }


def _slur_fields(slur: KeptSlur) -> Json:
    measure, foreign = slur.measure, slur.measure.foreign
    return {
        "asked": list(slur.asked),
        "label": slur.label,
        "ways": [way_fields(way) for way in slur.ways],
        "technique": slur.technique,
        "dynamic": slur.dynamic,
        "tempo_qpm": slur.tempo_qpm,
        "time_s": slur.time_s,
        "hold_s": slur.hold_s,
        "played": [measure.first, measure.second],
        **{name: _figure_fields(getattr(measure, name)) for name in _SLUR_FIGURES},
        "path": measure.path.value,
        "foreign": None
        if foreign is None
        else {"hz": foreign.hz, "partial": foreign.partial, "length_ms": _figure_fields(foreign.length_ms)},
        "outcome": measure.outcome.value,
        "outcome_chance": measure.outcome_chance,
        "reasons": [reason.value for reason in measure.reasons],
    }


def _a_figure(value: object) -> Measured:
    hidden = isinstance(value, dict) and "hidden" in value
    faults: list[Fault] = []
    fields = read_fields(value, _HIDDEN if hidden else _FIGURE, "", faults)
    if faults:
        raise ValueError("a figure: value, low and high, or hidden")
    return Hidden(fields["hidden"]) if hidden else Figure(**fields)


def _a_shown_figure(value: object) -> Figure:
    figure = _a_figure(value)
    if not isinstance(figure, Figure):
        raise ValueError("a figure: value, low and high")  # noqa: TRY004 - gathered as a fault
    return figure


_FIGURE = {"value": a_number, "low": a_number, "high": a_number}
_HIDDEN = {"hidden": named(Veil)}
_ASKED = {
    "first": a_whole_number,
    "last": a_whole_number,
    "bars": any_text,
    "reading": any_text,
    "dynamic": maybe(a_text),
    "tempo_qpm": maybe(a_number),
    "a4_hz": a_number,
    "temperature_c": maybe(a_number),
}
_SOUND = {"name": a_text, "size_bytes": a_whole_number, "sha256": a_text, "called": any_text}
_ABOUT = {
    "model": a_text,
    "tuning": maybe(a_text),
    "played_on": a_date,
    "note": any_text,
    "keeps_sound": true_or_false,
}
_TAKE = {
    "id": a_text,
    "horn": maybe(a_text),
    "part": as_it_is,
    "asked": as_it_is,
    "made_at": a_time,
    "changed_at": a_time,
    "state": named(TakeState),
    "failure": any_text,
    "sound": as_it_is,
    "deleted_at": maybe(a_time),
    "measures": as_it_is,
    **_ABOUT,
}
_MEASURES = {
    "method": a_text,
    "length_s": a_number,
    "schema": a_whole_number,
    "document": any_text,
    "notes": LATER,
    "slurs": LATER,
}
_NOTE_MEASURE: dict[str, Kind] = {
    "played": a_whole_number,
    "steady_s": pair_of(a_number),
    **dict.fromkeys(_NOTE_FIGURES, _a_figure),
    "level_db": a_number,
}
_NOTE = {
    "asked": a_whole_number,
    "label": any_text,
    "way": as_it_is,
    "technique": maybe(a_text),
    "dynamic": a_number,
    "played_as": named(PlayedAs),
    "onset_s": a_number,
    "offset_s": a_number,
    "vibrato": as_it_is,
    **_NOTE_MEASURE,
}
_VIBRATO = {"rate_hz": _a_shown_figure, "extent_cents": _a_shown_figure}
_SLUR_MEASURE: dict[str, Kind] = {
    **dict.fromkeys(_SLUR_FIGURES, _a_figure),
    "path": named(SlurPath),
    "outcome": named(SlurOutcome),
    "outcome_chance": a_number,
    "reasons": list_of(named(Reason)),
}
_SLUR = {
    "asked": pair_of(a_whole_number),
    "label": any_text,
    "ways": pair_of(as_it_is),
    "technique": a_text,
    "dynamic": a_number,
    "tempo_qpm": a_number,
    "time_s": a_number,
    "hold_s": maybe(a_number),
    "played": pair_of(a_whole_number),
    "foreign": as_it_is,
    **_SLUR_MEASURE,
}
_FOREIGN = {"hz": a_number, "partial": maybe(a_whole_number), "length_ms": _a_shown_figure}


def take_from_fields(
    value: object, player_id: str, where: str, faults: list[Fault], *, version: int
) -> tuple[WholeTake, ...]:
    """Read a take with its measures.

    Args:
        value: the JSON value.
        player_id: whose it is.
        where: how to call it in messages.
        faults: what is wrong is added here.
        version: of the document; before 3, slurs did not say how long they were held [1].

    Returns:
        The take; none where there are faults.
    """
    fields = read_fields(value, _TAKE, where, faults)
    part = one(TakenPart, fields.pop("part", None), PART, f"{where}.part", faults)
    asked = one(AskedFor, fields.pop("asked", None), _ASKED, f"{where}.asked", faults)
    sound = maybe_one(SoundFile, fields.pop("sound", None), _SOUND, f"{where}.sound", faults)
    slur_kinds = _SLUR if version >= _WITH_HOLDS else without(_SLUR, "hold_s")
    measures = _measures(fields.pop("measures", None), f"{where}.measures", faults, slur_kinds=slur_kinds)
    if faults or part is None or asked is None:
        return ()
    known = {name: fields.pop(name) for name in _ABOUT}
    about = TakeAbout(player_id=player_id, horn_id=fields.pop("horn"), part=part, asked=asked, **known)
    method, length_s = ("", None) if measures is None else (measures.method, measures.length_s)
    return (WholeTake(KeptTake(about=about, sound=sound, method=method, length_s=length_s, **fields), measures),)


def _measures(
    value: object, where: str, faults: list[Fault], *, slur_kinds: Mapping[str, Kind]
) -> KeptMeasures | None:
    if value is None:
        return None
    fields = read_fields(value, _MEASURES, where, faults)
    notes = _each(_note, fields.pop("notes", ()), f"{where}.notes", faults)
    slurs = _each(partial(_slur, slur_kinds), fields.pop("slurs", ()), f"{where}.slurs", faults)
    if faults:
        return None
    return KeptMeasures(notes=notes, slurs=slurs, measures_json=fields.pop("document"), **fields)


def _each(
    read: Callable[[object, str, list[Fault]], _Made | None],
    values: Sequence[object],
    where: str,
    faults: list[Fault],
) -> tuple[_Made, ...]:
    read_all = [read(value, f"{where}[{at}]", faults) for at, value in enumerate(values)]
    return tuple(one for one in read_all if one is not None)


def _note(value: object, where: str, faults: list[Fault]) -> KeptNote | None:
    fields = read_fields(value, _NOTE, where, faults)
    way = one(TakenWay, fields.pop("way", None), WAY, f"{where}.way", faults)
    vibrato = maybe_one(Vibrato, fields.pop("vibrato", None), _VIBRATO, f"{where}.vibrato", faults)
    if faults or way is None:
        return None
    measure = NoteMeasure(vibrato=vibrato, **{name: fields.pop(name) for name in _NOTE_MEASURE})
    return KeptNote(way=way, measure=measure, **fields)


def _slur(kinds: Mapping[str, Kind], value: object, where: str, faults: list[Fault]) -> KeptSlur | None:
    fields = read_fields(value, kinds, where, faults)
    ways = [one(TakenWay, way, WAY, f"{where}.ways[{at}]", faults) for at, way in enumerate(fields.pop("ways", ()))]
    foreign = maybe_one(Foreign, fields.pop("foreign", None), _FOREIGN, f"{where}.foreign", faults)
    if faults:
        return None
    first, second = fields.pop("played")
    measure = SlurMeasure(
        first=first, second=second, foreign=foreign, **{name: fields.pop(name) for name in _SLUR_MEASURE}
    )
    before, after = (way for way in ways if way is not None)
    return KeptSlur(ways=(before, after), measure=measure, **fields)

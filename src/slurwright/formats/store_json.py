"""Everything of a store as one JSON document, and back; published as a schema in ``docs/schemas``.

Players hold their horns, horns their readings, readings their history, so nothing in it can point to nothing. The
document says its own version: a reader takes what it knows completely or refuses, it never leaves out a field that it
does not know. The same content always gives the same bytes.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, TypeVar

from slurwright.errors import Fault, StoreError
from slurwright.formats.json_fields import (
    Kind,
    a_date,
    a_number,
    a_text,
    a_time,
    a_whole_number,
    any_text,
    exactly,
    list_of,
    maybe,
    named,
    parse_json,
    read_fields,
    true_or_false,
)
from slurwright.formats.times import to_text
from slurwright.horn.learnt.values import ToneReading
from slurwright.formats.collection import Collection
from slurwright.horn.owned import KeptReading, OwnedHorn, PlayedTone, Player, Source, Withdrawal
from slurwright.pitch import SoundingPitch, WrittenPitch

__all__ = ["FORMAT", "VERSION", "collection_from_json", "collection_to_json"]

Json = dict[str, Any]
_Made = TypeVar("_Made")

FORMAT = "slurwright-store"
VERSION = 1
_UNITS = {
    "cents": "cents against equal temperament at A4 = 440 Hz, sharp above 0",
    "sd_cents": "cents, standard deviation of the measurement",
    "dynamic": "steps from mf",
    "temperature_c": "degrees Celsius",
    "played_on": "day on the player's calendar, ISO 8601",
    "times": "UTC, ISO 8601 with microseconds",
}


def collection_to_json(collection: Collection) -> str:
    """Write everything of a store as a document.

    Args:
        collection: what the store gave out.
    """
    readings: dict[str, list[Json]] = {}
    for kept in collection.readings:
        readings.setdefault(kept.horn_id, []).append(_reading_fields(kept))
    horns: dict[str, list[Json]] = {}
    for horn in collection.horns:
        fields = _horn_fields(horn) | {"readings": readings.get(horn.id, [])}
        horns.setdefault(horn.player_id, []).append(fields)
    document = {
        "format": FORMAT,
        "version": VERSION,
        "units": _UNITS,
        "players": [_player_fields(player) | {"horns": horns.get(player.id, [])} for player in collection.players],
    }
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _player_fields(player: Player) -> Json:
    return {
        "id": player.id,
        "name": player.name,
        "created_at": to_text(player.created_at),
        "changed_at": to_text(player.changed_at),
        "deleted_at": None if player.deleted_at is None else to_text(player.deleted_at),
    }


def _horn_fields(horn: OwnedHorn) -> Json:
    return {
        "id": horn.id,
        "name": horn.name,
        "model": horn.model,
        "tuning": horn.tuning,
        "notes": horn.notes,
        "created_at": to_text(horn.created_at),
        "changed_at": to_text(horn.changed_at),
        "deleted_at": None if horn.deleted_at is None else to_text(horn.deleted_at),
    }


def _reading_fields(kept: KeptReading) -> Json:
    played, tone = kept.played, kept.played.tone
    return {
        "id": kept.id,
        "added_at": to_text(kept.added_at),
        "place": kept.place,
        "sounding": str(tone.sounding),
        "written": None if played.written is None else str(played.written),
        "fingering": tone.fingering,
        "partial": tone.partial,
        "cents": tone.cents,
        "sd_cents": tone.sd_cents,
        "session": tone.session,
        "played_on": played.played_on.isoformat(),
        "dynamic": tone.dynamic,
        "temperature_c": tone.temperature_c,
        "source": played.source.value,
        "note": played.note,
        "withdrawals": [{"at": to_text(mark.at), "withdrawn": mark.withdrawn} for mark in kept.withdrawals],
    }


def _as_it_is(value: object) -> object:
    return value


_LATER = list_of(_as_it_is)
"""A list whose objects are read in their turn, so that each is named by its place."""
_TOP = {"format": exactly(FORMAT), "version": exactly(VERSION), "units": _as_it_is, "players": _LATER}
_PLAYER = {
    "id": a_text,
    "name": a_text,
    "created_at": a_time,
    "changed_at": a_time,
    "deleted_at": maybe(a_time),
    "horns": _LATER,
}
_HORN = {
    "id": a_text,
    "name": a_text,
    "model": a_text,
    "tuning": maybe(a_text),
    "notes": any_text,
    "created_at": a_time,
    "changed_at": a_time,
    "deleted_at": maybe(a_time),
    "readings": _LATER,
}
_TONE = {
    "sounding": named(SoundingPitch.named),
    "fingering": a_text,
    "partial": a_whole_number,
    "cents": a_number,
    "session": a_text,
    "dynamic": a_number,
    "temperature_c": maybe(a_number),
    "sd_cents": a_number,
}
_READING = {
    "id": a_text,
    "added_at": a_time,
    "place": a_whole_number,
    "written": maybe(named(WrittenPitch.named)),
    "played_on": a_date,
    "source": named(Source),
    "note": any_text,
    "withdrawals": _LATER,
    **_TONE,
}
_WITHDRAWAL = {"at": a_time, "withdrawn": true_or_false}


def collection_from_json(text: str | bytes) -> Collection:
    """Read a document that `collection_to_json`, of this or another machine, has written.

    Args:
        text: the document; bytes are UTF-8.

    Raises:
        StoreError: it is no such document, of another version, or has faults; all faults at once.
    """
    document = parse_json(text, where="the export")
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise StoreError("this is not an export of a store", allowed=f'a JSON object with "format": "{FORMAT}"')
    if document.get("version") != VERSION:
        raise StoreError(
            "this export is of a version that is not known here",
            got=repr(document.get("version")),
            allowed=str(VERSION),
        )
    faults: list[Fault] = []
    top = read_fields(document, _TOP, "the export", faults)
    players: list[Player] = []
    horns: list[OwnedHorn] = []
    readings: list[KeptReading] = []
    for where, fields, own in _each(top.get("players", ()), _PLAYER, "players", faults, inner="horns"):
        players += _made(Player, fields, faults)
        for inside, horn, tones in _each(own, _HORN, f"{where}.horns", faults, inner="readings"):
            horns += _made(OwnedHorn, horn | {"player_id": fields.get("id", "")}, faults)
            for place, tone, marks in _each(tones, _READING, f"{inside}.readings", faults, inner="withdrawals"):
                readings += _reading(tone | {"horn_id": horn.get("id", "")}, marks, place, faults)
    if faults:
        raise StoreError(faults=tuple(faults))
    return Collection(
        tuple(sorted(players, key=lambda player: (player.created_at, player.id))),
        tuple(sorted(horns, key=lambda horn: (horn.created_at, horn.id))),
        tuple(sorted(readings, key=lambda kept: (kept.added_at, kept.place, kept.id))),
    )


def _each(
    values: Sequence[object], kinds: Mapping[str, Kind], where: str, faults: list[Fault], *, inner: str
) -> Iterator[tuple[str, Json, Sequence[object]]]:
    """Read each object of a list: where it stands, its own fields, and the list within it."""
    for at, value in enumerate(values):
        place = f"{where}[{at}]"
        fields = read_fields(value, kinds, place, faults)
        within = fields.pop(inner, ())
        yield place, fields, within


def _made(make: Callable[..., _Made], fields: Json, faults: list[Fault]) -> tuple[_Made, ...]:
    """Make a value; where there are faults already a field may be missing, and the value is not wanted any more."""
    return () if faults else (make(**fields),)


def _reading(fields: Json, marks: Sequence[object], where: str, faults: list[Fault]) -> tuple[KeptReading, ...]:
    history = [read_fields(mark, _WITHDRAWAL, f"{where}.withdrawals[{at}]", faults) for at, mark in enumerate(marks)]
    if faults:
        return ()
    tone = ToneReading(**{name: fields.pop(name) for name in _TONE})
    played = PlayedTone(tone, **{name: fields.pop(name) for name in ("played_on", "source", "written", "note")})
    withdrawals = tuple(Withdrawal(**mark) for mark in history)
    return (KeptReading(**fields, played=played, withdrawals=withdrawals),)

"""Everything of a store as one JSON document, and back; published as a schema in ``docs/schemas``.

Players hold their horns and takes, horns their readings, readings their history. The document says its own version: a
reader takes what it knows completely or refuses, it never leaves out a field that it does not know. The same content
always gives the same bytes. Version 1 had no takes; it is still read.
"""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from slurwright.errors import Fault, StoreError
from slurwright.formats.collection import Collection
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
from slurwright.formats.json_layout import laid_out
from slurwright.formats.store_takes_json import take_fields, take_from_fields
from slurwright.formats.times import to_text
from slurwright.horn.learnt.values import ToneReading
from slurwright.horn.owned import FromTake, KeptReading, OwnedHorn, PlayedTone, Player, Source, Withdrawal
from slurwright.listen.kept import WholeTake
from slurwright.pitch import SoundingPitch, WrittenPitch

__all__ = ["FORMAT", "VERSION", "collection_from_json", "collection_to_json"]

Json = dict[str, Any]
_Made = TypeVar("_Made")

FORMAT = "slurwright-store"
VERSION = 2
_READ_VERSIONS = (1, 2)
_UNITS = {
    "cents": "cents against equal temperament at A4 = 440 Hz, sharp above 0",
    "sd_cents": "cents, standard deviation of the measurement",
    "dynamic": "steps from mf",
    "temperature_c": "degrees Celsius",
    "played_on": "day on the player's calendar, ISO 8601",
    "times": "UTC, ISO 8601 with microseconds",
    "figure": "value with low and high, the interval that holds the truth nine times in ten; or hidden: room, short, "
    "soft or unheard; the unit stands in its name",
    "quality": "from 0, broken, to 1, smooth",
    "brightness": "centre of gravity of the spectrum, in harmonics",
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
    takes: dict[str, list[WholeTake]] = {}
    for whole in collection.takes:
        takes.setdefault(whole.take.about.player_id, []).append(whole)
    document = {
        "format": FORMAT,
        "version": VERSION,
        "units": _UNITS,
        "players": [
            _player_fields(player)
            | {"horns": horns.get(player.id, []), "takes": map(take_fields, takes.get(player.id, []))}
            for player in collection.players
        ],
    }
    return "".join(laid_out(document)) + "\n"


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
        "take": None if kept.take is None else {"id": kept.take.take_id, "asked": kept.take.asked},
        "withdrawals": [{"at": to_text(mark.at), "withdrawn": mark.withdrawn} for mark in kept.withdrawals],
    }


def _as_it_is(value: object) -> object:
    return value


_LATER = list_of(_as_it_is)
"""A list whose objects are read in their turn, so that each is named by its place."""
_TOP = {"format": exactly(FORMAT), "version": a_whole_number, "units": _as_it_is, "players": _LATER}
_PLAYER = {
    "id": a_text,
    "name": a_text,
    "created_at": a_time,
    "changed_at": a_time,
    "deleted_at": maybe(a_time),
    "horns": _LATER,
    "takes": _LATER,
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
    "take": maybe(_as_it_is),
    "withdrawals": _LATER,
    **_TONE,
}
_FROM_TAKE = {"id": a_text, "asked": a_whole_number}
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
    version = document.get("version")
    if version not in _READ_VERSIONS or isinstance(version, bool):
        raise StoreError(
            "this export is of a version that is not known here",
            got=repr(version),
            allowed=" or ".join(map(str, _READ_VERSIONS)),
        )
    return _Reader(old=version == 1).read(document)


class _Reader:
    """Reads one document, and gathers what is wrong with it."""

    def __init__(self, *, old: bool) -> None:
        self._player = _without(_PLAYER, "takes") if old else _PLAYER
        self._reading_kinds = _without(_READING, "take") if old else _READING
        self._faults: list[Fault] = []
        self._players: list[Player] = []
        self._horns: list[OwnedHorn] = []
        self._readings: list[KeptReading] = []
        self._takes: list[WholeTake] = []

    def read(self, document: Json) -> Collection:
        top = read_fields(document, _TOP, "the export", self._faults)
        for at, value in enumerate(top.get("players", ())):
            self._read_player(value, f"players[{at}]")
        if self._faults:
            raise StoreError(faults=tuple(self._faults))
        return Collection(
            tuple(sorted(self._players, key=lambda player: (player.created_at, player.id))),
            tuple(sorted(self._horns, key=lambda horn: (horn.created_at, horn.id))),
            tuple(sorted(self._readings, key=lambda kept: (kept.added_at, kept.place, kept.id))),
            tuple(sorted(self._takes, key=lambda whole: (whole.take.made_at, whole.take.id))),
        )

    def _read_player(self, value: object, where: str) -> None:
        fields = read_fields(value, self._player, where, self._faults)
        horns, takes = fields.pop("horns", ()), fields.pop("takes", ())
        player_id = fields.get("id", "")
        self._players += self._made(Player, fields)
        for at, horn in enumerate(horns):
            self._read_horn(horn, player_id, f"{where}.horns[{at}]")
        for at, take in enumerate(takes):
            self._takes += take_from_fields(take, player_id, f"{where}.takes[{at}]", self._faults)

    def _read_horn(self, value: object, player_id: str, where: str) -> None:
        fields = read_fields(value, _HORN, where, self._faults)
        readings = fields.pop("readings", ())
        self._horns += self._made(OwnedHorn, fields | {"player_id": player_id})
        for at, reading in enumerate(readings):
            self._read_reading(reading, fields.get("id", ""), f"{where}.readings[{at}]")

    def _read_reading(self, value: object, horn_id: str, where: str) -> None:
        fields = read_fields(value, self._reading_kinds, where, self._faults)
        marks = fields.pop("withdrawals", ())
        history = [
            read_fields(mark, _WITHDRAWAL, f"{where}.withdrawals[{at}]", self._faults)
            for at, mark in enumerate(marks)
        ]
        source = fields.pop("take", None)
        if source is not None:
            source = read_fields(source, _FROM_TAKE, f"{where}.take", self._faults)
        if self._faults:
            return
        tone = ToneReading(**{name: fields.pop(name) for name in _TONE})
        played = PlayedTone(tone, **{name: fields.pop(name) for name in ("played_on", "source", "written", "note")})
        withdrawals = tuple(Withdrawal(**mark) for mark in history)
        take = None if source is None else FromTake(source["id"], source["asked"])
        self._readings.append(
            KeptReading(**fields, horn_id=horn_id, played=played, withdrawals=withdrawals, take=take)
        )

    def _made(self, make: Callable[..., _Made], fields: Json) -> tuple[_Made, ...]:
        """Make a value; where there are faults a field may be missing, and the value is not wanted any more."""
        return () if self._faults else (make(**fields),)


def _without(kinds: Mapping[str, Kind], name: str) -> dict[str, Kind]:
    return {each: kind for each, kind in kinds.items() if each != name}

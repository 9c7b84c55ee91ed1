"""Everything of a store as one JSON document, and back; published as a schema in ``docs/schemas``.

Players hold their horns, takes, trials, sheets and attempts, horns their readings, readings their history. The
document says its own version: a reader takes what it knows completely or refuses, it never leaves out a field that it
does not know. The same content always gives the same bytes. Version 1 had no takes and version 2 nothing of practice;
they are still read.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import TypeVar

from slurwright.errors import Fault, StoreError
from slurwright.evidence.kept import WholeAttempt, WholeSheet, WholeTrial
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
    maybe,
    named,
    parse_json,
    read_fields,
)
from slurwright.formats.json_layout import laid_out
from slurwright.formats.store_practice_json import (
    attempt_fields,
    attempt_from_fields,
    sheet_fields,
    sheet_from_fields,
    trial_fields,
    trial_from_fields,
)
from slurwright.formats.store_shared_json import (
    LATER,
    Json,
    as_it_is,
    history_from_fields,
    withdrawal_fields,
    without,
)
from slurwright.formats.store_takes_json import take_fields, take_from_fields
from slurwright.formats.times import to_text
from slurwright.horn.learnt.values import ToneReading
from slurwright.horn.owned import FromTake, KeptReading, OwnedHorn, PlayedTone, Player, Source
from slurwright.listen.kept import WholeTake
from slurwright.pitch import SoundingPitch, WrittenPitch

__all__ = ["FORMAT", "VERSION", "collection_from_json", "collection_to_json"]

_Made = TypeVar("_Made")

FORMAT = "slurwright-store"
VERSION = 3
_READ_VERSIONS = (1, 2, 3)
_WITH_TAKES, _WITH_PRACTICE = 2, 3
_UNITS = {
    "cents": "cents against equal temperament at A4 = 440 Hz, sharp above 0",
    "sd_cents": "cents, standard deviation of the measurement",
    "dynamic": "steps from mf",
    "temperature_c": "degrees Celsius",
    "played_on": "day on the player's calendar, ISO 8601",
    "time_s": "seconds from onset to onset as asked for",
    "hold_s": "seconds for which the second note lasts as asked for",
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
    takes = _by_player((whole.take.about.player_id, whole) for whole in collection.takes)
    attempts = _by_player((whole.attempt.about.player_id, whole) for whole in collection.attempts)
    trials = _by_player((whole.trial.about.player_id, whole) for whole in collection.trials)
    sheets = _by_player((whole.sheet.about.player_id, whole) for whole in collection.sheets)
    document = {
        "format": FORMAT,
        "version": VERSION,
        "units": _UNITS,
        "players": [
            _player_fields(player)
            | {
                "horns": horns.get(player.id, []),
                "takes": map(take_fields, takes.get(player.id, [])),
                "trials": map(trial_fields, trials.get(player.id, [])),
                "sheets": map(sheet_fields, sheets.get(player.id, [])),
                "attempts": map(attempt_fields, attempts.get(player.id, [])),
            }
            for player in collection.players
        ],
    }
    return "".join(laid_out(document)) + "\n"


def _by_player(owned: Iterable[tuple[str, _Made]]) -> dict[str, list[_Made]]:
    found: dict[str, list[_Made]] = {}
    for player_id, whole in owned:
        found.setdefault(player_id, []).append(whole)
    return found


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
        "withdrawals": [withdrawal_fields(line) for line in kept.withdrawals],
    }


_TOP = {"format": exactly(FORMAT), "version": a_whole_number, "units": as_it_is, "players": LATER}
_PLAYER = {
    "id": a_text,
    "name": a_text,
    "created_at": a_time,
    "changed_at": a_time,
    "deleted_at": maybe(a_time),
    "horns": LATER,
    "takes": LATER,
    "trials": LATER,
    "sheets": LATER,
    "attempts": LATER,
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
    "readings": LATER,
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
    "take": maybe(as_it_is),
    "withdrawals": LATER,
    **_TONE,
}
_FROM_TAKE = {"id": a_text, "asked": a_whole_number}


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
    return _Reader(version=version).read(document)


class _Reader:
    """Reads one document, and gathers what is wrong with it."""

    def __init__(self, *, version: int) -> None:
        self._version = version
        self._player: Mapping[str, Kind] = _PLAYER
        self._reading_kinds: Mapping[str, Kind] = _READING
        if version < _WITH_PRACTICE:
            self._player = without(self._player, "trials", "sheets", "attempts")
        if version < _WITH_TAKES:
            self._player = without(self._player, "takes")
            self._reading_kinds = without(self._reading_kinds, "take")
        self._faults: list[Fault] = []
        self._players: list[Player] = []
        self._horns: list[OwnedHorn] = []
        self._readings: list[KeptReading] = []
        self._takes: list[WholeTake] = []
        self._trials: list[WholeTrial] = []
        self._sheets: list[WholeSheet] = []
        self._attempts: list[WholeAttempt] = []

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
            tuple(sorted(self._trials, key=lambda whole: (whole.trial.made_at, whole.trial.id))),
            tuple(sorted(self._sheets, key=lambda whole: (whole.sheet.made_at, whole.sheet.id))),
            tuple(sorted(self._attempts, key=_place_of_attempt)),
        )

    def _read_player(self, value: object, where: str) -> None:
        fields = read_fields(value, self._player, where, self._faults)
        horns, takes = fields.pop("horns", ()), fields.pop("takes", ())
        trials, sheets = fields.pop("trials", ()), fields.pop("sheets", ())
        attempts = fields.pop("attempts", ())
        player_id = fields.get("id", "")
        self._players += self._made(Player, fields)
        for at, horn in enumerate(horns):
            self._read_horn(horn, player_id, f"{where}.horns[{at}]")
        for at, take in enumerate(takes):
            place = f"{where}.takes[{at}]"
            self._takes += take_from_fields(take, player_id, place, self._faults, version=self._version)
        for at, trial in enumerate(trials):
            self._trials += trial_from_fields(trial, player_id, f"{where}.trials[{at}]", self._faults)
        for at, sheet in enumerate(sheets):
            self._sheets += sheet_from_fields(sheet, player_id, f"{where}.sheets[{at}]", self._faults)
        for at, attempt in enumerate(attempts):
            self._attempts += attempt_from_fields(attempt, player_id, f"{where}.attempts[{at}]", self._faults)

    def _read_horn(self, value: object, player_id: str, where: str) -> None:
        fields = read_fields(value, _HORN, where, self._faults)
        readings = fields.pop("readings", ())
        self._horns += self._made(OwnedHorn, fields | {"player_id": player_id})
        for at, reading in enumerate(readings):
            self._read_reading(reading, fields.get("id", ""), f"{where}.readings[{at}]")

    def _read_reading(self, value: object, horn_id: str, where: str) -> None:
        fields = read_fields(value, self._reading_kinds, where, self._faults)
        withdrawals = history_from_fields(fields.pop("withdrawals", ()), f"{where}.withdrawals", self._faults)
        source = fields.pop("take", None)
        if source is not None:
            source = read_fields(source, _FROM_TAKE, f"{where}.take", self._faults)
        if self._faults:
            return
        tone = ToneReading(**{name: fields.pop(name) for name in _TONE})
        played = PlayedTone(tone, **{name: fields.pop(name) for name in ("played_on", "source", "written", "note")})
        take = None if source is None else FromTake(source["id"], source["asked"])
        self._readings.append(
            KeptReading(**fields, horn_id=horn_id, played=played, withdrawals=withdrawals, take=take)
        )

    def _made(self, make: Callable[..., _Made], fields: Json) -> tuple[_Made, ...]:
        """Make a value; where there are faults a field may be missing, and the value is not wanted any more."""
        return () if self._faults else (make(**fields),)


def _place_of_attempt(whole: WholeAttempt) -> tuple[datetime, int, str]:
    return whole.attempt.made_at, whole.attempt.place, whole.attempt.id

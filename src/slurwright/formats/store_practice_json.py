"""Attempts, trials and sheets as fields of a store's document, and back; every figure to its last digit.

What a trial or a sheet says stands in it as the text of its own document, which is not looked into here.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

from slurwright.errors import Fault
from slurwright.evidence.attempts import Ear, Tried
from slurwright.evidence.kept import (
    EarAttempt,
    KeptSheet,
    KeptTrial,
    LoggedAttempt,
    SheetAbout,
    SheetTick,
    TickState,
    TrialAbout,
    TrialTake,
    WholeAttempt,
    WholeSheet,
    WholeTrial,
)
from slurwright.formats.json_fields import (
    Kind,
    a_date,
    a_number,
    a_text,
    a_time,
    a_whole_number,
    any_text,
    maybe,
    named,
    read_fields,
)
from slurwright.formats.json_layout import Row
from slurwright.formats.store_shared_json import (
    LATER,
    PART,
    WAY,
    Json,
    as_it_is,
    history_from_fields,
    maybe_one,
    one,
    pair_of,
    part_fields,
    way_fields,
    withdrawal_fields,
)
from slurwright.formats.times import to_text
from slurwright.horn.owned import withdrawn_since
from slurwright.horn.technique import Technique
from slurwright.listen.kept import TakenPart, TakenWay

__all__ = [
    "attempt_fields",
    "attempt_from_fields",
    "sheet_fields",
    "sheet_from_fields",
    "trial_fields",
    "trial_from_fields",
]

_Made = TypeVar("_Made")


def _maybe_text(at: datetime | None) -> str | None:
    return None if at is None else to_text(at)


def attempt_fields(whole: WholeAttempt) -> Row:
    """Write an attempt with its history.

    Args:
        whole: the attempt.
    """
    kept, about, tried = whole.attempt, whole.attempt.about, whole.attempt.about.tried
    return Row(
        id=kept.id,
        horn=about.horn_id,
        model=about.model,
        part=None if about.part is None else part_fields(about.part),
        label=about.label,
        ways=[way_fields(way) for way in tried.ways],
        technique=tried.technique.value,
        dynamic=tried.dynamic,
        tempo_qpm=tried.tempo_qpm,
        time_s=tried.time_s,
        hold_s=tried.hold_s,
        heard=about.heard.value,
        played_on=about.played_on.isoformat(),
        trial=about.trial_id,
        arm=about.arm,
        sheet=about.sheet_id,
        made_at=to_text(kept.made_at),
        place=kept.place,
        withdrawals=[withdrawal_fields(line) for line in whole.withdrawals],
    )


def trial_fields(whole: WholeTrial) -> Json:
    """Write a trial with its takes.

    Args:
        whole: the trial.
    """
    trial, about = whole.trial, whole.trial.about
    return {
        "id": trial.id,
        "horn": about.horn_id,
        "model": about.model,
        "schema": about.schema,
        "document": about.document_json,
        "made_at": to_text(trial.made_at),
        "changed_at": to_text(trial.changed_at),
        "ended_at": _maybe_text(trial.ended_at),
        "deleted_at": _maybe_text(trial.deleted_at),
        "takes": [Row(take=take.take_id, block=take.block) for take in whole.takes],
    }


def sheet_fields(whole: WholeSheet) -> Json:
    """Write a sheet with every word on its items.

    Args:
        whole: the sheet.
    """
    sheet, about = whole.sheet, whole.sheet.about
    return {
        "id": sheet.id,
        "horn": about.horn_id,
        "model": about.model,
        "day": about.day.isoformat(),
        "schema": about.schema,
        "document": about.document_json,
        "made_at": to_text(sheet.made_at),
        "changed_at": to_text(sheet.changed_at),
        "deleted_at": _maybe_text(sheet.deleted_at),
        "ticks": [Row(item=tick.item, state=tick.state.value, at=to_text(tick.at)) for tick in whole.ticks],
    }


_TRIED: dict[str, Kind] = {
    "technique": named(Technique),
    "dynamic": a_number,
    "tempo_qpm": a_number,
    "time_s": a_number,
    "hold_s": a_number,
}
_ATTEMPT: dict[str, Kind] = {
    "id": a_text,
    "horn": maybe(a_text),
    "model": a_text,
    "part": as_it_is,
    "label": any_text,
    "ways": pair_of(as_it_is),
    "heard": named(Ear),
    "played_on": a_date,
    "trial": maybe(a_text),
    "arm": any_text,
    "sheet": maybe(a_text),
    "made_at": a_time,
    "place": a_whole_number,
    "withdrawals": LATER,
    **_TRIED,
}
_DOCUMENT: dict[str, Kind] = {
    "id": a_text,
    "horn": maybe(a_text),
    "model": a_text,
    "schema": a_whole_number,
    "document": any_text,
    "made_at": a_time,
    "changed_at": a_time,
    "deleted_at": maybe(a_time),
}
_TRIAL: dict[str, Kind] = {**_DOCUMENT, "ended_at": maybe(a_time), "takes": LATER}
_TRIAL_TAKE = {"take": a_text, "block": a_whole_number}
_SHEET: dict[str, Kind] = {**_DOCUMENT, "day": a_date, "ticks": LATER}
_TICK = {"item": a_whole_number, "state": named(TickState), "at": a_time}


def attempt_from_fields(value: object, player_id: str, where: str, faults: list[Fault]) -> tuple[WholeAttempt, ...]:
    """Read an attempt with its history.

    Args:
        value: the JSON value.
        player_id: whose it is.
        where: how to call it in messages.
        faults: what is wrong is added here.

    Returns:
        The attempt; none where there are faults.
    """
    fields = read_fields(value, _ATTEMPT, where, faults)
    part = maybe_one(TakenPart, fields.get("part"), PART, f"{where}.part", faults)
    ways = [one(TakenWay, way, WAY, f"{where}.ways[{at}]", faults) for at, way in enumerate(fields.get("ways", ()))]
    history = history_from_fields(fields.get("withdrawals", ()), f"{where}.withdrawals", faults)
    if faults:
        return ()
    before, after = (way for way in ways if way is not None)
    about = EarAttempt(
        player_id=player_id,
        horn_id=fields["horn"],
        model=fields["model"],
        part=part,
        label=fields["label"],
        tried=Tried(ways=(before, after), **{name: fields[name] for name in _TRIED}),
        heard=fields["heard"],
        played_on=fields["played_on"],
        trial_id=fields["trial"],
        arm=fields["arm"],
        sheet_id=fields["sheet"],
    )
    kept = LoggedAttempt(fields["id"], about, fields["made_at"], withdrawn_since(history), fields["place"])
    return (WholeAttempt(kept, history),)


def trial_from_fields(value: object, player_id: str, where: str, faults: list[Fault]) -> tuple[WholeTrial, ...]:
    """Read a trial with its takes.

    Args:
        value: the JSON value.
        player_id: whose it is.
        where: how to call it in messages.
        faults: what is wrong is added here.

    Returns:
        The trial; none where there are faults.
    """
    fields = read_fields(value, _TRIAL, where, faults)
    rows = [read_fields(row, _TRIAL_TAKE, f"{where}.takes[{at}]", faults) for at, row in _placed(fields, "takes")]
    if faults:
        return ()
    about = _about(TrialAbout, player_id, fields)
    times = {name: fields[name] for name in ("made_at", "changed_at", "ended_at", "deleted_at")}
    takes = tuple(TrialTake(fields["id"], row["take"], row["block"]) for row in rows)
    return (WholeTrial(KeptTrial(fields["id"], about, **times), takes),)


def sheet_from_fields(value: object, player_id: str, where: str, faults: list[Fault]) -> tuple[WholeSheet, ...]:
    """Read a sheet with every word on its items.

    Args:
        value: the JSON value.
        player_id: whose it is.
        where: how to call it in messages.
        faults: what is wrong is added here.

    Returns:
        The sheet; none where there are faults.
    """
    fields = read_fields(value, _SHEET, where, faults)
    rows = [read_fields(row, _TICK, f"{where}.ticks[{at}]", faults) for at, row in _placed(fields, "ticks")]
    if faults:
        return ()
    about = _about(SheetAbout, player_id, fields, day=fields["day"])
    times = {name: fields[name] for name in ("made_at", "changed_at", "deleted_at")}
    ticks = tuple(SheetTick(fields["id"], row["item"], row["state"], row["at"]) for row in rows)
    return (WholeSheet(KeptSheet(fields["id"], about, **times), ticks),)


def _placed(fields: Json, name: str) -> enumerate[Any]:
    return enumerate(fields.get(name, ()))


def _about(make: Callable[..., _Made], player_id: str, fields: Json, **more: object) -> _Made:
    return make(
        player_id=player_id,
        horn_id=fields["horn"],
        model=fields["model"],
        document_json=fields["document"],
        schema=fields["schema"],
        **more,
    )

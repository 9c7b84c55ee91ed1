"""Practice as it is kept, for tests: attempts that were logged by ear, trials and sheets of an invented band."""

import dataclasses
from datetime import date, timedelta

from builders.kept_takes import A3, BB3, F3
from builders.stores import NOW
from slurwright.evidence.attempts import Ear, Tried
from slurwright.evidence.kept import EarAttempt, SheetAbout, TickState, TrialAbout
from slurwright.listen.kept import TakenPart
from slurwright.plan import Technique
from slurwright.store import Store

DESIGN = '{"format": "a design", "arms": ["ü", 0.30000000000000004]}\n'
SHEET = '{"format": "a sheet", "items": ["long notes", "the ferry"]}'
PLAYED_ON = date(2026, 1, 9)


def tried(technique: Technique = Technique.PLAIN) -> Tried:
    """A slur up a fourth on open valves, softly."""
    return Tried((F3, BB3), technique, -2.0, 96.0, 0.625, 1.25)


def ear(player_id: str, horn_id: str | None, heard: Ear = Ear.GOOD, **more: object) -> EarAttempt:
    """An attempt as it is logged by ear; out of no part, for no trial, unless said."""
    plain = EarAttempt(player_id, horn_id, "euphonium-4c", None, "", tried(), heard, PLAYED_ON)
    return dataclasses.replace(plain, **more)  # type: ignore[arg-type]


def out_of_part(player_id: str, horn_id: str | None, heard: Ear, **more: object) -> EarAttempt:
    """An attempt at a place of a part."""
    part = TakenPart("waltz.musicxml", "00ff" * 8, "Waltz of the Ferry", "Euphonium")
    down = Tried((BB3, A3), Technique.HALF_VALVE, 0.1 + 0.2, 120.0, 0.25, 0.0)
    return ear(player_id, horn_id, heard, **({"part": part, "label": "2:3", "tried": down} | more))


def trial(player_id: str, horn_id: str | None) -> TrialAbout:
    """A trial when it starts."""
    return TrialAbout(player_id, horn_id, "euphonium-4c", DESIGN, 1)


def sheet(player_id: str, horn_id: str | None, *, day: date = PLAYED_ON) -> SheetAbout:
    """A sheet for one day."""
    return SheetAbout(player_id, horn_id, "euphonium-4c", day, SHEET, 1)


def fill_with_practice(store: Store) -> None:
    """Practice in a store that `fill` and `fill_with_takes` have filled.

    Trials: one that goes on with a take and attempts, one that is over, one that is deleted. Sheets: one that is
    ticked off in part and corrected, one that is deleted. Attempts: one withdrawn, one withdrawn and restored, one
    of no horn.
    """
    ida = store.player_named("Ida Moor")
    old = store.horn_named(ida.id, "the old one")
    first, second, *_ = store.takes_of(ida.id, horn_id=old.id)
    at = NOW + timedelta(days=11)
    going, over, gone = (
        store.add_trial(trial(ida.id, horn), now=at + timedelta(minutes=minute))
        for minute, horn in enumerate((old.id, None, old.id))
    )
    store.add_trial_take(going.id, second.id, block=0, now=at)
    store.add_trial_take(going.id, first.id, block=1, now=at)
    store.end_trial(over.id, now=at + timedelta(hours=1))
    store.delete_trial(gone.id, now=at + timedelta(hours=2))
    today = store.add_sheet(sheet(ida.id, old.id), now=at)
    store.tick_sheet(today.id, [(0, TickState.SKIPPED), (1, TickState.DONE)], now=at + timedelta(minutes=5))
    store.tick_sheet(today.id, [(0, TickState.DONE)], now=at + timedelta(minutes=9))
    never = store.add_sheet(sheet(ida.id, None, day=date(2026, 1, 12)), now=at)
    store.delete_sheet(never.id, now=at + timedelta(minutes=1))
    logged = store.log_attempts(
        [
            ear(ida.id, old.id, Ear.GOOD, trial_id=going.id, arm="1"),
            ear(ida.id, old.id, Ear.MISSED, trial_id=going.id, arm="2"),
            out_of_part(ida.id, old.id, Ear.ROUGH, sheet_id=today.id),
        ],
        now=at + timedelta(minutes=6),
    )
    store.log_attempts([ear(ida.id, None)], now=at + timedelta(minutes=7))
    store.withdraw_attempts([logged[0].id, logged[1].id], now=at + timedelta(minutes=8))
    store.restore_attempts([logged[0].id], now=at + timedelta(minutes=9))

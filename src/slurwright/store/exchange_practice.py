"""Attempts, trials and sheets of another store joined with those that are here; see `exchange` for the rules.

Attempts, the takes of a trial and the words on a sheet's items are put together; what may change of a trial or a
sheet (that it is over, that it is deleted) is taken from where it changed later.
"""

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from slurwright.errors import Fault
from slurwright.evidence.kept import (
    EarAttempt,
    KeptSheet,
    KeptTrial,
    SheetAbout,
    SheetTick,
    TrialAbout,
    TrialTake,
    WholeAttempt,
    WholeSheet,
    WholeTrial,
)
from slurwright.formats.collection import Collection
from slurwright.formats.times import to_text
from slurwright.listen.kept import TakeAbout
from slurwright.store.attempts import every_attempt, insert_attempts
from slurwright.store.practice_faults import MOST_ITEMS, attempt_faults, document_faults
from slurwright.store.sheets import every_sheet, put_sheets, put_ticks
from slurwright.store.trials import every_trial, put_trial_takes, put_trials
from slurwright.store.withdrawals import ATTEMPTS, add_marks, new_marks

__all__ = ["PracticeWork", "dangling_practice", "practice_work", "unlikely_practice", "write_practice"]

_Row = TypeVar("_Row", KeptTrial, KeptSheet)
_Owner = tuple[str, str | None]
"""Ids of a player and of a horn."""


@dataclass(frozen=True, slots=True)
class PracticeWork:
    """What is to be written of practice."""

    new_trials: tuple[KeptTrial, ...]
    changed_trials: tuple[KeptTrial, ...]
    new_takes: tuple[TrialTake, ...]
    new_sheets: tuple[KeptSheet, ...]
    changed_sheets: tuple[KeptSheet, ...]
    new_ticks: tuple[SheetTick, ...]
    new_attempts: tuple[WholeAttempt, ...]
    longer_attempts: tuple[WholeAttempt, ...]
    """Known attempts with the lines of their history that are new here, and no others."""

    @property
    def changed(self) -> int:
        """How many trials, sheets and attempts were known and stand differently now [1]."""
        new = {trial.id for trial in self.new_trials} | {sheet.id for sheet in self.new_sheets}
        trials = {trial.id for trial in self.changed_trials} | {take.trial_id for take in self.new_takes}
        sheets = {sheet.id for sheet in self.changed_sheets} | {tick.sheet_id for tick in self.new_ticks}
        return len((trials | sheets) - new) + len(self.longer_attempts)


def dangling_practice(incoming: Collection) -> Iterator[Fault]:
    """Say what of practice points to what is not there, or not of the same player and horn."""
    trials = {whole.trial.id: _owner(whole.trial.about) for whole in incoming.trials}
    sheets = {whole.sheet.id: _owner(whole.sheet.about) for whole in incoming.sheets}
    attempts = {whole.attempt.id: _owner(whole.attempt.about) for whole in incoming.attempts}
    for what, owners in (("trial", trials), ("sheet", sheets), ("attempt", attempts)):
        yield from _ownerless(incoming, what, owners)
    takes = {whole.take.id: _owner(whole.take.about) for whole in incoming.takes}
    for take in (take for whole in incoming.trials for take in whole.takes):
        if takes.get(take.take_id) != trials[take.trial_id]:
            where = f"trial {take.trial_id}"
            yield Fault("no take of the trial's player and horn", got=take.take_id, where=where)
    for kept in (whole.attempt for whole in incoming.attempts):
        asked_by = (("trial", kept.about.trial_id, trials), ("sheet", kept.about.sheet_id, sheets))
        for what, row_id, owners in asked_by:
            if row_id is not None and owners.get(row_id) != attempts[kept.id]:
                yield Fault(f"no {what} of its player and horn", got=row_id, where=f"attempt {kept.id}")


def _owner(about: TrialAbout | SheetAbout | EarAttempt | TakeAbout) -> _Owner:
    return about.player_id, about.horn_id


def _ownerless(incoming: Collection, what: str, owners: Mapping[str, _Owner]) -> Iterator[Fault]:
    players = {player.id for player in incoming.players}
    horns: dict[str | None, str] = {horn.id: horn.player_id for horn in incoming.horns}
    for row_id, (player_id, horn_id) in owners.items():
        where = f"{what} {row_id}"
        if player_id not in players:
            yield Fault(f"a {what} of nobody", got=player_id, where=where)
        if horn_id is not None and horns.get(horn_id) != player_id:
            yield Fault(f"a {what} on a horn that its player does not have", got=horn_id, where=where)


def unlikely_practice(incoming: Collection) -> Iterator[Fault]:
    """Say what cannot be true of attempts, trials and sheets."""
    for whole in incoming.attempts:
        where = f"attempt {whole.attempt.id}"
        yield from attempt_faults(whole.attempt.about, where)
        if not 0 <= whole.attempt.place < 2**53:
            yield Fault("no such place", got=str(whole.attempt.place), where=where)
        times = [line.at for line in whole.withdrawals]
        if sorted(set(times)) != times:
            yield Fault("its history is out of order", got=", ".join(map(to_text, times)), where=where)
    for trial in incoming.trials:
        where = f"trial {trial.trial.id}"
        yield from _document(trial.trial, where)
        yield from _items([take.block for take in trial.takes], "block", where)
    for name, count in Counter(take.take_id for trial in incoming.trials for take in trial.takes).items():
        if count > 1:
            yield Fault(f"one take holds {count} blocks of trials", got=name)
    for sheet in incoming.sheets:
        where = f"sheet {sheet.sheet.id}"
        yield from _document(sheet.sheet, where)
        yield from _items([tick.item for tick in sheet.ticks], "item", where)
        if len({(tick.item, tick.at) for tick in sheet.ticks}) < len(sheet.ticks):
            yield Fault("two words on one item at the same moment", where=where)


def _document(kept: KeptTrial | KeptSheet, where: str) -> Iterator[Fault]:
    yield from document_faults(kept.about, where)
    if kept.changed_at < kept.made_at:
        yield Fault("it was changed before it was made", got=to_text(kept.changed_at), where=where)


def _items(numbers: Sequence[int], what: str, where: str) -> Iterator[Fault]:
    for number in numbers:
        if not 0 <= number < MOST_ITEMS:
            yield Fault(f"no such {what}", got=str(number), allowed=f"0 to {MOST_ITEMS - 1}", where=where)


def practice_work(connection: sqlite3.Connection, incoming: Collection, faults: list[Fault]) -> PracticeWork:
    """Work out what of practice is new and what stands differently since a later change.

    Args:
        connection: in a transaction.
        incoming: what comes, without faults of its own.
        faults: contradictions are added here.
    """
    trials = {whole.trial.id: whole for whole in every_trial(connection)}
    sheets = {whole.sheet.id: whole for whole in every_sheet(connection)}
    new_trials, changed_trials = _split(
        [whole.trial for whole in incoming.trials],
        {trial_id: whole.trial for trial_id, whole in trials.items()},
        "trial",
        lambda trial: replace(trial, changed_at=trial.made_at, ended_at=None, deleted_at=None),
        faults,
    )
    new_sheets, changed_sheets = _split(
        [whole.sheet for whole in incoming.sheets],
        {sheet_id: whole.sheet for sheet_id, whole in sheets.items()},
        "sheet",
        lambda sheet: replace(sheet, changed_at=sheet.made_at, deleted_at=None),
        faults,
    )
    new_attempts, longer_attempts = _attempts(connection, incoming, faults)
    return PracticeWork(
        new_trials=new_trials,
        changed_trials=changed_trials,
        new_takes=tuple(_new_takes(tuple(trials.values()), incoming.trials, faults)),
        new_sheets=new_sheets,
        changed_sheets=changed_sheets,
        new_ticks=tuple(_new_ticks(tuple(sheets.values()), incoming.sheets, faults)),
        new_attempts=new_attempts,
        longer_attempts=longer_attempts,
    )


def _split(
    incoming: Sequence[_Row], here: dict[str, _Row], what: str, core: Callable[[_Row], _Row], faults: list[Fault]
) -> tuple[tuple[_Row, ...], tuple[_Row, ...]]:
    """Give those that are new, and those that changed later than what is here."""
    changed = []
    for come in incoming:
        known = here.get(come.id, come)
        if core(known) != core(come):
            faults.append(Fault(f"this {what} is another one here", where=f"{what} {come.id}"))
        elif come.changed_at > known.changed_at:
            changed.append(come)
        elif come.changed_at == known.changed_at and come != known:
            where = f"{what} {come.id}"
            faults.append(Fault(f"this {what} stands differently here since the same moment", where=where))
    return tuple(come for come in incoming if come.id not in here), tuple(changed)


def _new_takes(
    here: Sequence[WholeTrial], incoming: Sequence[WholeTrial], faults: list[Fault]
) -> Iterator[TrialTake]:
    known = {take.take_id: take for whole in here for take in whole.takes}
    for take in (take for whole in incoming for take in whole.takes):
        if known.get(take.take_id, take) != take:
            faults.append(Fault("this take holds another block here", where=f"take {take.take_id}"))
        elif take.take_id not in known:
            yield take


def _new_ticks(
    here: Sequence[WholeSheet], incoming: Sequence[WholeSheet], faults: list[Fault]
) -> Iterator[SheetTick]:
    known = {(tick.sheet_id, tick.item, tick.at): tick for whole in here for tick in whole.ticks}
    for tick in (tick for whole in incoming for tick in whole.ticks):
        place = (tick.sheet_id, tick.item, tick.at)
        if known.get(place, tick) != tick:
            faults.append(Fault("this sheet has another history here", where=f"sheet {tick.sheet_id}"))
        elif place not in known:
            yield tick


def _attempts(
    connection: sqlite3.Connection, incoming: Collection, faults: list[Fault]
) -> tuple[tuple[WholeAttempt, ...], tuple[WholeAttempt, ...]]:
    here = {whole.attempt.id: whole for whole in every_attempt(connection)} if incoming.attempts else {}
    longer = []
    for come in incoming.attempts:
        known = here.get(come.attempt.id, come)
        where = f"attempt {come.attempt.id}"
        if replace(known.attempt, withdrawn_at=None) != replace(come.attempt, withdrawn_at=None):
            faults.append(Fault("this attempt is another one here", where=where))
            continue
        new = new_marks(known.withdrawals, come.withdrawals)
        if new is None:
            faults.append(Fault("this attempt has another history here", where=where))
        elif new:
            longer.append(WholeAttempt(come.attempt, new))
    return tuple(come for come in incoming.attempts if come.attempt.id not in here), tuple(longer)


def write_practice(connection: sqlite3.Connection, work: PracticeWork) -> None:
    """Write what was worked out.

    Args:
        connection: in a transaction; players, horns and takes are written.
        work: what is to be written.
    """
    put_trials(connection, (*work.changed_trials, *work.new_trials))
    put_trial_takes(connection, work.new_takes)
    put_sheets(connection, (*work.changed_sheets, *work.new_sheets))
    put_ticks(connection, work.new_ticks)
    insert_attempts(connection, work.new_attempts)
    for whole in work.longer_attempts:
        add_marks(connection, ATTEMPTS, whole.attempt.id, whole.withdrawals)

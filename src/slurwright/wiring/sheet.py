"""Today's practice sheet, planned for the parts at hand as the player is known, and kept."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from slurwright.devices.clock import day_of, now, today
from slurwright.devices.packaged import (
    load_beliefs,
    load_chances,
    load_horn,
    load_practice,
)
from slurwright.errors import Fault, RequestError, SlurwrightError, StoreError
from slurwright.evidence.attempts import Attempt
from slurwright.evidence.kept import KeptSheet
from slurwright.formats.trial_json import design_from_json
from slurwright.horn import Horn
from slurwright.jobs.known_player import KnownPlayer, known_on, learn_player
from slurwright.jobs.own_horn import player_for
from slurwright.jobs.sheet.made import (
    OpenSheet,
    Owner,
    about_sheet,
    latest_sheet,
    made_plan,
    open_sheet,
    sheet_part,
    spent_on,
)
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.trial.words import slur_said
from slurwright.pitch import CONCERT, Clef, Reading
from slurwright.plan.study import Study
from slurwright.practice.sheet.targets import SheetRequest, SpentToday
from slurwright.practice.sheet.values import KeptPlan, Sheet, SheetPart
from slurwright.store import Store
from slurwright.wiring.horns import FoundHorn, find_horn
from slurwright.wiring.part import study_file
from slurwright.wiring.sheet_kept import horn_name

__all__ = ["MadeSheet", "SheetWish", "make_sheet"]


@dataclass(frozen=True, slots=True)
class SheetWish:
    """What a player asks of a sheet, in their own words; what is not said is taken from the last sheet."""

    minutes: float
    """Time there is, rests counted [min]."""
    files: tuple[Path, ...] = ()
    horn: str | None = None
    player: str | None = None
    tuning: str | None = None
    concert: date | None = None
    no_concert: bool = False
    """True drops the concert of the last sheet."""
    part: str | None = None
    voice: str | None = None
    written_for: str | None = None
    reading: str | None = None
    dynamic: str | None = None
    tempo_qpm: float | None = None
    """[quarters per minute]"""
    rescues: bool = True
    seed: int | None = None
    """None takes the day's."""


@dataclass(frozen=True, slots=True)
class MadeSheet:
    """A sheet that was planned."""

    plan: KeptPlan
    horn: Horn
    kept: KeptSheet | None
    """None where nobody's name is known under whom it could be kept."""
    notices: tuple[str, ...] = ()
    """What was assumed in finding horn and parts."""


@dataclass(frozen=True, slots=True)
class _Ground:
    """All that a sheet is planned on."""

    about: KeptPlan
    horn: Horn
    owner: Owner | None
    known: KnownPlayer | None
    attempts: tuple[Attempt, ...]
    spent: SpentToday
    notices: tuple[str, ...]


def make_sheet(store: Store | None, wish: SheetWish) -> MadeSheet:
    """Plan today's sheet and keep it.

    Args:
        store: what players keep; None where nothing is kept on this machine.
        wish: what the player asks.

    Raises:
        RequestError: no part or horn is said and there is no sheet to take them from, or a word means nothing.
        SlurwrightError: a part cannot be read or played.
    """
    day = today()
    ground = _ground(store, wish, day)
    studies = _studies(ground)
    parts = tuple(_noted(part, study) for part, study in zip(ground.about.parts, studies, strict=True))
    changed = [
        f"{new.path} is not as it was on the last sheet: the part has changed"
        for old, new in zip(ground.about.parts, parts, strict=True)
        if old.fingerprint and old.fingerprint != new.fingerprint
    ]
    about = replace(ground.about, parts=parts, reading=studies[0].reading)
    concert = None if wish.no_concert else wish.concert or ground.about.sheet.concert
    plan = made_plan(
        studies,
        SheetRequest(wish.minutes, day, concert, ground.spent, rescues=wish.rescues),
        about=about,
        attempts=ground.attempts,
        horns=ground.owner.horns if ground.owner else (),
        chances=load_chances(),
        table=load_practice(),
        rng=np.random.default_rng(day.toordinal() if wish.seed is None else wish.seed),
    )
    kept = None
    if store is not None and ground.owner is not None:
        spared = plan.sheet.concert == plan.sheet.day
        trials = () if spared else _open_trials(store, ground.owner)
        plan = replace(plan, sheet=replace(plan.sheet, notices=(*plan.sheet.notices, *trials)))
        kept = store.add_sheet(about_sheet(plan, ground.owner), now=now())
    return MadeSheet(plan, ground.horn, kept, (*ground.notices, *changed))


def _open_trials(store: Store, owner: Owner) -> tuple[str, ...]:
    """Say which trials on this horn are going on; their rounds take time of their own."""
    found = []
    for trial in store.trials_of(owner.player_id):
        about = trial.about
        if trial.ended_at is None and (about.horn_id, about.model) == (owner.horn_id, owner.model):
            with suppress(StoreError):
                slur = slur_said(design_from_json(about.document_json))
                found.append(f"a trial of {slur} is going on: slurwright trial next {trial.id[:8]}")
    return tuple(found)


def _ground(store: Store | None, wish: SheetWish, day: date) -> _Ground:
    """Find horn, parts and player, out of the last sheet where they are not said."""
    said = None if wish.horn is None else find_horn(wish.horn, player=wish.player, tuning=wish.tuning)
    player_id = _player_id(store, wish, said)
    sheets = store.sheets_of(player_id) if store is not None and player_id is not None else ()
    name, last = _last(store, wish, sheets, horn_id=said.owned.id if said is not None and said.owned else None)
    found = find_horn(name, player=wish.player, tuning=_tuning(wish, last))
    owner = _owner(player_id, found)
    known, attempts, notices = _learnt(store, owner, day)
    earlier = [_opened(store, one) for one in sheets if _may_be_of(one, day)] if store is not None else []
    return _Ground(
        about=_about(wish, last, name, day),
        horn=found.horn,
        owner=owner,
        known=known,
        attempts=attempts,
        spent=spent_on(day, [one for one in earlier if one is not None], day_of=day_of),
        notices=(*found.notices, *notices),
    )


_TAKEN_UP_AGAIN = timedelta(days=7)
"""An older sheet is no longer gone on with (ours)."""


def _may_be_of(kept: KeptSheet, day: date) -> bool:
    """Say whether something of a sheet may have been done on a day."""
    return day - _TAKEN_UP_AGAIN <= kept.about.day <= day


def _player_id(store: Store | None, wish: SheetWish, said: FoundHorn | None) -> str | None:
    """Whose sheet it is: the owner of the horn, else the one that is named, or the only one; None for nobody."""
    if said is not None and said.owned is not None:
        return said.owned.player_id
    if store is None:
        if wish.player is not None:
            raise RequestError("no player keeps a horn here yet", got=wish.player, allowed="slurwright horn add")
        return None
    if wish.player is None and (not store.players() or (said is not None and len(store.players()) > 1)):
        return None
    return player_for(store, wish.player).id


def _last(
    store: Store | None, wish: SheetWish, sheets: Sequence[KeptSheet], *, horn_id: str | None
) -> tuple[str, KeptPlan | None]:
    """Name of the horn, and the sheet from which is taken what was not said: the last one on this horn."""
    if wish.horn is not None and horn_id is None:
        sheets = [one for one in sheets if one.about.horn_id is None]
    latest = latest_sheet(sheets, horn_id=horn_id)
    last = _opened(store, latest) if store is not None and latest is not None else None
    if last is not None and wish.horn is not None and horn_id is None and last.plan.horn != wish.horn:
        last = None
    faults = []
    if wish.horn is None and last is None:
        faults.append(Fault("no horn is said, and there is no sheet to take it from", allowed="--horn NAME"))
    if not wish.files and last is None:
        faults.append(Fault("no part is said, and there is no sheet to take it from", allowed="FILE…"))
    if faults:
        raise RequestError(faults=tuple(faults))
    name = wish.horn if wish.horn is not None else horn_name(store, last) if store is not None and last else ""
    return name, last.plan if last else None


def _opened(store: Store, kept: KeptSheet) -> OpenSheet | None:
    """Open a sheet; one that cannot be read is passed over."""
    try:
        return open_sheet(kept, store.ticks_of(kept.id))
    except StoreError:
        return None


def _tuning(wish: SheetWish, last: KeptPlan | None) -> str | None:
    if wish.tuning is not None or last is None or wish.horn is not None:
        return wish.tuning
    return last.tuning


def _about(wish: SheetWish, last: KeptPlan | None, horn: str, day: date) -> KeptPlan:
    """Say for what the sheet is: what is said now, else as on the last sheet."""
    if wish.files:
        parts = tuple(
            SheetPart(str(file.resolve()), "", "", part=wish.part, voice=wish.voice, written_for=wish.written_for)
            for file in wish.files
        )
    else:
        parts = last.parts if last else ()
    before = last if last is not None and not wish.files else None
    empty = Sheet(day, wish.minutes, last.sheet.concert if last else None, (), (), 0, 1.0, 1.0)
    reading = wish.reading or (before.reading.id if before and before.asked_reading else None)
    return KeptPlan(
        sheet=empty,
        parts=parts,
        horn=horn,
        reading=Reading(reading or "", "", Clef.TREBLE, CONCERT),
        asked_reading=reading is not None,
        dynamic=wish.dynamic or (before.dynamic if before else None),
        tempo_qpm=wish.tempo_qpm or (before.tempo_qpm if before else None),
        tuning=_tuning(wish, last),
    )


def _owner(player_id: str | None, found: FoundHorn) -> Owner | None:
    if found.owned is not None:
        return Owner(found.owned.player_id, found.owned.id, found.owned.model, frozenset({found.owned.id}))
    return None if player_id is None else Owner(player_id, None, found.horn.id, frozenset({found.horn.id}))


def _learnt(
    store: Store | None, owner: Owner | None, day: date
) -> tuple[KnownPlayer | None, tuple[Attempt, ...], tuple[str, ...]]:
    """What is learnt of the player on this horn; where learning fails the priors stand, and it is said."""
    if store is None or owner is None:
        return None, (), ()
    try:
        learnt = learn_player(
            store,
            owner.player_id,
            catalogue=load_horn,
            chances=load_chances(),
            beliefs=load_beliefs(),
            today=day,
        )
    except SlurwrightError as error:
        return None, (), (f"the player could not be learnt, so the priors stand: {error}",)
    known = known_on(learnt, owner.horn_id or owner.model)
    return known, learnt.attempts, known.notices if known else ()


def _studies(ground: _Ground) -> list[Study]:
    """Study the parts on their normal fingerings, as the player is known; all faults of all files at once.

    The normal fingering is what is practised first, also where the plan leaves it; its choice comes as the rescue.
    """
    studies, faults = [], []
    about = ground.about
    for part in about.parts:
        request = StudyRequest(
            part=part.part,
            voice=part.voice,
            reading=about.reading.id or None,
            written_for=part.written_for,
            dynamic=about.dynamic,
            tempo_qpm=about.tempo_qpm,
            most_changes=0,
            best=1,
        )
        try:
            studies.append(study_file(Path(part.path), ground.horn, request, player=ground.known).study)
        except SlurwrightError as error:
            faults += [_placed(fault, part) for fault in error.faults]
    if faults:
        raise RequestError(faults=tuple(faults))
    return studies


def _noted(part: SheetPart, study: Study) -> SheetPart:
    return sheet_part(study, path=part.path, part=part.part, voice=part.voice, written_for=part.written_for)


def _placed(fault: Fault, part: SheetPart) -> Fault:
    return fault if fault.where else replace(fault, where=Path(part.path).name)

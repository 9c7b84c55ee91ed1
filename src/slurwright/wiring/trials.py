"""Trials from the part to the answer: laid down, kept, played by rounds, measured."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from slurwright.devices.clock import now, today
from slurwright.devices.files import ending_faults, place_faults, write_files
from slurwright.devices.packaged import load_beliefs, load_chances, load_familiarity, load_horn, load_trial_rules
from slurwright.errors import RequestError, StoreError
from slurwright.evidence.kept import KeptTrial, TrialAbout
from slurwright.evidence.trial.tries import RoundTake
from slurwright.formats.musicxml_writer import write_musicxml
from slurwright.formats.trial_json import TRIAL_SCHEMA, design_to_json
from slurwright.horn import Horn
from slurwright.jobs.own_horn import OwnHorn, own_horn
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.trial.arms import offered
from slurwright.jobs.trial.block import RoundPage, round_page
from slurwright.jobs.trial.design import TrialWish, design_trial, normal_pins, said_of_slur
from slurwright.jobs.trial.page import page_title, trial_page_request
from slurwright.jobs.trial.running import (
    RunningTrial,
    check_linked,
    logged_tries,
    next_block,
    refuse_ended,
    refuse_played,
    running_trial,
)
from slurwright.jobs.tried import move_at
from slurwright.listen.kept import KeptTake, TakeState
from slurwright.plan.study import Study
from slurwright.store import Store
from slurwright.wiring.horns import FoundHorn, find_horn
from slurwright.wiring.kept_take import KeepWish, keep_and_measure
from slurwright.wiring.known_player import find_player
from slurwright.wiring.part import StudiedFile, numbered_files, study_file, study_typed
from slurwright.wiring.take import MeasuredFile

__all__ = [
    "BegunTrial",
    "RoundWish",
    "TrialHorn",
    "begin_trial",
    "block_meant",
    "check_round_page_name",
    "horn_name_of",
    "horn_of_trial",
    "link_take",
    "log_tries",
    "open_trial",
    "take_round",
    "trials_kept",
    "unlog_tries",
    "write_round_page",
]


@dataclass(frozen=True, slots=True)
class BegunTrial:
    """A trial that was laid down, and what is to be known of it."""

    trial: RunningTrial
    notices: tuple[str, ...]
    others: tuple[str, ...]
    """Choices at the slur that are not compared."""


@dataclass(frozen=True, slots=True)
class TrialHorn:
    """The horn of a trial, with what is known of it."""

    own: OwnHorn
    horn: Horn


def begin_trial(
    store: Store, found: FoundHorn, source: Path | str, where: str, *, request: StudyRequest, wish: TrialWish
) -> BegunTrial:
    """Lay a trial down and keep it.

    Args:
        store: what players keep.
        found: the player's own horn.
        source: the notation file, or a passage typed in ABC notation.
        where: the note that the slur leads from.
        request: what the player asks of the part.
        wish: what the player asks of the trial.

    Raises:
        RequestError: the horn is a model, there is no such slur, or an arm cannot be played.
    """
    owned = found.owned
    if owned is None:
        raise RequestError(
            "trials are kept on horns of your own, and this is a model",
            got=found.horn.name,
            allowed="slurwright horn add NAME --model ID",
        )
    known = find_player(owned)
    request = replace(request, best=1, risk_limit=0.0)

    def study(pins: tuple[str, ...]) -> StudiedFile:
        asked = replace(request, pins=(*request.pins, *pins))
        if isinstance(source, Path):
            return study_file(source, found.horn, asked, player=known.player)
        return study_typed(source, found.horn, asked, player=known.player)

    chances = load_chances()
    studied = study(())
    move = move_at(where, studied.study)
    pins = normal_pins(studied.study, move, request.pins)
    if pins:
        studied = study(pins)
    rules = load_trial_rules()
    design = design_trial(studied.study, move, wish, file=studied.name, rules=rules, chances=chances)
    about = TrialAbout(owned.player_id, owned.id, owned.model, design_to_json(design), TRIAL_SCHEMA)
    kept = store.add_trial(about, now=now())
    names = {arm.name for arm in design.arms}
    return BegunTrial(
        trial=running_trial(kept, (), (), beliefs=load_beliefs()),
        notices=(*known.notices, *_said(studied.study), *said_of_slur(studied.study, move, chances=chances)),
        others=tuple(
            f"{number} ({choice.name})"
            for number, choice in enumerate(offered(studied.study, move), start=1)
            if number > 1 and choice.name not in names
        ),
    )


def open_trial(store: Store, beginning: str) -> RunningTrial:
    """Find a trial and work out how it stands.

    Args:
        store: what players keep.
        beginning: of its id.

    Raises:
        StoreError: there is no such trial, or several.
    """
    return _running(store, store.trial_of(beginning))


def trials_kept(store: Store, player_id: str, *, deleted: bool = False) -> tuple[RunningTrial, ...]:
    """List a player's trials and how each stands, in the order in which they were begun.

    Args:
        store: what players keep.
        player_id: whose.
        deleted: those that were put away.
    """
    return tuple(_running(store, kept) for kept in store.trials_of(player_id, deleted=deleted))


def _running(store: Store, kept: KeptTrial) -> RunningTrial:
    logged = store.attempts_of(kept.about.player_id, trial_id=kept.id)
    takes = []
    for one in store.trial_takes(kept.id):
        take = store.take_of(one.take_id)
        if take.state is TakeState.MEASURED:
            takes.append(RoundTake(take.id, one.block, take.about.played_on, store.measures_of(take.id)))
    return running_trial(kept, logged, takes, beliefs=load_beliefs())


def horn_of_trial(store: Store, trial: RunningTrial) -> TrialHorn:
    """Find the horn of a trial.

    Args:
        store: what players keep.
        trial: the trial.

    Raises:
        RequestError: the horn was put away.
    """
    about = trial.kept.about
    for player in store.players():
        for horn in store.horns(player.id):
            if horn.id == about.horn_id:
                found = find_horn(horn.name, player=player.name)
                return TrialHorn(own_horn(store, horn.name, player=player.name, catalogue=load_horn), found.horn)
    raise RequestError(
        "the horn of this trial was put away",
        got=f"trial {trial.short}",
        allowed="slurwright horn restore NAME, and then this",
    )


def horn_name_of(store: Store, trial: RunningTrial) -> str:
    """Say what the player calls the horn of a trial, even where it was put away.

    Args:
        store: what players keep.
        trial: the trial.
    """
    about = trial.kept.about
    horns = (*store.horns(about.player_id), *store.horns(about.player_id, deleted=True))
    return next((horn.name for horn in horns if horn.id == about.horn_id), about.model)


def block_meant(trial: RunningTrial, number: int | None) -> int:
    """Say with which block a page or a take begins: the one named, or the earliest that is not whole [blocks].

    Args:
        trial: as it stands.
        number: as the player counts, from 1; None where nothing was said.

    Raises:
        RequestError: there is no such block, or every block is played.
    """
    most = trial.design.rules.most_blocks
    if number is None:
        return next_block(trial)
    if number > most:
        raise RequestError("no such block", got=str(number), allowed=f"1 to {most}")
    return number - 1


def unlog_tries(store: Store, trial: RunningTrial, count: int) -> RunningTrial:
    """Take back what was logged by ear last.

    Args:
        store: what players keep.
        trial: as it stands.
        count: how many tries [tries].

    Raises:
        RequestError: there are not so many.
    """
    if count > len(trial.logged):
        raise RequestError("not so many tries were logged", got=str(count), allowed=f"up to {len(trial.logged)}")
    store.withdraw_attempts([one.id for one in trial.logged[-count:]], now=now())
    return _running(store, trial.kept)


def log_tries(store: Store, trial: RunningTrial, words: Sequence[str], *, played_on: date) -> RunningTrial:
    """Log by ear what became of the next tries, all of them or none.

    Args:
        store: what players keep.
        trial: as it stands.
        words: one a try, in the order of play.
        played_on: the day.

    Returns:
        The trial as it stands then.
    """
    attempts = logged_tries(trial, words, played_on=played_on, today=today())
    store.log_attempts(attempts, now=now())
    return _running(store, trial.kept)


def page_of_round(trial: RunningTrial, at: TrialHorn, block: int) -> RoundPage:
    """Lay a round out for the stand.

    Args:
        trial: the trial.
        at: its horn.
        block: its first block.
    """
    return round_page(
        trial.design,
        block,
        at.horn,
        title=page_title(trial, block),
        chances=load_chances(),
        familiarity=load_familiarity(),
    )


def check_round_page_name(out: Path) -> None:
    """Refuse an ending that says nothing, or a folder that is not there, before any work is done.

    Args:
        out: where the page is to be written.

    Raises:
        RequestError: it cannot be written so.
    """
    endings = (".pdf", ".svg", ".musicxml")
    faults = (*ending_faults((("a page of a trial", out, endings),)), *place_faults((out,)))
    if faults:
        raise RequestError(faults=faults)


def write_round_page(
    trial: RunningTrial, at: TrialHorn, block: int, out: Path, *, paper: str = "a4"
) -> tuple[Path, ...]:
    """Write a round for the stand: engraved, or as notation.

    Args:
        trial: the trial.
        at: its horn.
        block: its first block.
        out: where to.
        paper: the sheet.

    Returns:
        What was written.
    """
    page = page_of_round(trial, at, block)
    if out.suffix.lower() == ".musicxml":
        contents = {out: write_musicxml(page.study.part, fingerings=page.fingerings)}
    else:
        from slurwright.devices.engraver import engrave_pdf, engrave_svg  # noqa: PLC0415  only pages are drawn
        from slurwright.formats.pages.request import Paper  # noqa: PLC0415

        request = trial_page_request(trial, page, horn=at.own.owned.name, paper=Paper(paper))
        svg = out.suffix.lower() == ".svg"
        contents = numbered_files(out, engrave_svg(request)) if svg else {out: engrave_pdf(request)}
    write_files(contents)
    return tuple(contents)


@dataclass(frozen=True, slots=True)
class RoundWish:
    """What the player says of a take of a round."""

    block: int
    """The first block that was played."""
    played_on: date
    a4_hz: float
    sound: bool = False
    """The recording is kept too, not the figures alone."""
    celsius: float | None = None


def take_round(
    store: Store,
    trial: RunningTrial,
    at: TrialHorn,
    recording: Path,
    *,
    wish: RoundWish,
    tick: Callable[[float], None],
) -> tuple[RunningTrial, MeasuredFile]:
    """Measure a recording of a round, keep it, and count its tries.

    Args:
        store: what players keep.
        trial: as it stands.
        at: its horn.
        recording: the sound file.
        wish: what the player says of it.
        tick: told now and then how much is done, 0..1.
    """
    refuse_ended(trial)
    refuse_played(trial, wish.block)
    page = page_of_round(trial, at, wish.block)
    name = f"trial-{trial.short}-block-{wish.block + 1}.musicxml"
    part = StudiedFile(name, write_musicxml(page.study.part, fingerings=page.fingerings), "MusicXML", page.study)
    keep = KeepWish(
        at.own,
        wish.played_on,
        dynamic=trial.design.mark or None,
        sound=wish.sound,
        celsius=wish.celsius,
        remark=f"trial {trial.short}, {page_title(trial, wish.block)}",
    )
    request = replace(page.take, a4_hz=wish.a4_hz)
    measured = keep_and_measure(store, recording, part, request, wish=keep, tick=tick)
    if measured.kept is None:
        raise StoreError("the take was not kept", got=recording.name)
    store.add_trial_take(trial.kept.id, measured.kept.id, block=wish.block, now=now())
    return _running(store, trial.kept), measured


def link_take(store: Store, trial: RunningTrial, at: TrialHorn, kept: KeptTake, *, block: int) -> RunningTrial:
    """Count a take that is kept already as a round of a trial.

    Args:
        store: what players keep.
        trial: as it stands.
        at: its horn.
        kept: the take.
        block: the first block that it holds.

    Raises:
        RequestError: it is of another horn, another part, other blocks, or is not measured.
    """
    refuse_ended(trial)
    refuse_played(trial, block)
    page = page_of_round(trial, at, block)
    check_linked(trial, page, kept, store.measures_of(kept.id))
    store.add_trial_take(trial.kept.id, kept.id, block=block, now=now())
    return _running(store, trial.kept)


def _said(study: Study) -> tuple[str, ...]:
    return tuple(str(notice) for notice in study.notices)

"""A trial that is going on: what was tried, how it stands, what to play next, and what a player logs of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from slurwright.errors import RequestError
from slurwright.evidence.attempts import Tried
from slurwright.evidence.kept import EarAttempt, KeptTrial, LoggedAttempt
from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.evidence.trial.tries import RoundTake, arm_key, next_slots, tries_of
from slurwright.evidence.trial.values import Slot, Standing, TrialDesign
from slurwright.evidence.trial.verdict import standing_of
from slurwright.formats.trial_json import design_from_json
from slurwright.jobs.trial.block import RoundPage
from slurwright.jobs.tried import day_faults, heard_words
from slurwright.listen.kept import KeptMeasures, KeptTake
from slurwright.score.fingerprint import fingerprint

__all__ = [
    "RunningTrial",
    "check_linked",
    "logged_tries",
    "next_block",
    "refuse_ended",
    "refuse_played",
    "running_trial",
]


@dataclass(frozen=True, slots=True)
class RunningTrial:
    """A trial with everything that follows from it and its tries."""

    kept: KeptTrial
    design: TrialDesign
    standing: Standing
    logged: tuple[LoggedAttempt, ...]
    """What was logged by ear and stands, in the order in which it came."""
    takes: tuple[RoundTake, ...]

    @property
    def short(self) -> str:
        """Enough of its id to name it."""
        return self.kept.id[:8]

    @property
    def ahead(self) -> tuple[Slot, ...]:
        """What is to be played next, to the end of the round; none where every block is played."""
        return next_slots(self.design, self.standing.tries)


def running_trial(
    kept: KeptTrial, logged: Sequence[LoggedAttempt], takes: Sequence[RoundTake], *, beliefs: Beliefs
) -> RunningTrial:
    """Work out how a trial stands.

    Args:
        kept: the trial.
        logged: by ear, for this trial, in the order in which it came.
        takes: of its rounds.
        beliefs: how far an ear can be trusted.

    Raises:
        StoreError: its document cannot be read.
    """
    design = design_from_json(kept.about.document_json)
    standing = [one for one in logged if one.withdrawn_at is None]
    tries = tries_of(design, standing, takes, beliefs=beliefs)
    return RunningTrial(kept, design, standing_of(design, tries), tuple(standing), tuple(takes))


def refuse_ended(trial: RunningTrial) -> None:
    """Refuse to go on with a trial that the player has ended.

    Raises:
        RequestError: it was ended.
    """
    if trial.kept.ended_at is not None:
        raise RequestError(
            "this trial was ended",
            got=f"trial {trial.short}, on {trial.kept.ended_at.date().isoformat()}",
            allowed=f"slurwright trial reopen {trial.short}, and then this",
        )


def logged_tries(
    trial: RunningTrial, words: Sequence[str], *, played_on: date, today: date
) -> tuple[EarAttempt, ...]:
    """Read what became of the next tries of a trial, in the order in which they were to be played.

    Args:
        trial: as it stands.
        words: ``good``, ``rough`` or ``missed`` for each try.
        played_on: the day.
        today: the day it is.

    Raises:
        RequestError: the trial is ended, a word means nothing, there are more words than tries ahead, or the day is
            still to come.
    """
    refuse_ended(trial)
    heard = heard_words(words)
    ahead = trial.ahead
    if len(heard) > len(ahead):
        raise RequestError(
            "more words than tries are left in this round",
            got=f"{len(heard)} words",
            allowed=f"up to {len(ahead)}"
            if ahead
            else f"none: all {trial.design.rules.most_blocks} blocks are played",
        )
    faults = day_faults(played_on, today=today)
    if faults:
        raise RequestError(faults=faults)
    about, design = trial.kept.about, trial.design
    return tuple(
        EarAttempt(
            player_id=about.player_id,
            horn_id=about.horn_id,
            model=about.model,
            part=design.part,
            label=design.label,
            tried=_tried(design, slot.arm),
            heard=one,
            played_on=played_on,
            trial_id=trial.kept.id,
            arm=arm_key(slot.arm),
        )
        for slot, one in zip(ahead, heard, strict=False)
    )


def _tried(design: TrialDesign, arm: int) -> Tried:
    chosen = design.arms[arm]
    return Tried(
        ways=chosen.ways,
        technique=chosen.technique,
        dynamic=design.dynamic,
        tempo_qpm=design.tempo_qpm,
        time_s=design.time_s,
        hold_s=design.hold_s,
    )


def next_block(trial: RunningTrial) -> int:
    """Say with which block a page or a take begins: the earliest that is not whole [blocks].

    Raises:
        RequestError: every block is played.
    """
    ahead = trial.ahead
    if not ahead:
        raise RequestError(
            "every block of this trial is played",
            got=f"trial {trial.short}",
            allowed=f"slurwright trial show {trial.short}",
        )
    return ahead[0].block


def refuse_played(trial: RunningTrial, block: int) -> None:
    """Refuse a block that is none of the trial's, or that a take holds already.

    Args:
        trial: as it stands.
        block: the first block of a round that was played.

    Raises:
        RequestError: there is no such block, or a take holds it or one behind it in its round.
    """
    most, round_blocks = trial.design.rules.most_blocks, trial.design.round_blocks
    if not 0 <= block < most:
        raise RequestError("no such block", got=str(block + 1), allowed=f"1 to {most}")
    for take in trial.takes:
        if take.block // round_blocks == block // round_blocks:
            raise RequestError(
                "a take holds this round already",
                got=f"block {block + 1}",
                allowed=f"slurwright take remove {take.take_id[:8]}, and then this",
            )


def check_linked(trial: RunningTrial, page: RoundPage, kept: KeptTake, measures: KeptMeasures) -> None:
    """Refuse a kept take that is not of this round.

    Args:
        trial: the trial.
        page: the round.
        kept: the take.
        measures: what was measured in it.

    Raises:
        RequestError: it is of another horn, another part, or was played in another order.
    """
    got = f"take {kept.id[:8]}, of {kept.about.part.file}"
    if kept.about.horn_id != trial.kept.about.horn_id:
        raise RequestError("this take was played on another horn than the trial's", got=got)
    if kept.about.part.fingerprint != fingerprint(page.study.part):
        allowed = f"a take of `slurwright trial page {trial.short}`"
        raise RequestError("this take is of another part", got=got, allowed=allowed)
    for slur in measures.slurs:
        arm = trial.design.arms[page.slots[slur.asked[0] // 2].arm]
        if [way.fingering for way in slur.ways] != [way.fingering for way in arm.ways]:
            raise RequestError(
                "this take holds other blocks", got=got, allowed="--block with the first block that was on the page"
            )

"""A trial that is going on: what was tried, how it stands, what to play next, and what a player logs of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from slurwright.errors import RequestError
from slurwright.evidence.attempts import Tried
from slurwright.evidence.beliefs import Beliefs
from slurwright.evidence.kept import EarAttempt, KeptTrial, LoggedAttempt
from slurwright.evidence.trial import Slot, Standing, TrialDesign
from slurwright.evidence.trial_tries import RoundTake, arm_key, next_slots, tries_of
from slurwright.evidence.trial_verdict import standing_of
from slurwright.formats.trial_json import design_from_json
from slurwright.jobs.tried import heard_words

__all__ = ["RunningTrial", "logged_tries", "next_block", "refuse_ended", "running_trial"]


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
        logged: by ear, for this trial.
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
    if played_on > today:
        raise RequestError(
            "this day is still to come", got=played_on.isoformat(), allowed=f"until {today.isoformat()}"
        )
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

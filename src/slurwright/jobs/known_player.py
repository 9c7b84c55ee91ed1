"""A player as their kept attempts tell: gathered from takes and from what was logged by ear, learnt, and asked.

Whoever makes a study or a sheet for a player's own horn asks here for what the plan calls `Known`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Protocol

from slurwright.errors import HornError
from slurwright.evidence.attempts import Attempt
from slurwright.evidence.from_takes import attempt_of_log, attempts_of_takes
from slurwright.evidence.kept import LoggedAttempt
from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.horn import Horn
from slurwright.horn.owned import OwnedHorn
from slurwright.jobs.ports import Catalogue
from slurwright.listen.kept import PlayedSlur
from slurwright.plan import Chances
from slurwright.plan.known import Known
from slurwright.plan.study import LearntFrom

if TYPE_CHECKING:
    from slurwright.evidence.learning.learnt import Learnt

__all__ = ["KeptAttempts", "KnownPlayer", "LearntPlayer", "attempts_of", "horns_of", "known_on", "learn_player"]


class KeptAttempts(Protocol):
    """Where a player's attempts and horns are kept."""

    def horns(self, player_id: str) -> tuple[OwnedHorn, ...]:
        """List a player's horns."""
        ...

    def slurs_of(self, player_id: str) -> tuple[PlayedSlur, ...]:
        """List measured slurs of all takes that stand."""
        ...

    def attempts_of(self, player_id: str) -> tuple[LoggedAttempt, ...]:
        """List attempts that were logged by ear and stand."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class LearntPlayer:
    """What is learnt of a player, with the attempts that it is learnt from."""

    learnt: "Learnt"
    attempts: tuple[Attempt, ...]
    """All that stand, of all horns: takes first, then those that were logged."""
    horns: dict[str, Horn]
    """Those that were played, by the id that attempts name; each under that id."""


@dataclass(frozen=True, slots=True, eq=False)
class KnownPlayer:
    """A player on one horn, as a study asks for them."""

    known: Known
    learnt_from: LearntFrom
    notices: tuple[str, ...] = ()
    """What was left out or assumed in learning."""


def attempts_of(kept: KeptAttempts, player_id: str, *, beliefs: Beliefs) -> tuple[Attempt, ...]:
    """Gather all of a player's attempts that stand, on all of their horns.

    Args:
        kept: what players keep.
        player_id: whose.
        beliefs: how far an ear and a level can be trusted.
    """
    measured = attempts_of_takes(kept.slurs_of(player_id), beliefs=beliefs)
    return measured + tuple(attempt_of_log(one, beliefs=beliefs) for one in kept.attempts_of(player_id))


def horns_of(
    kept: KeptAttempts, player_id: str, attempts: Sequence[Attempt], *, catalogue: Catalogue
) -> dict[str, Horn]:
    """Find the horns that attempts were made on, each under the id that attempts name.

    Horns that were put away, and models that are gone from the catalogue, are left out.

    Args:
        kept: what players keep.
        player_id: whose.
        attempts: of that player.
        catalogue: where models come from.
    """
    owned = {one.id: one for one in kept.horns(player_id)}
    played = dict.fromkeys(attempt.horn for attempt in attempts)
    models = {one: (owned[one].model, owned[one].tuning) if one in owned else (one, None) for one in played}
    found = {}
    for horn_id, (model, tuning) in models.items():
        horn = _model(model, tuning, catalogue)
        if horn is not None:
            found[horn_id] = replace(horn, id=horn_id)
    return found


def _model(model: str, tuning: str | None, catalogue: Catalogue) -> Horn | None:
    try:
        return catalogue(model, tuning=tuning)
    except HornError:
        return None


def learn_player(
    kept: KeptAttempts,
    player_id: str,
    *,
    catalogue: Catalogue,
    chances: Chances,
    beliefs: Beliefs,
    today: date,
) -> LearntPlayer:
    """Learn a player from everything that they tried.

    Args:
        kept: what players keep.
        player_id: whose.
        catalogue: where models of horns come from.
        chances: the priors.
        beliefs: how players differ.
        today: what is learnt holds as of this day.
    """
    from slurwright.evidence.learning.learn import learn  # noqa: PLC0415  heavy, and without attempts not needed

    attempts = attempts_of(kept, player_id, beliefs=beliefs)
    horns = horns_of(kept, player_id, attempts, catalogue=catalogue)
    learnt = learn(attempts, horns, chances=chances, beliefs=beliefs, today=today)
    return LearntPlayer(learnt, attempts, horns)


def known_on(player: LearntPlayer, horn_id: str) -> KnownPlayer | None:
    """Give what a study on one of a player's horns asks for; None where there are no attempts to learn from.

    Args:
        player: what is learnt of them.
        horn_id: of their horn.
    """
    learnt = player.learnt
    if not learnt.attempts:
        return None
    return KnownPlayer(learnt.on(horn_id), LearntFrom(learnt.attempts, learnt.latest), learnt.notices)

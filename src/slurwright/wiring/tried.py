"""Attempts logged by ear: the part studied, the slur found, the log kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from slurwright.devices.clock import now, today
from slurwright.devices.packaged import load_chances
from slurwright.evidence.kept import LoggedAttempt
from slurwright.jobs.known_player import KnownPlayer
from slurwright.jobs.own_horn import player_for
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.tried import Logging, departing_words, ear_attempts
from slurwright.plan import Technique
from slurwright.store import Store
from slurwright.wiring.horns import FoundHorn
from slurwright.wiring.take import asked_part

__all__ = ["LogWish", "LoggedHere", "log_tries_by_ear"]


@dataclass(frozen=True, slots=True)
class LogWish:
    """What is to be logged."""

    where: str
    """The note that the slur leads from."""
    words: Sequence[str]
    """What was heard, attempt after attempt."""
    technique: Technique | None = None
    """How it was played; None as the plan has it."""
    played_on: date | None = None
    """None for today."""


@dataclass(frozen=True, slots=True)
class LoggedHere:
    """What was logged, and where it stands in the player's list."""

    attempts: tuple[LoggedAttempt, ...]
    first: int
    """Number of the first of them in the list, from 1."""
    notices: tuple[str, ...]


def log_tries_by_ear(
    store: Store,
    found: FoundHorn,
    file: Path | None,
    typed: str | None,
    request: StudyRequest,
    *,
    wish: LogWish,
    player: str | None,
    known: KnownPlayer | None = None,
) -> LoggedHere:
    """Log what became of a slur of a part, all attempts or none.

    Args:
        store: what players keep.
        found: the horn that was played.
        file: notation; None where it was typed.
        typed: a passage in ABC notation; None where there is a file.
        request: under which conditions it was played.
        wish: what is to be logged.
        player: whose, as typed; None for the only player.
        known: what is known of them; None leaves the priors.

    Raises:
        RequestError: there is no player yet, or a word means nothing; all faults at once.
    """
    owned = found.owned
    player_id = owned.player_id if owned is not None else player_for(store, player).id
    part = asked_part(file, typed, found.horn, request, player=known)
    attempts = ear_attempts(
        part.study,
        wish.where,
        wish.words,
        logging=Logging(player_id, owned.id if owned else None, wish.played_on or today(), part.name),
        chances=load_chances(),
        technique=wish.technique,
        today=today(),
    )
    kept = store.log_attempts(attempts, now=now())
    departs = departing_words(part.study, wish.where) if not request.pins else ()
    every = store.attempts_of(player_id, withdrawn=True)
    places = {one.id: number for number, one in enumerate(every, start=1)}
    return LoggedHere(kept, min(places[one.id] for one in kept), (*map(str, part.study.notices), *departs))

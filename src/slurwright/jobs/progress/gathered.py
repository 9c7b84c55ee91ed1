"""How a player got on: all of it, or one horn, one part, one slur, since a day."""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Protocol

from slurwright.errors import PitchError, RequestError
from slurwright.evidence.attempts import Attempt
from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.evidence.progress.table import ProgressTable
from slurwright.evidence.progress.values import Progress, SlurProgress
from slurwright.horn.owned import Player
from slurwright.jobs.known_player import KeptAttempts, learn_player
from slurwright.jobs.own_horn import player_for
from slurwright.jobs.ports import Catalogue, KeptHorns
from slurwright.jobs.tried import label_at, move_at
from slurwright.jobs.words import title_of
from slurwright.listen.kept import TakenNote
from slurwright.pitch import WrittenPitch
from slurwright.plan import Chances
from slurwright.plan.study import Study

__all__ = ["KeptProgress", "ProgressAnswer", "ProgressRequest", "progress_for"]


class KeptProgress(KeptHorns, KeptAttempts, Protocol):
    """Where a player's horns, attempts and notes are kept."""

    def notes_of(self, player_id: str, *, horn_id: str | None = None) -> tuple[TakenNote, ...]:
        """List measured notes of all takes that stand."""
        ...


@dataclass(frozen=True, slots=True)
class ProgressRequest:
    """What the player wants to be told of; all of it where nothing is said."""

    player: str | None = None
    horn: str | None = None
    """Name of a horn of their own, or id of a model on which attempts were logged."""
    since: date | None = None
    slur: str | None = None
    """Two notes as the player reads them, "F3 Bb3", or the place of one in the part, "12:3"."""
    study: Study | None = None
    """Of the part that is meant."""


@dataclass(frozen=True, slots=True, eq=False)
class ProgressAnswer:
    """How a player got on."""

    player: Player
    horns: Mapping[str, str]
    """Names of the horns that are told of, by their ids."""
    today: date
    since: date | None
    part: str
    """Title of the part that was meant; empty for all."""
    progress: Progress
    attempts: int
    """How many attempts are told of."""
    table: ProgressTable


def progress_for(
    kept: KeptProgress,
    request: ProgressRequest,
    *,
    catalogue: Catalogue,
    chances: Chances,
    beliefs: Beliefs,
    table: ProgressTable,
    today: date,
) -> ProgressAnswer:
    """Say how a player got on.

    Args:
        kept: what players keep.
        request: what is to be told of.
        catalogue: where models of horns come from.
        chances: priors of slurs.
        beliefs: how players differ.
        table: when something is said.
        today: the day it is.

    Raises:
        StoreError: there is no such player or horn.
        RequestError: it is not clear which player is meant, or which slur.
    """
    from slurwright.evidence.progress.tell import Told, progress_of  # noqa: PLC0415  heavy, and faults come first

    player = player_for(kept, request.player)
    if request.since is not None and request.since > today:
        allowed = f"until {today.isoformat()}, which is today"
        raise RequestError("this day is still to come", got=request.since.isoformat(), allowed=allowed)
    known = learn_player(kept, player.id, catalogue=catalogue, chances=chances, beliefs=beliefs, today=today)
    horn = _horn_id(kept, player, request.horn, {attempt.horn for attempt in known.attempts})
    wanted = _wanted(request, horn)
    attempts = [attempt for attempt in known.attempts if wanted.has(attempt)]
    if request.slur is not None and not attempts and known.attempts:
        raise RequestError("this slur was never tried", got=request.slur, allowed=_tried_slurs(known.attempts))
    notes = [] if request.slur is not None else _notes(kept, player, horn, request.study)
    told = progress_of(
        Told(attempts, notes, since=request.since), known.learnt, known.horns, table=table, today=today
    )
    names = {one.id: one.name for one in kept.horns(player.id)}
    ids = dict.fromkeys([slur.horn for slur in told.slurs] + [note.horn for note in told.notes])
    return ProgressAnswer(
        player=player,
        horns={one: names.get(one, one) for one in ids},
        today=today,
        since=request.since,
        part="" if request.study is None else title_of(request.study),
        progress=told if request.study is None else _placed(told, request.study),
        attempts=sum(slur.tried for slur in told.slurs),
        table=table,
    )


def _placed(told: Progress, study: Study) -> Progress:
    """Say of each slur where it stands first in the part that is meant, wherever it was tried."""
    places: dict[tuple[int, int], str] = {}
    for move in study.line.moves:
        if move.slurred:
            first, second = (study.line.sounds[sound].sounding.midi for sound in (move.source, move.target))
            places.setdefault((first, second), label_at(study, move.source))
    slurs = (replace(slur, label=places.get(_midis(slur), slur.label)) for slur in told.slurs)
    return replace(told, slurs=tuple(slurs))


def _midis(slur: SlurProgress) -> tuple[int, int]:
    first, second = slur.curves[0].ways
    return first.sounding.midi, second.sounding.midi


def _horn_id(kept: KeptProgress, player: Player, name: str | None, played: Container[str]) -> str | None:
    """Id of the horn that is meant: a player's own, or a model on which they logged attempts."""
    if name is None:
        return None
    own = [one.id for one in kept.horns(player.id) if one.name.casefold() == " ".join(name.split()).casefold()]
    if own:
        return own[0]
    return name if name in played else kept.horn_named(player.id, name).id


@dataclass(frozen=True, slots=True)
class _Wanted:
    """Which attempts are to be told of; None where any will do."""

    horn: str | None = None
    slurs: frozenset[tuple[int, int]] | None = None
    """Pairs of sounding pitches."""
    written: tuple[WrittenPitch, WrittenPitch] | None = None

    def has(self, attempt: Attempt) -> bool:
        """Say whether an attempt is among them."""
        first, second = attempt.tried.ways
        return (
            (self.horn is None or attempt.horn == self.horn)
            and (self.slurs is None or (first.sounding.midi, second.sounding.midi) in self.slurs)
            and (self.written is None or (first.written, second.written) == self.written)
        )


def _wanted(request: ProgressRequest, horn: str | None) -> _Wanted:
    study, slur = request.study, request.slur
    if study is None:
        return _Wanted(horn, written=None if slur is None else _written(slur))
    line = study.line
    moves = [move for move in line.moves if move.slurred]
    written = None
    if slur is not None and ":" in slur:
        moves = [line.moves[move_at(slur, study)]]
    elif slur is not None:
        written = _written(slur)
    ends = ((line.sounds[move.source], line.sounds[move.target]) for move in moves)
    return _Wanted(horn, frozenset((first.sounding.midi, second.sounding.midi) for first, second in ends), written)


def _written(slur: str) -> tuple[WrittenPitch, WrittenPitch]:
    words = slur.replace(" to ", " ").split()
    try:
        first, second = (WrittenPitch.named(word) for word in words)
    except (ValueError, PitchError):
        allowed = "two notes as you read them, such as 'F3 Bb3'; or 12:3 together with the part's FILE"
        raise RequestError("not a slur", got=repr(slur), allowed=allowed) from None
    return first, second


def _notes(kept: KeptProgress, player: Player, horn_id: str | None, study: Study | None) -> Sequence[TakenNote]:
    taken = kept.notes_of(player.id, horn_id=horn_id)
    if study is None:
        return taken
    sounding = {sound.sounding.midi for sound in study.line.sounds}
    return [one for one in taken if one.note.way.sounding.midi in sounding]


_SHOWN = 8
"""So many slurs are named in a message, and no more."""


def _tried_slurs(attempts: Iterable[Attempt]) -> str:
    names = dict.fromkeys(" ".join(str(way.written) for way in attempt.tried.ways) for attempt in attempts)
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return ", ".join(list(names)[:_SHOWN]) + more

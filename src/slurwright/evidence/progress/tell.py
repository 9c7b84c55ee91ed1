"""What got better, what did not, what is to be dropped, and what is too little known: slur by slur, note by note."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from slurwright.evidence.attempts import Attempt
from slurwright.evidence.learning.learnt import Learnt
from slurwright.evidence.progress.cells import MOST_TAKES
from slurwright.evidence.progress.notes import note_progress
from slurwright.evidence.progress.slurs import slur_progress
from slurwright.evidence.progress.table import ProgressTable
from slurwright.evidence.progress.tracks import Tracker
from slurwright.evidence.progress.values import NoteCurve, Progress, TakeOffset
from slurwright.horn import Horn
from slurwright.listen.kept import TakenNote

__all__ = ["Told", "progress_of"]


@dataclass(frozen=True, slots=True)
class Told:
    """What is to be told of, out of all that was played."""

    attempts: Sequence[Attempt]
    notes: Sequence[TakenNote]
    since: date | None = None
    """Nothing earlier is told of; None for all."""


def progress_of(
    told: Told, learnt: Learnt, horns: Mapping[str, Horn], *, table: ProgressTable, today: date
) -> Progress:
    """Say how every slur and every note went.

    Args:
        told: attempts and notes that are to be told of.
        learnt: the player, learnt from all of their attempts.
        horns: theirs, by the ids that attempts name.
        table: when something is said.
        today: no attempt counts as later.
    """
    slurs = slur_progress(
        told.attempts, horns, Tracker(learnt, horns), rules=table.slurs, today=today, since=told.since
    )
    by_horn: dict[str, list[TakenNote]] = defaultdict(list)
    for note in told.notes:
        if note.horn_id is not None and (told.since is None or note.played_on >= told.since):
            by_horn[note.horn_id].append(note)
    curves: list[NoteCurve] = []
    offsets: list[TakeOffset] = []
    notices = list(learnt.notices)
    for horn, taken in sorted(by_horn.items()):
        each, off = note_progress(taken, horn=horn, rules=table.notes)
        curves += each
        offsets += off
        takes = len({note.take_id for note in taken})
        if takes > MOST_TAKES:
            notices.append(f"the pitch of notes is told from the last {MOST_TAKES} of {takes} takes on one horn")
    return Progress(
        slurs, tuple(curves), tuple(sorted(offsets, key=lambda one: (one.day, one.take_id))), tuple(notices)
    )

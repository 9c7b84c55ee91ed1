"""Attempts logged by ear at the slurs of a studied part, as a player would have made them."""

from collections.abc import Sequence
from datetime import date

from slurwright.evidence.attempts import Ear, Tried
from slurwright.evidence.kept import EarAttempt
from slurwright.horn.owned import OwnedHorn
from slurwright.listen.kept import TakenWay
from slurwright.plan.study import Study

__all__ = ["tries_at"]


def tries_at(study: Study, owned: OwnedHorn, report: int, heard: Sequence[Ear], *, day: date) -> list[EarAttempt]:
    """Try a slur of a study as it is planned, once for each word of the ear.

    Args:
        study: of the part.
        owned: the horn that is played.
        report: which of the slurs.
        heard: what became of each try.
        day: on which it was.
    """
    move = study.reports[report].move
    here = study.line.moves[move]
    ways = []
    for sound in (here.source, here.target):
        way = study.plan.ways[sound]
        written = study.part.notes[study.line.sounds[sound].notes[0]].written
        ways.append(TakenWay(written, study.line.sounds[sound].sounding, way.fingering, way.partial))
    hold_s = study.line.sounds[here.target].duration_s
    tried = Tried((ways[0], ways[1]), study.plan.techniques[move], here.dynamic, 100.0, here.time_s, hold_s)
    return [EarAttempt(owned.player_id, owned.id, owned.model, None, "", tried, one, day) for one in heard]

"""One chance at a time: the same formulas as for whole lines, asked about a single note or change."""

from collections.abc import Sequence

import numpy as np

from slurwright.horn import Horn
from slurwright.pitch import SoundingPitch
from slurwright.plan.chances import Chances
from slurwright.plan.fingers import chances_at_hand, finger_chances
from slurwright.plan.intune import chances_in_tune
from slurwright.plan.known import Known
from slurwright.plan.pricing import LEAST_S
from slurwright.plan.speaking import known_break_risks, possible, tongued_as_usual
from slurwright.plan.transition import Changes, Circumstances, WayTable, changes_between, table_of_ways
from slurwright.plan.values import Technique
from slurwright.plan.ways import Way
from slurwright.score import Line, Move, Sound

__all__ = [
    "chance_at_start",
    "chance_fingers",
    "chance_in_tune",
    "chance_speaks",
    "chances_of_hand",
    "usual_technique",
]

_FIRST = np.zeros(1, dtype=np.int64)
_SECOND = np.ones(1, dtype=np.int64)


def chance_in_tune(way: Way, sound: Sound, horn: Horn, *, chances: Chances) -> float:
    """Chance that a note is in tune enough and sounds even on a way, played once [1].

    Args:
        way: how it is played.
        sound: the note.
        horn: the instrument.
        chances: the priors.

    """
    table = table_of_ways([(sound.sounding.midi, [way])], horn)
    duration_s = np.array([max(LEAST_S, sound.duration_s)])
    return float(chances_in_tune(table, _FIRST, duration_s, tune=chances.tune)[0])


def chance_at_start(way: Way, sound: Sound, horn: Horn, *, chances: Chances, known: Known | None = None) -> float:
    """Chance that a player has a way at hand for a note that no move leads to [1].

    Args:
        way: how it is played.
        sound: the note.
        horn: the instrument.
        chances: the priors.
        known: what is known of the player beyond the priors; None leaves these.

    """
    return float(chances_of_hand(sound.sounding, [way], horn, chances=chances, known=known)[0])


def chances_of_hand(
    sounding: SoundingPitch, ways: Sequence[Way], horn: Horn, *, chances: Chances, known: Known | None = None
) -> tuple[float, ...]:
    """Chance that a player has each way of a note at their fingers' command when it comes [1].

    Args:
        sounding: the note.
        ways: any of its ways.
        horn: the instrument.
        chances: the priors.
        known: what is known of the player beyond the priors; None leaves these.

    """
    table = table_of_ways([(sounding.midi, ways)], horn)
    rows = np.arange(len(ways))
    return tuple(chances_at_hand(table, rows, fingers=chances.fingers, known=known).tolist())


def chance_speaks(
    ways: tuple[Way, Way],
    move: int,
    line: Line,
    horn: Horn,
    *,
    technique: Technique,
    chances: Chances,
    known: Known | None = None,
) -> float:
    """Chance that a slur speaks cleanly, made once; its complement is the break risk [1].

    Args:
        ways: how its two notes are played.
        move: which move of the line.
        line: the sounds and moves.
        horn: the instrument.
        technique: how the slur is made.
        chances: the priors.
        known: what is known of the player beyond the priors; None leaves these.

    """
    table, changes = _single(ways, line.moves[move], line, horn, chances)
    slurred = np.ones(1, dtype=np.bool_)
    risks = known_break_risks(table, changes, technique, slurred=slurred, chances=chances, known=known)
    return 1.0 - float(risks[0])


def chance_fingers(
    ways: tuple[Way, Way],
    move: int,
    line: Line,
    horn: Horn,
    *,
    technique: Technique,
    chances: Chances,
    known: Known | None = None,
) -> float:
    """Chance that fingers (or slide) make a move and its technique comes as meant; 0 if it cannot be played so [1].

    Args:
        ways: how its two notes are played.
        move: which move of the line.
        line: the sounds and moves.
        horn: the instrument.
        technique: how the move is made.
        chances: the priors.
        known: what is known of the player beyond the priors; None leaves these.

    """
    table, changes = _single(ways, line.moves[move], line, horn, chances)
    if not possible(changes, technique, slide=table.slide)[0]:
        return 0.0
    return float(finger_chances(table, changes, technique, chances=chances, known=known)[0])


def usual_technique(ways: tuple[Way, Way], move: Move, horn: Horn, *, chances: Chances) -> Technique:
    """Say how a move is made as a matter of course: plain, but with a legato tongue where a slide would smear.

    Args:
        ways: how its two notes are played.
        move: the move.
        horn: the instrument.
        chances: the priors.

    """
    table = table_of_ways([(0, ways)], horn)
    around = Circumstances(*(np.ones(1),) * 3)
    changes = changes_between(table, _FIRST, _SECOND, around=around, same_place_m=chances.slide.same_place_m)
    tongued = move.slurred and bool(tongued_as_usual(changes, slide=table.slide)[0])
    return Technique.LEGATO_TONGUE if tongued else Technique.PLAIN


def _single(ways: tuple[Way, Way], move: Move, line: Line, horn: Horn, chances: Chances) -> tuple[WayTable, Changes]:
    """Lay one change out as arrays of length 1."""
    source, target = line.sounds[move.source], line.sounds[move.target]
    table = table_of_ways([(source.sounding.midi, [ways[0]]), (target.sounding.midi, [ways[1]])], horn)
    around = Circumstances(
        dynamic=np.array([move.dynamic]),
        time_s=np.array([max(LEAST_S, move.time_s)]),
        hold_s=np.array([max(LEAST_S, target.duration_s)]),
    )
    changes = changes_between(table, _FIRST, _SECOND, around=around, same_place_m=chances.slide.same_place_m)
    return table, changes

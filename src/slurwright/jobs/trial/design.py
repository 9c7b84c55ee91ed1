"""Laying a trial down: which slur, which ways to play it, under which conditions.

The first arm is the normal fingering of both notes, even where the plan leaves it, unless the player pins another:
what is taught first is what anything else must be better than.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slurwright.errors import RequestError
from slurwright.evidence.trial.values import Aspect, TrialDesign, TrialRules
from slurwright.jobs.places import pins_from
from slurwright.jobs.trial.arms import chosen_arms
from slurwright.jobs.tried import label_at, part_tried, tried_at
from slurwright.jobs.words import percent
from slurwright.plan import Chances
from slurwright.plan.study import Study
from slurwright.score.dynamics import mark_of_level

__all__ = ["TrialWish", "design_trial", "normal_pins", "said_of_slur"]


@dataclass(frozen=True, slots=True)
class TrialWish:
    """What the player asks of a trial, in their own words."""

    chosen: tuple[str, ...] = ()
    """Beside the slur as it stands: numbers or names of choices, techniques, or fingerings as pins; empty for the one
    that promises most."""
    aim: Aspect = Aspect.SPEAKING
    seed: int = 0
    dynamic: str | None = None
    """Mark that is asked for throughout; None for the part's own."""
    worth_chance: float | None = None
    worth_smoothness: float | None = None
    worth_cents: float | None = None
    """Differences that are worth having; None for the usual ones [1, 1, cents]."""
    most_blocks: int | None = None


def normal_pins(study: Study, move: int, pins: Sequence[str]) -> tuple[str, ...]:
    """Say which pins put the two notes of a slur on their normal fingerings, where the plan leaves them.

    Args:
        study: of the part.
        move: index into ``Line.moves``.
        pins: what the player has pinned, which stays.
    """
    held = pins_from(pins, study.part, study.line, study.reading)
    asked = study.line.moves[move]
    found = []
    for sound in (asked.source, asked.target):
        normal = next((way for way in study.ways[sound] if way.normal), None)
        if sound not in held and normal is not None and not study.plan.ways[sound].normal:
            found.append(f"{label_at(study, sound)}={normal.fingering}")
    return tuple(found)


def said_of_slur(study: Study, move: int, *, chances: Chances) -> tuple[str, ...]:
    """Say what is to be known before a trial of a slur is worth the playing.

    Args:
        study: of the part.
        move: index into ``Line.moves``.
        chances: say from where a slur is weak.
    """
    risk = next((report.break_risk for report in study.reports if report.move == move), 0.0)
    if risk > chances.weak_above:
        return ()
    return (f"this slur is not weak: it breaks {percent(risk)} as it stands, so that there is little to gain",)


def design_trial(
    study: Study, move: int, wish: TrialWish, *, file: str, rules: TrialRules, chances: Chances
) -> TrialDesign:
    """Lay a trial down.

    Args:
        study: of the part under the conditions asked for, with every slur's choices told.
        move: index into ``Line.moves``.
        wish: what the player asks.
        file: name of the notation file.
        rules: how it is judged, where the player says nothing else.
        chances: priors of slurs and fingers.

    Raises:
        RequestError: an arm means nothing, cannot be played, or is there twice; or there is nothing to compare.
    """
    tried = tried_at(study, move, chances=chances)
    source = study.line.moves[move].source
    note = study.part.notes[study.line.sounds[source].notes[0]]
    measure = study.part.measure_of(note)
    return TrialDesign(
        part=part_tried(study, file=file),
        label=label_at(study, source),
        clef=measure.clef,
        transposition=measure.transposition,
        key_fifths=measure.key.fifths,
        mark=wish.dynamic or mark_of_level(tried.dynamic),
        dynamic=tried.dynamic,
        tempo_qpm=tried.tempo_qpm,
        time_s=tried.time_s,
        hold_s=tried.hold_s,
        arms=chosen_arms(study, move, wish.chosen, chances=chances),
        aim=wish.aim,
        seed=wish.seed,
        rules=_rules(rules, wish),
    )


def _rules(rules: TrialRules, wish: TrialWish) -> TrialRules:
    rules = replace(
        rules,
        worth_chance=rules.worth_chance if wish.worth_chance is None else wish.worth_chance,
        worth_smoothness=rules.worth_smoothness if wish.worth_smoothness is None else wish.worth_smoothness,
        worth_cents=rules.worth_cents if wish.worth_cents is None else wish.worth_cents,
        most_blocks=rules.most_blocks if wish.most_blocks is None else wish.most_blocks,
    )
    if rules.most_blocks < rules.least_blocks:
        raise RequestError(
            "so few blocks tell nothing", got=str(rules.most_blocks), allowed=f"{rules.least_blocks} or more"
        )
    return rules

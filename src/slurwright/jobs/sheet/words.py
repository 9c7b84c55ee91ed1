"""A practice sheet in words: what each item is called, how it is played, and what the whole is for."""

from collections.abc import Collection
from fractions import Fraction

from slurwright.evidence.attempts import Tried
from slurwright.jobs.learnt_words import risk_text
from slurwright.jobs.words import beat_text, clock_text, percent, slips_text
from slurwright.plan import Technique
from slurwright.plan.values import LearntRisk
from slurwright.practice.exercise.score import tempo_text, whole_tempo
from slurwright.practice.sheet.targets import Target
from slurwright.practice.sheet.values import ItemKind, KeptPlan, Sheet, SheetItem
from slurwright.score import TimeSignature
from slurwright.score.dynamics import mark_of_level

__all__ = [
    "coming_words",
    "item_how",
    "item_title",
    "left_times",
    "metre_of",
    "place_words",
    "played_how",
    "rest_words",
    "risk_words",
    "sheet_aim",
    "sheet_times",
    "target_place",
]

_STAND_S = 60.0
_MOST_NAMED = 1
_SAID_AS_SLIPS = 0.1
"""Where it is hardly likely that all goes well, how much goes wrong tells more (ours) [1]."""


def item_title(plan: KeptPlan, item: SheetItem) -> str:
    """Say what an item is: "F3 to Bb3 (bar 12:3)".

    Args:
        plan: the sheet with its parts.
        item: one of its items.
    """
    if item.target is None:
        return {ItemKind.WARM_UP: "Warm-up", ItemKind.LIP_SLURS: "Daily lip slurs"}.get(item.kind, "Rest")
    target = plan.sheet.targets[item.target]
    slur = f"{target.names[0]} to {target.names[1]}"
    return {
        ItemKind.EASE: f"{slur}, made easy",
        ItemKind.SLUR: slur,
        ItemKind.RESCUE: f"{slur}, rescue",
        ItemKind.PASSAGE: f"{slur} in its passage",
    }[item.kind]


def target_place(plan: KeptPlan, target: Target) -> str:
    """Say where a slur stands: "bar 12, beat 3 of Lanterns on Weir Street".

    Args:
        plan: the sheet with its parts.
        target: one of its slurs.
    """
    several = len(plan.parts) > _MOST_NAMED
    whose = f" of {plan.parts[target.part].name}" if several and target.part < len(plan.parts) else ""
    return f"{place_words(target.label)}{whose}"


def place_words(label: str) -> str:
    """Say a place as a player does: "bar 19, beat 2.5".

    Args:
        label: as a pin takes it, "19:5/2".
    """
    bar, colon, beat = label.rpartition(":")
    try:
        return f"bar {bar}, beat {beat_text(Fraction(beat))}" if colon else label
    except ValueError:
        return label


def item_how(plan: KeptPlan, item: SheetItem) -> str:
    """Say how an item is played, in one line.

    Args:
        plan: the sheet with its parts.
        item: one of its items.
    """
    if item.kind is ItemKind.WARM_UP:
        return "long easy notes in the middle of the range, mp; rest as long after each"
    if item.kind is ItemKind.LIP_SLURS:
        return "slow and even, mf, from the middle of the range outwards; rest as long after each"
    if item.target is None or item.tried is None:
        return "horn off the lips"
    target = plan.sheet.targets[item.target]
    how = played_how(item.tried, target)
    if item.kind is ItemKind.PASSAGE:
        times = "once" if item.tries == 1 else f"{item.tries} times"
        bars = target.bars or f"the bars around {target.label}"
        rest = "" if item.tries == 1 else ", a rest after each"
        return f"{times} {bars}, {how}{rest}"
    sets = "" if item.tries <= item.set_tries else f", a rest after every {item.set_tries}"
    tries = f"{item.tries} {'try' if item.tries == 1 else 'tries'}{sets}"
    return f"{tries}; {_fingers(item)}; {how}"


def metre_of(target: Target) -> TimeSignature:
    """Give a metre in which a slur is counted as its part counts it.

    Args:
        target: the slur.
    """
    return TimeSignature(6, 8) if target.dotted else TimeSignature(4, 4)


def played_how(tried: Tried, target: Target) -> str:
    """Say how loud and fast a slur is played: "pp, dotted quarter = 52".

    Args:
        tried: as it is tried.
        target: the slur.
    """
    metre = metre_of(target)
    return f"{mark_of_level(tried.dynamic)}, {tempo_text(whole_tempo(tried.tempo_qpm, metre), metre)}"


def _fingers(item: SheetItem) -> str:
    """How the two notes are fingered, and with which technique: "0 to 0, legato tongue"."""
    if item.tried is None:
        return ""
    first, second = (way.fingering for way in item.tried.ways)
    technique = item.tried.technique
    added = "" if technique is Technique.PLAIN else f", {technique.said}"
    return f"{first} to {second}{added}"


def rest_words(item: SheetItem) -> str:
    """Say a rest: "rest 45 s".

    Args:
        item: the rest.
    """
    down = ", the horn out of your hands" if item.rest_s >= _STAND_S else ""
    return f"rest {clock_text(item.rest_s)}{down}"


def risk_words(target: Target) -> str:
    """Say how likely a slur breaks, and what that rests on.

    Args:
        target: the slur.
    """
    learnt = LearntRisk(
        risk=target.risk, prior=target.prior, low=target.low, high=target.high, attempts=target.attempts
    )
    return risk_text(target.risk, learnt)


def sheet_times(sheet: Sheet) -> str:
    """Say how long is played and rested.

    Args:
        sheet: the sheet.
    """
    total = clock_text(sheet.play_s + sheet.rest_s + sheet.settle_s)
    places = f", {clock_text(sheet.settle_s)} to find the places" if sheet.settle_s else ""
    return f"{total}: {clock_text(sheet.play_s)} of playing, {clock_text(sheet.rest_s)} of rest{places}"


def left_times(sheet: Sheet, left: Collection[int]) -> str:
    """Say how long what is left takes, and how long all of it does: "12 min left of 30 min".

    Args:
        sheet: the sheet.
        left: indices of the work that is left.
    """
    items = sheet.items
    rests = [index + 1 for index in left if index + 1 < len(items) and items[index + 1].kind is ItemKind.REST]
    lasts_s = sum(items[index].lasts_s for index in (*left, *rests))
    whole_s = sheet.play_s + sheet.rest_s + sheet.settle_s
    return f"{clock_text(lasts_s)} left of {clock_text(whole_s)}, rests counted"


def sheet_aim(sheet: Sheet) -> str:
    """Say what the sheet is expected to do; empty where there is nothing to gain.

    Args:
        sheet: the sheet.
    """
    if not sheet.targets:
        return ""
    day = "at the concert" if sheet.concert else "in a week"
    which = f"all {sheet.considered} slurs" if sheet.considered > 1 else "the slur"
    if sheet.after < _SAID_AS_SLIPS:
        return (
            f"Slips to expect {day} in the {sheet.considered} slurs to practise in these parts: "
            f"{slips_text(sheet.before)} without these tries, {slips_text(sheet.after)} with them (by the model of "
            "practice, provisional)."
        )
    return (
        f"Chance that {which} to practise in these parts will speak {day}: {_tenths(sheet.before)} without these "
        f"tries, {_tenths(sheet.after)} with them (by the model of practice, provisional)."
    )


def _tenths(chance: float) -> str:
    """A small chance to a tenth of a percent, so that a day's work can be seen."""
    return f"{100.0 * chance:.1f} %" if 0.0005 <= chance < 0.0995 else percent(chance)


def coming_words(sheet: Sheet) -> tuple[str, ...]:
    """Say of slurs that hold when they come back, a line each.

    Args:
        sheet: the sheet.
    """
    return tuple(
        f"{one.names[0]} to {one.names[1]} ({place_words(one.label)}) holds; it comes back on {one.due.isoformat()}"
        for one in sheet.coming
    )

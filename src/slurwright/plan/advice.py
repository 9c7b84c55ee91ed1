"""How choices at a slur are said: what the fingers do, why it helps, and what to practise first."""

from slurwright.plan.values import SlurKind, Technique
from slurwright.plan.ways import Way

__all__ = [
    "advice_for",
    "fingers_said",
    "place_said",
    "refingering_why",
    "technique_fingers",
    "technique_why",
]

_SAME_PITCH_CENTS = 3.0
"""Closer than this, two ways are said to be at one pitch (ours) [cents]."""
_CLEAR_CENTS = 0.5
_ORDINALS = {1: "1st", 2: "2nd", 3: "3rd"}


def place_said(way: Way) -> str:
    """Name a fingering, or a place of the slide."""
    position = way.setting.slide_position
    if position is None:
        return way.fingering
    side = way.setting.side
    whole = int(way.fingering.removeprefix(side))
    return f"{side + ' ' if side else ''}{_ORDINALS.get(whole, f'{whole}th')} position"


def fingers_said(
    planned: tuple[Way, Way], tried: tuple[Way, Way], names: tuple[str, str], *, held: tuple[bool, bool]
) -> str:
    """Say what other fingerings ask of the fingers: "4 instead of 0 on F3, then release 4".

    Args:
        planned: the two ways as planned.
        tried: the two ways of the choice.
        names: the two notes as the player reads them.
        held: which of the two stay as planned.

    """
    changed = [
        f"{place_said(new)} instead of {place_said(old)} on {name}"
        for old, new, name, same in zip(planned, tried, names, held, strict=True)
        if not same
    ]
    return (
        f"{' and '.join(changed)}, then {_movement(*tried)}"
        if held[1]
        else f"{' and '.join(changed)}: {_movement(*tried)}"
    )


def _movement(first: Way, second: Way) -> str:
    """Say what moves from one way to the next."""
    before, after = first.setting, second.setting
    parts = []
    released, pressed = before.pressed - after.pressed, after.pressed - before.pressed
    if released:
        parts.append(f"release {_valves_said(released)}")
    if pressed:
        parts.append(f"press {_valves_said(pressed)}")
    moved_cm = 100.0 * (after.slide_m - before.slide_m)
    if abs(moved_cm) >= 1.0:
        parts.append(f"slide {abs(moved_cm):.0f} cm {'out' if moved_cm > 0 else 'in'}")
    return " and ".join(parts) or "hold it"


def _valves_said(names: frozenset[str]) -> str:
    """Join valves as fingerings do, thumbs first: "T1-2"."""
    thumbs = sorted(name for name in names if name.startswith("T"))
    return "".join(thumbs) + "-".join(sorted(names - set(thumbs)))


def technique_fingers(technique: Technique, first: Way, second: Way) -> str:
    """Say what a technique asks of tongue and fingers.

    Args:
        technique: how the slur is made.
        first: way of the first note.
        second: way of the second.

    """
    if technique is Technique.LEGATO_TONGUE:
        what = "fingers" if first.setting.slide_position is None else "slide"
        return f"{what} as planned; the tongue barely touches the air, as in a soft d"
    if technique is Technique.HALF_VALVE:
        valve = _nearest_valve(first)
        return (
            f"dip {valve} part of the way down and up again as the lips change"
            if valve
            else "dip a valve part of the way"
        )
    return "nothing new" if first.setting == second.setting else _movement(first, second)


def _nearest_valve(way: Way) -> str:
    """Name the valve to dip: the first that is up, or else the first that is down."""
    pressed = way.setting.pressed
    for name in ("1", "2", "3"):
        if name not in pressed:
            return name
    return min(pressed, default="")


def technique_why(technique: Technique, kind: SlurKind, direction: str, *, slide: bool = False) -> str:
    """Say in one sentence what a technique does for a slur.

    Args:
        technique: how the slur is made.
        kind: what changes in the slur.
        direction: "up", "down" or "same".
        slide: True on a hand slide.

    """
    if technique is Technique.LEGATO_TONGUE:
        if direction == "down":
            return "The touch starts the lower note cleanly, but is awkward going down."
        return "The touch starts the upper note cleanly; it helps most going up."
    if technique is Technique.HALF_VALVE:
        return "The moving valve covers the break, up and down alike."
    return {
        SlurKind.LIP: "The lips alone change partial; nothing covers the break.",
        SlurKind.VALVE: "The partial stays.",
        SlurKind.BOTH: f"Lips and {'slide' if slide else 'fingers'} change together.",
    }[kind]


def refingering_why(
    planned: tuple[Way, Way], tried: tuple[Way, Way], names: tuple[str, str], *, kind: SlurKind
) -> str:
    """Say in one sentence why another fingering helps and what it costs.

    Args:
        planned: the two ways as planned.
        tried: the two ways of the choice.
        names: the two notes as the player reads them.
        kind: what changes in the slur when it is fingered so.

    """
    slide = tried[0].setting.slide_position is not None
    helps = {
        SlurKind.VALVE: f"Both notes lie on partial {tried[0].partial}, so that "
        + ("the tongue can part them without a break" if slide else "it becomes a valve slur"),
        SlurKind.BOTH: f"The {'slide moves' if slide else 'valves move'} as the lips change and "
        f"{'covers' if slide else 'cover'} the break",
        SlurKind.LIP: f"The lips cross from partial {tried[0].partial} to {tried[1].partial} instead",
    }[kind]
    costs = [
        _pitch_said(old, new, name)
        for old, new, name in zip(planned, tried, names, strict=True)
        if (old.fingering, old.partial) != (new.fingering, new.partial)
    ]
    return f"{helps}; {' and '.join(costs)}."


def _pitch_said(old: Way, new: Way, name: str) -> str:
    """Compare a stand-in with what it stands for."""
    apart = new.cents - old.cents
    if abs(apart) < _SAME_PITCH_CENTS:
        pitch = f"{name} keeps its pitch"
    else:
        pitch = f"{name} is {abs(apart):.0f} cents {'higher' if apart > 0 else 'lower'} ({_off(new.cents)})"
    if new.setting.ratio > old.setting.ratio * 1.01:
        return f"{pitch} and sounds of the longer tube"
    return pitch


def _off(cents: float) -> str:
    if abs(cents) < _CLEAR_CENTS:
        return "in tune"
    return f"{abs(cents):.0f} {'sharp' if cents > 0 else 'flat'}"


def advice_for(kind: SlurKind, direction: str, *, slide: bool) -> str:
    """Say what to practise first at a weak slur; a rescue comes second.

    Args:
        kind: what changes in the slur.
        direction: "up", "down" or "same".
        slide: True on a hand slide.

    """
    if kind is SlurKind.VALVE:
        if slide:
            return (
                "First practise the legato tongue here: steady air, a quick slide, the softest touch as it arrives."
            )
        return "First practise it slowly with the normal fingering: steady air, fingers quick and together."
    goal = "keep the air moving as the lips let go" if direction == "down" else "let the air lead and the lips follow"
    what = "a lip slur" if kind is SlurKind.LIP else "a slur without help from the tongue"
    return (
        f"First practise the normal {'position' if slide else 'fingering'} daily as {what}, soft and slow: {goal}. "
        "Keep a rescue for the day when it does not hold."
    )

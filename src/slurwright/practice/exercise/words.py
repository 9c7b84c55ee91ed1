"""What is said of each exercise: a title, what it is good for, how to play it. Trade words, and the plan's own."""

from collections.abc import Sequence

from slurwright.plan import Technique, Way
from slurwright.practice.exercise.aim import Aim, names_of
from slurwright.practice.exercise.rungs import Stand

__all__ = [
    "around_words",
    "at_tempo_words",
    "chain_words",
    "daily_words",
    "passage_words",
    "rung_title",
    "rung_words",
    "soft_words",
    "two_words",
]

Words = tuple[str, str]
"""What an exercise is good for, and how to play it."""


def rung_title(aim: Aim) -> str:
    """Name exercises on the partials of a slur by its two notes: "Lip slurs for F3 to Bb3"."""
    if _stays(aim):
        return f"{'Legato' if _tongued(aim) else 'Valve slurs'} for {aim.names}"
    return f"Lip slurs for {aim.names}"


def rung_words(aim: Aim, stations: Sequence[Sequence[Stand]]) -> Words:
    """Say it of slow slurs over the chain."""
    if _stays(aim):
        what = "positions" if _tongued(aim) else "fingerings"
        return f"The slur's own two {what}, on its partial first and then on the neighbours.", _turn(aim)
    low, high = aim.partials
    purpose = f"The slur's own partials, {low} and {high}, on {chain_words(stations)}."
    return purpose, f"Slow and full. {_turn(aim)} Breathe in each rest."


def around_words(partials: Sequence[int]) -> Words:
    """Say it of slurs that take the neighbouring rungs in."""
    purpose = f"The same step between its neighbours: partials {partials[0]} to {partials[-1]}."
    return purpose, "Even steps, every note as full as the last; the air goes on through the turn."


def soft_words(aim: Aim) -> Words:
    """Say it of soft slurs with swells."""
    if _stays(aim):
        purpose = "As soft as the part asks, as quick as the slur itself, with a swell."
        return purpose, "Swell and fade with the air alone. Where it blurs, take it slower, not louder."
    purpose = "As soft as the part asks, as quick as the slur itself where the lips can follow, with a swell."
    return purpose, "Swell and fade with the air alone. Where a slur breaks, take it slower, not louder."


def two_words(aim: Aim) -> Words:
    """Say it of the slur alone, slowly."""
    what = "fingering" if _is_valved(aim.pair.ways[0]) else "position"
    normal = f"normal {what}" if all(way.normal for way in aim.pair.ways) else f"usual {what}"
    alike = aim.pair.ways[0].fingering == aim.pair.ways[1].fingering
    purpose = f"The slur itself on the {normal}{'' if alike else 's'} ({names_of(aim.pair.ways)}), slowly."
    return purpose, f"{_turn(aim)} Listen for the middle of the slur."


def at_tempo_words() -> Words:
    """Say it of the slur alone, as the part has it."""
    return "The same at the part's tempo and dynamic.", "Only when the slow one has held several times running."


def passage_words(bars: str, *, slowly: bool) -> Words:
    """Say it of the bars around the slur."""
    if slowly:
        return f"The slur where it stands: {bars}, as marked, slowly.", "Hear the slur before you play it."
    return (
        f"The slur where it stands: {bars}, as marked, at tempo.",
        "Go on even if it breaks; count how often it holds.",
    )


def daily_words(partials: Sequence[int], chain: str) -> Words:
    """Say it of the lip slurs of a day."""
    said = f"{partials[0]} and {partials[1]}" if len(partials) == 2 else f"{partials[0]} to {partials[-1]}"
    return f"Partials {said} on {chain}.", "Air first, lips follow, no pressure from the hand. Breathe in each rest."


def _tongued(aim: Aim) -> bool:
    return aim.technique is Technique.LEGATO_TONGUE


def _stays(aim: Aim) -> bool:
    return aim.partials[0] == aim.partials[1]


def chain_words(stations: Sequence[Sequence[Stand]]) -> str:
    """Say over which fingerings or positions a pattern is carried: "fingerings 0 to 2-4", "positions 1 to 7"."""
    first, last = stations[0][0].way, stations[-1][0].way
    what = "fingering" if _is_valved(first) else "position"
    if first.fingering == last.fingering:
        return f"{what} {first.fingering}"
    return f"{what}s {first.fingering} to {last.fingering}"


def _is_valved(way: Way) -> bool:
    return way.setting.slide_position is None


def _turn(aim: Aim) -> str:
    """Say what matters at the turn from one note to the other."""
    if _tongued(aim):
        return "Steady air, a quick slide, the softest touch of the tongue as it arrives."
    if _stays(aim):
        return "Steady air; fingers quick and together."
    return "Let the air lead and the lips follow." if aim.up else "Keep the air moving as the lips let go."

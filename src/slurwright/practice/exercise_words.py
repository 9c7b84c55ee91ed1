"""What is said of each exercise: a title, what it is good for, how to play it. Trade words, and the plan's own."""

from collections.abc import Sequence

from slurwright.plan import Technique
from slurwright.plan.advice import place_said
from slurwright.practice.exercise_aim import Aim, names_of
from slurwright.practice.exercise_rungs import Stand

__all__ = [
    "around_words",
    "at_tempo_words",
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
    if aim.partials[0] == aim.partials[1]:
        return f"{'Legato' if _tongued(aim) else 'Valve slurs'} for {aim.names}"
    return f"Lip slurs for {aim.names}"


def rung_words(aim: Aim, stations: Sequence[Sequence[Stand]]) -> Words:
    """Say it of slow slurs over the chain."""
    if aim.partials[0] == aim.partials[1]:
        what = "places of the slide" if _tongued(aim) else "fingerings"
        purpose = f"The two {what} of the slur, on its own partial first and then on its neighbours."
        return purpose, _tongued_how() if _tongued(aim) else "Steady air; fingers quick and together."
    chain = f"{place_said(stations[0][0].way)} to {place_said(stations[-1][0].way)}"
    low, high = aim.partials
    purpose = f"The slur's own partials, {low} and {high}, on every {_place(aim)} from {chain}."
    return purpose, f"Slow and full. {_air(aim)} Breathe in each rest."


def around_words(partials: Sequence[int]) -> Words:
    """Say it of slurs that take the neighbouring rungs in."""
    purpose = f"The same step between its neighbours: partials {partials[0]} to {partials[-1]}."
    return purpose, "Even steps, every note as full as the last; the air goes on through the turn."


def soft_words() -> Words:
    """Say it of soft slurs with swells."""
    purpose = "As soft as the part asks, as quick as the slur itself where the lips can follow, with a swell."
    return purpose, "Swell and fade with the air alone. Where a slur breaks, take it slower, not louder."


def two_words(aim: Aim) -> Words:
    """Say it of the slur alone, slowly."""
    normal = "normal fingering" if aim.technique is Technique.PLAIN else "normal places"
    purpose = f"The slur itself on the {normal} ({names_of(aim.pair.ways)}), slowly."
    return purpose, _tongued_how() if _tongued(aim) else f"{_air(aim)} Listen for the middle of the slur."


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


def _tongued_how() -> str:
    return "Steady air, a quick slide, the softest touch of the tongue as it arrives."


def _place(aim: Aim) -> str:
    return "fingering" if aim.own[0].setting.slide_position is None else "position"


def _air(aim: Aim) -> str:
    return "Let the air lead and the lips follow." if aim.up else "Keep the air moving as the lips let go."

"""Ways: every (fingering, partial) that sounds a note on a horn, how far out it is, and why."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from slurwright.horn import Horn, HornKind, Reach, Resonance, Setting, settings_near
from slurwright.pitch import SoundingPitch
from slurwright.plan.familiar import Familiarity, usual_chance
from slurwright.plan.why import why_of

__all__ = ["Familiarity", "Reach", "Way", "notes_of_range", "tie_groups", "tied", "ways_of"]

NOTICED_CENTS = 10.0
"""Smallest difference of pitch noticed in a short melody, about (Hill & Summers, JASA 121 (2007) 2376) [cents]."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to sound a note."""

    setting: Setting
    partial: int
    cents: float
    """Predicted tendency on this horn against equal temperament, + sharp [cents]."""
    cents_tube: float
    """From lengths and the harmonic series alone, every valve alone exact, no horn offset [cents]."""
    spread_cents: float
    """Standard deviation of `cents`: how well this horn is known [cents]."""
    normal: bool
    """True for the way that players are taught first."""
    usual: float
    """Chance that a player has this way at their fingers' command without practising it, 0..1 (prior)."""
    why: str
    """One plain sentence built from the parts of the figure."""

    @property
    def fingering(self) -> str:
        """Label of the setting."""
        return self.setting.fingering


def ways_of(
    sounding: SoundingPitch, horn: Horn, *, reach: Reach | None = None, familiarity: Familiarity | None = None
) -> tuple[Way, ...]:
    """Find every way to sound a note, the normal one first, then the most familiar that are nearly in tune.

    Args:
        sounding: the note at concert pitch.
        horn: the instrument.
        reach: how far out a way may lie; None for the usual limits.
        familiarity: priors; None for the built-in ones.

    Returns:
        Ways, best first; empty if nothing on this horn sounds the note.

    """
    familiarity = familiarity or Familiarity()
    midi = sounding.midi
    ordinary = {fingering for fingering, _ in horn.normal.values()}
    ways = [
        _way(found, horn, midi=midi, usual=usual, familiarity=familiarity)
        for found in settings_near(horn, midi, reach or Reach())
        for usual in (usual_chance(found, horn, midi=midi, ordinary=ordinary, familiarity=familiarity),)
    ]
    return tuple(sorted(ways, key=lambda way: _order(way, familiarity)))


def _way(found: Resonance, horn: Horn, *, midi: int, usual: float, familiarity: Familiarity) -> Way:
    """Make a way of what the horn gives."""
    key = found.setting.fingering, found.partial
    return Way(
        setting=found.setting,
        partial=found.partial,
        cents=found.cents,
        cents_tube=found.cents_exact,
        spread_cents=horn.spreads.get(key) or _spread(found, horn, familiarity),
        normal=horn.normal.get(midi) == key,
        usual=usual,
        why=why_of(found, horn),
    )


def _spread(found: Resonance, horn: Horn, familiarity: Familiarity) -> float:
    """Prior standard deviation of a prediction [cents]."""
    if horn.kind is HornKind.SLIDE and not found.at_slide_end:
        return familiarity.placing_cents
    valves = len(found.setting.pressed - {found.setting.side})
    together = familiarity.combination_cents if valves > 1 else 0.0
    return math.hypot(familiarity.partial_cents, math.sqrt(valves) * familiarity.valve_cents, together)


def _order(way: Way, familiarity: Familiarity) -> tuple[bool, float, int, int, str]:
    """Order of ways in a list: the normal one first, then familiar and in tune; ties by the simpler fingering."""
    merit = way.usual * math.exp(-0.5 * (way.cents / familiarity.out_of_tune_cents) ** 2)
    return not way.normal, -round(merit, 9), way.partial, len(way.setting.pressed), way.fingering


def tied(a: Way, b: Way, *, notices_cents: float = NOTICED_CENTS) -> bool:
    """Say whether two ways are equally well in tune as far as a listener can tell.

    Args:
        a: one way.
        b: another.
        notices_cents: smallest difference that counts [cents].

    """
    return abs(abs(a.cents) - abs(b.cents)) < notices_cents


def tie_groups(ways: Sequence[Way], *, notices_cents: float = NOTICED_CENTS) -> tuple[tuple[Way, ...], ...]:
    """Group ways that are equally well in tune, the best group first; no group spans more than what is noticed.

    Args:
        ways: of one note.
        notices_cents: smallest difference that counts [cents].

    """
    groups: list[list[Way]] = []
    for way in sorted(ways, key=lambda way: abs(way.cents)):
        if groups and tied(groups[-1][0], way, notices_cents=notices_cents):
            groups[-1].append(way)
        else:
            groups.append([way])
    return tuple(tuple(sorted(group, key=ways.index)) for group in groups)


def notes_of_range(horn: Horn) -> tuple[SoundingPitch, ...]:
    """List every note of the possible range that the horn has a fingering for, lowest first."""
    return tuple(SoundingPitch.from_midi(midi) for midi in horn.normal)

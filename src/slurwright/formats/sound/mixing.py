"""Which channels of a recording are listened to: all of them together, or one where the others would spoil it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log10

__all__ = ["Mix", "chosen_mix"]

_LOST_DB = 10.0
"""A mix that loses this much against a channel has channels that cancel each other. Common practice."""
_IDLE_DB = 30.0
"""A channel this far below the loudest one holds no sound of its own. Common practice."""


@dataclass(frozen=True, slots=True)
class Mix:
    """What is listened to."""

    weights: tuple[float, ...]
    """Of each channel."""
    why: str = ""
    """What must be said about it; empty for a plain mix."""


def chosen_mix(energies: Sequence[float], mixed: float) -> Mix:
    """Choose the channels to listen to.

    Args:
        energies: mean square of each channel, its offset taken out [1].
        mixed: mean square of the mean of all channels [1].
    """
    count = len(energies)
    best = max(range(count), key=lambda at: energies[at])
    alone = Mix(tuple(float(at == best) for at in range(count)))
    if count == 1 or energies[best] <= 0:
        return alone if count == 1 else Mix((1 / count,) * count)
    if all(_below_db(energy, energies[best]) > _IDLE_DB for at, energy in enumerate(energies) if at != best):
        return Mix(alone.weights, f"only channel {best + 1} of {count} holds sound: it alone is measured")
    lost_db = _below_db(mixed, energies[best])
    if lost_db > _LOST_DB:
        return Mix(
            alone.weights,
            f"the channels cancel each other when mixed: channel {best + 1} of {count} alone is measured",
        )
    return Mix((1 / count,) * count)


def _below_db(energy: float, than: float) -> float:
    return 10 * log10(than / energy) if energy > 0 else float("inf")

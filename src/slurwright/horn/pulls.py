"""How far a tuning slide has to be drawn to move a setting's pitch, and what a draw does.

A slide has two legs, so that drawing it by x adds 2 x of tube (derived).
"""

import math

from slurwright.horn.model import Horn
from slurwright.horn.setting import Setting

__all__ = ["cents_of_pull", "pull_m"]


def pull_m(horn: Horn, setting: Setting, *, cents: float) -> float:
    """How far a slide that this setting uses has to be drawn to lower it, below zero to be pushed in [m].

    Args:
        horn: gives the open length.
        setting: the air column as the slides are now.
        cents: how far the pitch has to fall [cents].

    """
    return float(0.5 * horn.open_length_m * setting.ratio * (2.0 ** (cents / 1200.0) - 1.0))


def cents_of_pull(horn: Horn, setting: Setting, *, drawn_m: float) -> float:
    """How far the pitch of a setting falls when a slide that it uses is drawn [cents].

    Args:
        horn: gives the open length.
        setting: the air column as the slides are now.
        drawn_m: how far the slide is drawn, below zero when pushed in [m].

    """
    return 1200.0 * math.log2(1.0 + 2.0 * drawn_m / (horn.open_length_m * setting.ratio))

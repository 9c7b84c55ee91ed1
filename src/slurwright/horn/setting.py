"""A setting: what the player holds down (or where the slide is) and the length of tube that makes.

A fingering is a setting with a length; nothing above this room knows what kind of instrument it is.
"""

from dataclasses import dataclass

__all__ = ["Setting"]


@dataclass(frozen=True, slots=True)
class Setting:
    """One air column that the player can make."""

    fingering: str
    """Label: "0", "1-2", "T1"; on a slide its position, "3" or "T3"."""
    pressed: frozenset[str]
    """Fingers and thumb at work, by valve name; empty for the open horn and for a plain slide."""
    ratio: float
    """Effective length over the open length of the horn's main side, as this horn's slides are set [1]."""
    exact_ratio: float
    """The same with every valve alone cut exactly [1]."""
    slide_m: float = 0.0
    """How far a hand slide is out of its closed position, along its own travel [m]; 0 on valves."""
    slide_position: float | None = None
    """The same as the trade counts it, a real number from 1; None on valves."""
    side: str = ""
    """Which side of a double horn, or which rotors of a trombone, the air goes through; "" for the main one."""
    pieces: tuple[tuple[str, float], ...] = ()
    """The tubes that the air goes through, open tube first: (name, part of the main side's open length); they add
    up to `ratio`. A piece keeps its name in every setting that uses it ("valve 1", "loop 1", "hand slide")."""

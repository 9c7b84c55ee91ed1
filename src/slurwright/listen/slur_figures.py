"""What are the figures of one slur: how long, how deep, how clean its landing? Each with its interval."""

from dataclasses import dataclass

from slurwright.listen.figure import Measured

__all__ = ["SlurFigures"]


@dataclass(frozen=True, slots=True)
class SlurFigures:
    """One slur in figures; each is defined in ``measures.SlurMeasure``."""

    time_ms: Measured
    dip_db: Measured
    dip_ms: Measured
    silence_ms: Measured
    scoop_cents: Measured
    overshoot_cents: Measured
    left_s: float
    """Last moment within a tenth of the interval of the first pitch, as far as it can be told [s]."""
    half_s: float
    """When the pitch passes half way [s]."""
    reached_s: float
    """First moment within a tenth of the second pitch [s]."""

"""What cold or warm air does to a horn, and how far the main slide has to go to meet it."""

from dataclasses import dataclass

from slurwright.errors import RequestError
from slurwright.horn import Horn
from slurwright.horn.pulls import cents_of_pull
from slurwright.horn.temperature import cents_per_degree, drift_cents, main_slide_for

__all__ = ["AIR_C", "TUNED_AT_C", "AirAnswer", "air_on"]

AIR_C = (-20.0, 50.0)
"""Air in which brass is played; ours [degC]."""
TUNED_AT_C = 20.0
"""Air in a rehearsal room, where nothing else is said (common practice) [degC]."""


@dataclass(frozen=True, slots=True)
class AirAnswer:
    """How far a horn drifts, and what its main slide can do about it."""

    celsius: float
    """Air in the horn [degC]."""
    tuned_at_c: float
    """Air in the horn when it was tuned [degC]."""
    drift_cents: float
    """How much sharper it has become; below zero flatter [cents]."""
    cents_each_degree: float
    """What one degree does there [cents per degC]."""
    horn: Horn | None = None
    pull_mm: float | None = None
    """How far the main slide has to come out; below zero in; None without a horn [mm]."""
    left_cents: float = 0.0
    """What is left of the drift where the main slide cannot go so far [cents]."""
    step_mm: float = 0.0
    """How finely the slide can be set [mm]."""


def air_on(celsius: float, *, tuned_at_c: float = TUNED_AT_C, horn: Horn | None = None) -> AirAnswer:
    """Say what other air does to a horn.

    Args:
        celsius: of the air in the horn [degC].
        tuned_at_c: of the air in the horn when it was tuned [degC].
        horn: which; None for any horn.

    Raises:
        RequestError: nobody plays in such air.
    """
    low, high = AIR_C
    for what, value in (("air", celsius), ("air when tuned", tuned_at_c)):
        if not low <= value <= high:
            raise RequestError(
                f"not a temperature of {what}", got=f"{value:g}", allowed=f"{low:g} to {high:g} degrees Celsius"
            )
    drift = drift_cents(celsius, tuned_at_c=tuned_at_c)
    each = cents_per_degree(celsius)
    if horn is None:
        return AirAnswer(celsius, tuned_at_c, drift, each)
    slide = next((slide for slide in horn.slides if slide.name == "main"), None)
    if slide is None:
        raise RequestError("this horn has no main slide in the catalogue", got=horn.id)
    wanted_m = main_slide_for(drift, length_m=horn.open_length_m)
    set_m = min(max(wanted_m, -slide.in_m), slide.out_m)
    set_m = round(set_m / slide.step_m) * slide.step_m
    left = drift - cents_of_pull(horn, horn.settings[0], drawn_m=set_m)
    return AirAnswer(celsius, tuned_at_c, drift, each, horn, 1000.0 * set_m, left, 1000.0 * slide.step_m)

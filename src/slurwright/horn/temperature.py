"""How far warm or cold air moves a horn, and how far the main slide must go to meet it.

The pitch follows the speed of sound in the air column (331.3 sqrt(1 + T/273.15) m/s, from memory): 3.0 cents per
degree around room temperature (derived). The brass itself grows by only a hundredth of that. The breath's water and
carbon dioxide nearly cancel each other, so that for a player temperature is one offset per session.
"""

from slurwright.pitch import cents_of_ratio, speed_of_sound

__all__ = ["cents_per_degree", "drift_cents", "main_slide_for"]


def drift_cents(temperature_c: float, *, tuned_at_c: float) -> float:
    """How much sharper a horn is in other air than it was tuned in [cents].

    Args:
        temperature_c: of the air in the horn now [degC].
        tuned_at_c: of the air in the horn when it was tuned [degC].

    """
    return cents_of_ratio(speed_of_sound(temperature_c) / speed_of_sound(tuned_at_c))


def cents_per_degree(temperature_c: float) -> float:
    """How much one degree moves a horn at a temperature [cents per degC].

    Args:
        temperature_c: of the air in the horn [degC].

    """
    return drift_cents(temperature_c + 0.5, tuned_at_c=temperature_c - 0.5)


def main_slide_for(drift: float, *, length_m: float) -> float:
    """How far the main slide must come out to take back a drift; below zero it goes in [m].

    The slide's two legs each add the pull, so half of the wanted length is enough. The open horn is put right;
    longer settings are moved less, in the ratio of the lengths.

    Args:
        drift: how sharp the horn has become [cents].
        length_m: effective length of the open horn [m].

    """
    return float(0.5 * length_m * (2.0 ** (drift / 1200.0) - 1.0))

"""How likely it is that a note is in tune enough and sounds even.

A way sounds at its predicted cents x, known to a standard deviation s. It is in tune if x lies between the limits
that lips and ear allow together,

    -(lipped up + noticed) < x < lipped down + noticed,

each limit blurred by an edge of its own; integrated over the spread this is a difference of two normal
distribution functions of width sqrt(s^2 + edge^2) (derived). A note outside spoils the performance only sometimes,
and the chance of failing is taken times that. What a listener notices grows on short notes as 1 + short_s / duration.
A tube longer than the normal way's, or another partial, sounds of another colour: each semitone and each rung takes a
factor. Whoever looks for a semitone of tube finds it in the partials: the same note
on partials n and m lies 12 log2(n / m) semitones of tube apart (derived).
"""

import numpy as np

from slurwright.plan.chances import TuneChances
from slurwright.plan.transition import Floats, Ints, WayTable

__all__ = ["chances_in_tune", "normal_cdf"]

_LEAST = 1e-4
"""No note is given up: a strong player may save any of them (ours) [1]."""


def normal_cdf(x: Floats) -> Floats:
    """Distribution function of the standard normal, to 1e-7 [1].

    Error function after Abramowitz & Stegun 7.1.26 (coefficients from memory; checked against the exact function).

    Args:
        x: where, any shape [1].

    """
    z = np.abs(x) * np.sqrt(0.5)
    t = 1.0 / (1.0 + 0.3275911 * z)
    poly = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
    tail = 0.5 * poly * np.exp(-z * z)
    below: Floats = np.where(x < 0.0, tail, 1.0 - tail)
    return below


def chances_in_tune(table: WayTable, rows: Ints, duration_s: Floats, *, tune: TuneChances) -> Floats:
    """Chance that each note is in tune enough and even on its way, shape=(notes,) [1].

    Args:
        table: the ways.
        rows: row of each note's way, shape=(notes,) [1].
        duration_s: how long each note lasts, shape=(notes,) [s].
        tune: the priors.

    """
    noticed = tune.noticed_cents * (1.0 + tune.short_s / duration_s)
    cents = table.cents[rows]
    width = np.hypot(table.spread_cents[rows], tune.edge_cents)
    not_sharp = normal_cdf((tune.lipped_down_cents + noticed - cents) / width)
    too_flat = normal_cdf((-tune.lipped_up_cents - noticed - cents) / width)
    partial, rungs = table.partial[rows], table.rungs[rows]
    longer = np.maximum(0.0, 12.0 * np.log2(partial / (partial - rungs)))
    even = np.exp(longer * np.log(tune.even_each_semitone) + np.abs(rungs) * np.log(tune.even_each_rung))
    outside = 1.0 - (not_sharp - too_flat)
    passing: Floats = np.maximum(_LEAST, (1.0 - tune.spoils * outside) * even)
    return passing

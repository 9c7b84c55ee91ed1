"""The usual picture of a horn, as a rival: every partial has an offset, every valve has an offset, and they add.

Three fits of the same picture to the same readings: with the same kind of priors and the same treatment of slips as
the model under test (`robust`), with the priors but trusting every reading (`trusting`), and BayesianRidge of
scikit-learn on the same columns, which finds its own scales.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from slurwright.horn import Horn
from slurwright.horn.learnt import Priors, ToneReading, WayKey
from slurwright.horn.learnt.frame import Block
from slurwright.horn.learnt.posterior import Data, posterior_of

Real = npt.NDArray[np.float64]

PARTIAL, VALVE, COMBINATION, OFFSET = 12.0, 5.0, 6.0, 15.0


def nominal(horn: Horn) -> dict[WayKey, float]:
    """Pitch of every way from lengths alone [cents above MIDI 0]."""
    return {
        (setting.fingering, partial): 100 * horn.open_pitch.midi + 1200 * np.log2(partial / setting.ratio)
        for setting in horn.settings
        for partial in range(2, 13)
    }


def columns(horn: Horn, ways: Sequence[WayKey]) -> tuple[Real, Real]:
    """One-hot columns of partials, valves and combinations, and the standard deviation of each."""
    names = sorted({name for setting in horn.settings for name, _ in setting.pieces if name != "open"})
    pieces = {setting.fingering: {name for name, _ in setting.pieces} for setting in horn.settings}
    together = [setting.fingering for setting in horn.settings if len(setting.pressed) > 1]
    design = np.array(
        [
            [1.0]
            + [float(partial == number) for number in range(2, 13)]
            + [float(name in pieces[fingering]) for name in names]
            + [float(fingering == label) for label in together]
            for fingering, partial in ways
        ]
    )
    return design, np.array([OFFSET] + [PARTIAL] * 11 + [VALVE] * len(names) + [COMBINATION] * len(together))


def _deviation(readings: Sequence[ToneReading], known: dict[WayKey, float]) -> Real:
    return np.array([100 * one.sounding.midi + one.cents - known[one.fingering, one.partial] for one in readings])


def _blocks(sd: Real) -> tuple[Block, ...]:
    """One block for each run of equal standard deviations, its size learnt as in the model under test."""
    starts = [0, *(np.flatnonzero(np.diff(sd)) + 1).tolist(), len(sd)]
    return tuple(
        Block(f"{low}", low, np.eye(high - low), float(sd[low]), fixed=high - low < 2)
        for low, high in pairwise(starts)
    )


def robust(horn: Horn, readings: Sequence[ToneReading], wanted: Sequence[WayKey], priors: Priors) -> Real:
    """Predict pitches, slips judged and set aside exactly as for the model under test."""
    known = nominal(horn)
    ways = [(one.fingering, one.partial) for one in readings]
    names = {way: place for place, way in enumerate(dict.fromkeys(ways))}
    design, sd = columns(horn, list(names))
    data = Data(
        rows=design,
        columns=np.zeros((len(readings), 0), dtype=np.intp),
        values=np.zeros((len(readings), 0)),
        deviation=_deviation(readings, known),
        added_variance=np.zeros(len(readings)),
        way=np.array([names[way] for way in ways], dtype=np.intp),
        own_sd=np.full(len(names), priors.way_sd_cents),
        blocks=_blocks(sd),
    )
    found = posterior_of(data, priors)
    return np.asarray([known[way] for way in wanted] + columns(horn, wanted)[0] @ found.mean)


def trusting(horn: Horn, readings: Sequence[ToneReading], wanted: Sequence[WayKey], priors: Priors) -> Real:
    """Predict pitches, every reading believed."""
    known = nominal(horn)
    design, sd = columns(horn, [(one.fingering, one.partial) for one in readings])
    noise = priors.reading_sd_cents**2 + priors.way_sd_cents**2
    precision = np.diag(1 / sd**2) + design.T @ design / noise
    weights = np.linalg.solve(precision, design.T @ _deviation(readings, known) / noise)
    return np.asarray([known[way] for way in wanted] + columns(horn, wanted)[0] @ weights)


def ridge(horn: Horn, readings: Sequence[ToneReading], wanted: Sequence[WayKey]) -> Real:
    """Predict pitches with scikit-learn's BayesianRidge."""
    from sklearn.linear_model import BayesianRidge  # noqa: PLC0415  a rival for tests, slow to import

    known = nominal(horn)
    design, _ = columns(horn, [(one.fingering, one.partial) for one in readings])
    fit = BayesianRidge().fit(design[:, 1:], _deviation(readings, known))
    return np.asarray([known[way] for way in wanted] + fit.predict(columns(horn, wanted)[0][:, 1:]))

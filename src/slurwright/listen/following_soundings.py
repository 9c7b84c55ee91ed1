"""What each stretch of a take is best taken for in place of each pitch: the asked note, its octave, a wrong one."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_evidence import PARTS, Evidence, mismatch
from slurwright.listen.following_path import SPANS, Kind

__all__ = ["Soundings", "soundings_of"]

_OFF, _OFF_PART = 6.0, 0.9
"""What it costs a note that its pitch, as a whole, is another; or, if that is a whole part of the asked one."""
_WRONG = 4.5
_WRONG_SEMITONE, _WRONG_FAR = 0.12, 2.0
"""What a wrong note costs more for each semitone, and at most."""
_NOT_WRONG_SEMITONES, _NOT_WRONG = 0.5, 3.0
_OCTAVE = 4.5
_EXTRA = 5.5
_SHORTEST_S = 0.025
_NEVER = -1e9


@dataclass(frozen=True, slots=True, eq=False)
class Soundings:
    """Stretches of one to ``SPANS`` segments that end at each of some cuts, one after the other."""

    first_cut: int
    kind: NDArray[np.uint8]
    """Best kind in place of each pitch; shape=(cuts, SPANS, pitches)."""
    nats: NDArray[np.float64]
    """Its fit; shape=(cuts, SPANS, pitches)."""
    extra: NDArray[np.float64]
    """Fit to a sound that nobody asked for, its start left out; shape=(cuts, SPANS)."""


def soundings_of(evidence: Evidence, first_cut: int, stop_cut: int) -> Soundings:
    """Weigh the stretches that end at cuts ``first_cut`` to before ``stop_cut``.

    Args:
        evidence: how well stretches fit the pitches.
        first_cut: 1 or more.
        stop_cut: one past the last.
    """
    cuts = np.arange(first_cut, stop_cut)
    starts = np.maximum(0, cuts[:, None] - 1 - np.arange(SPANS))
    own, own_fit = evidence.own[cuts], evidence.own_fit[cuts]
    away = own[:, :, None] - evidence.pitches
    far = np.abs(away)
    repeat = evidence.repeat[starts][:, :, None]
    asked = evidence.fit[cuts][:, None] - evidence.fit[starts]
    asked -= np.where(_is_part(-away), _OFF_PART, _OFF) * mismatch(far)
    octave = evidence.fit_octave[cuts][:, None] - evidence.fit_octave[starts]
    octave -= _OCTAVE + repeat + _OFF * mismatch(far - 12.0)
    wrong = own_fit[:, :, None] - _WRONG - np.minimum(_WRONG_FAR, _WRONG_SEMITONE * far)
    wrong -= repeat + np.where(far < _NOT_WRONG_SEMITONES, _NOT_WRONG, 0.0)
    kind = np.full(asked.shape, int(Kind.ASKED), np.uint8)
    nats = asked
    for name, other in ((Kind.OCTAVE, octave), (Kind.WRONG, wrong)):
        kind[other > nats] = int(name)
        nats = np.maximum(nats, other)
    silent = (evidence.heard_s[cuts] < _SHORTEST_S) | (np.arange(SPANS) >= cuts[:, None])
    passed = evidence.passed[cuts]
    nats = np.where(silent[:, :, None], _NEVER, nats - passed[:, :, None])
    extra = np.where(silent, _NEVER, own_fit - _EXTRA - passed - evidence.repeat[starts])
    return Soundings(first_cut, kind, nats, extra)


def _is_part(semitones: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Say whether a pitch so far below the asked one is a whole part of it."""
    result = np.zeros(semitones.shape, np.bool_)
    for part in PARTS:
        result |= mismatch(semitones - part) < 0.5
    return result

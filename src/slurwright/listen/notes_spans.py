"""Which part of a note tells its pitch: after it has settled, before it is left."""

__all__ = ["LONGEST_S", "settling_s", "steady_span"]

LONGEST_S = 30.0
"""Of a longer note the middle is measured, so that memory stays bounded."""
_AFTER_ONSET_S = 0.060
_AFTER_ONSET_PERIODS = 3.0
_BEFORE_END_S = 0.040
_LEAST_SHARE = 0.4
"""Of a short note at least this middle part is taken."""


def settling_s(hz: float) -> float:
    """How long after its onset a note is left alone [s].

    Args:
        hz: its pitch [Hz].
    """
    return max(_AFTER_ONSET_S, _AFTER_ONSET_PERIODS / hz)


def steady_span(onset_s: float, offset_s: float, hz: float) -> tuple[float, float]:
    """From when to when a note is measured [s].

    Args:
        onset_s: its onset [s].
        offset_s: its end [s].
        hz: its pitch [Hz].
    """
    before, after = settling_s(hz), _BEFORE_END_S
    free = (1.0 - _LEAST_SHARE) * max(0.0, offset_s - onset_s)
    squeezed = min(1.0, free / (before + after))
    start, stop = onset_s + squeezed * before, offset_s - squeezed * after
    over = max(0.0, stop - start - LONGEST_S) / 2
    return start + over, stop - over

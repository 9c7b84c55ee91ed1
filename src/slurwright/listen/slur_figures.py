"""What are the figures of one slur: how long, how deep, how clean its landing? Each with its interval.

First the path of the pitch is found; where the room is heard, the old note's tail is taken out by means of it and the
path is sought again; then the dip, along the path. Every figure is the median of the candidates' weights;
its interval is widened by the room, as simulated slurs ask.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.measures import Room
from slurwright.listen.slur_lags import LagMap, lag_map
from slurwright.listen.slur_level import fit_dip
from slurwright.listen.slur_path import PathFit, fit_path
from slurwright.listen.slur_sound import SlurSound, slur_sound
from slurwright.listen.slur_tail import Answer, without_tail
from slurwright.listen.slur_widths import Weighed, measured_of
from slurwright.listen.slur_window import SlurWindow
from slurwright.listen.sound import Sound

__all__ = ["SlurFigures", "slur_figures"]

Real = NDArray[np.float64]

_UNKNOWN = Answer(0.5, 0.1)
_DRY_DB = 20.0
_SILENT_MS = 15.0
_WITHIN_S, _WITHIN_PERIODS = 0.025, 0.5
_SURE_S, _UNSURE, _MOST_UNSURE_S = 0.003, 8.0, 0.06
"""Where the follower is unsure of the moment, it is sought further away."""
_FIRST_LEFT_S, _FIRST_REACHED_S = 0.010, 0.030
_SETTLED_S, _SETTLED_PERIODS = 0.002, 0.3


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


def slur_figures(sound: Sound, window: SlurWindow, room: Room) -> SlurFigures:
    """Measure one slur.

    Args:
        sound: the take.
        window: where the slur is.
        room: how the room answers.
    """
    answer = answer_of(room)
    heard, lags, path = _path(slur_sound(sound, window), window, answer)
    left, half, reached = (
        float(_middle(values, path.weight)) for values in (path.left_s, path.half_s, path.reached_s)
    )
    dip = fit_dip(
        heard,
        _on_samples(heard, lags, path.lag_s),
        left_s=left,
        reached_s=reached,
        decay_s=answer.decay_s,
        share=answer.share,
    )
    period_ms = 1000.0 / min(window.before_hz, window.after_hz)

    def told(name: str, values: Real, weights: Real) -> Measured:
        return measured_of(name, Weighed(values, weights), share=answer.share, period_ms=period_ms)

    silence = told("silence_ms", 1000.0 * dip.silence_s, dip.weight)
    silent = isinstance(silence, Figure) and silence.value > _SILENT_MS
    return SlurFigures(
        # where nothing sounds, nothing tells how the pitch moved
        time_ms=Hidden(Veil.SOFT) if silent else told("time_ms", 1000.0 * path.time_s, path.weight),
        dip_db=told("dip_db", dip.depth_db, dip.weight),
        dip_ms=told("dip_ms", 1000.0 * dip.length_s, dip.weight),
        silence_ms=silence,
        scoop_cents=told("scoop_cents", path.scoop_cents, path.weight),
        overshoot_cents=told("overshoot_cents", path.overshoot_cents, path.weight),
        left_s=left,
        half_s=half,
        reached_s=reached,
    )


def answer_of(room: Room) -> Answer:
    """Put a room in two numbers; a common one where nothing is known.

    Args:
        room: as it was judged.
    """
    decay, direct = room.decay_s, room.direct_db
    if not isinstance(direct, Figure):
        return _UNKNOWN
    if direct.value >= _DRY_DB or not isinstance(decay, Figure):
        return Answer(_UNKNOWN.decay_s, 0.0)
    return Answer(decay.value, float(10.0 ** (-direct.value / 10.0)))


def _path(heard: SlurSound, window: SlurWindow, answer: Answer) -> tuple[SlurSound, LagMap, PathFit]:
    """Find the path; without the old note's tail where there is one."""
    first, second = window.before_hz, window.after_hz
    period = 1.0 / min(first, second)
    unsure = min(_MOST_UNSURE_S, _UNSURE * max(0.0, window.change_sd_s - _SURE_S))
    within = _WITHIN_S + _WITHIN_PERIODS * period + unsure
    clean = heard
    if answer.share > 0.0:
        clean = without_tail(
            heard,
            answer,
            first_hz=first,
            second_hz=np.full(len(heard.samples), second),
            left_s=window.change_s - _FIRST_LEFT_S,
            reached_s=window.change_s + _FIRST_REACHED_S + _WITHIN_PERIODS * period,
        )
        lags = lag_map(clean, first, second)
        path = fit_path(
            lags, first_hz=first, second_hz=second, change_s=window.change_s, within_s=within, settling=False
        )
        clean = without_tail(
            heard,
            answer,
            first_hz=first,
            second_hz=1.0 / _on_samples(heard, lags, path.lag_s),
            left_s=float(_middle(path.left_s, path.weight)),
            reached_s=float(_middle(path.reached_s, path.weight)) + _SETTLED_S + _SETTLED_PERIODS * period,
        )
    lags = lag_map(clean, first, second)
    path = fit_path(lags, first_hz=first, second_hz=second, change_s=window.change_s, within_s=within)
    return clean, lags, path


def _on_samples(heard: SlurSound, lags: LagMap, lag_s: Real) -> Real:
    clock = heard.start_s + np.arange(len(heard.samples)) / heard.rate_hz
    return np.interp(clock, lags.start_s + lags.step_s * np.arange(len(lag_s)), lag_s)


def _middle(values: Real, weights: Real) -> float:
    order = np.argsort(values)
    below = np.cumsum(weights[order]) - 0.5 * weights[order]
    return float(np.interp(0.5, below, values[order]))

"""How does the pitch move through one slur? And how far does the level lie below its straight line."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slurwright.pitch import cents_of_ratio
from slurwright.synth.script import Retongue, Shape, Slur

__all__ = ["REFERENCE_HZ", "Bridge", "attenuation_of", "bridge_of", "cents_on", "dulling_of"]

Real = NDArray[np.float64]

REFERENCE_HZ = 440.0
"""Pitch paths are cents from here [Hz]."""
_SETTLED = 5.0
"""A settling move is cut off after so many time constants, and stretched to arrive."""
_LEAST_SPAN_S = 0.02
_SILENT_DB = 60.0
_EDGE_S = 0.015
_MOST_EDGE = 0.6
"""An edge is no longer than this part of its silence."""
_QUICK_S = 0.003
_CLOSES = 0.1
_OPENS = 0.15
"""The tongue rests from so much before the middle of its notch to so much after, as parts of the notch."""
_DULLED = 1.5
"""The tongue dulls the sound for this many times its notch: high harmonics go first and come back last."""


@dataclass(frozen=True, slots=True)
class _Move:
    start_s: float
    length_s: float
    from_cents: float
    to_cents: float
    shape: Shape


@dataclass(frozen=True, slots=True)
class Bridge:
    """One slur, or one touch of the tongue, set on the clock of the take."""

    join: Slur | Retongue
    start_s: float
    """From here the first note is left: pitch or level starts to change [s]."""
    stop_s: float
    """From here the second note is settled [s]."""
    half_s: float
    """Where the pitch passes half way; where notes sound between, half way of the last move [s]."""
    moves: tuple[_Move, ...]
    first_cents: float
    second_cents: float
    quiet_s: tuple[float, float]
    """Middle and width of the tongue's notch or of the silence; no width for none [s]."""


def bridge_of(join: Slur | Retongue, onset_s: float, *, first_cents: float, second_cents: float) -> Bridge:
    """Lay out a slur around the onset of its second note.

    Args:
        join: what happens.
        onset_s: where the second note starts [s].
        first_cents: pitch that is left [cents].
        second_cents: pitch that is reached [cents].
    """
    moves = _moves(join, first_cents, second_cents)
    left = (
        cents_of_ratio(join.dwells[-1].hz / REFERENCE_HZ) if isinstance(join, Slur) and join.dwells else first_cents
    )
    half_s = _half_s(moves, (left + second_cents) / 2)
    if isinstance(join, Retongue):
        # the level is back at half amplitude at the onset; the pitch changes where it is lowest
        middle = onset_s - _back_s(join.length_s, join.depth_db)
        shift, quiet = middle - half_s, (middle, join.length_s)
    elif join.silence_s > 0:
        edge = _edge_s(join.silence_s)
        back_s = edge * (1.0 - _edge_share(20.0 * math.log10(2.0))) + _bottom_s(join.silence_s) / 2
        middle = onset_s - back_s
        shift, quiet = middle - half_s, (middle, join.silence_s)
    else:
        shift = onset_s - half_s
        # the tongue leaves just as the new pitch is there
        quiet = (onset_s - _OPENS * join.tongue.length_s, join.tongue.length_s) if join.tongue else (onset_s, 0.0)
    placed = tuple(_Move(m.start_s + shift, m.length_s, m.from_cents, m.to_cents, m.shape) for m in moves)
    bridge = Bridge(join, onset_s, onset_s, half_s + shift, placed, first_cents, second_cents, quiet)
    start_s, stop_s = _span(bridge)
    return replace(bridge, start_s=start_s, stop_s=stop_s)


def cents_on(times_s: Real, bridge: Bridge) -> Real:
    """Pitch over the span of a slur, shape=(n,) [cents].

    Args:
        times_s: moments, shape=(n,) [s].
        bridge: the slur.
    """
    cents = np.full(len(times_s), bridge.first_cents)
    for move in bridge.moves:
        after = times_s >= move.start_s
        done = _shaped(np.clip((times_s[after] - move.start_s) / move.length_s, 0.0, 1.0), move.shape)
        cents[after] = move.from_cents + (move.to_cents - move.from_cents) * done
    return cents


def attenuation_of(times_s: Real, bridge: Bridge) -> Real:
    """How far the level lies below the straight line between the two notes, shape=(n,) [dB].

    Args:
        times_s: moments, shape=(n,) [s].
        bridge: the slur.
    """
    join = bridge.join
    middle, width = bridge.quiet_s
    if isinstance(join, Retongue):
        return _notch(times_s - middle, width, join.depth_db)
    down = np.zeros(len(times_s))
    for centre in _hops(bridge):
        down = np.maximum(down, join.dip_db * _raised(times_s - centre, join.dip_s))
    if join.tongue:
        down = np.maximum(down, _notch(times_s - middle, width, join.tongue.depth_db))
    for place, dwell in enumerate(join.dwells):
        down = np.maximum(down, dwell.softer_db * _between(times_s, _hops(bridge)[place : place + 2], join.glide_s))
    if join.choke:
        down = np.maximum(down, join.choke.depth_db * _plateau(times_s - bridge.half_s, join.choke.length_s))
    if join.silence_s > 0:
        edge, bottom = _edge_s(width), _bottom_s(width)
        into = np.clip((bottom / 2 + edge - np.abs(times_s - middle)) / edge, 0.0, 1.0)
        down = np.maximum(down, _SILENT_DB * _shaped(into, Shape.SMOOTH))
    return down


def dulling_of(times_s: Real, bridge: Bridge) -> Real:
    """How much less high the spectrum reaches during a slur, shape=(n,) [octaves].

    Args:
        times_s: moments, shape=(n,) [s].
        bridge: the slur.
    """
    join = bridge.join
    if isinstance(join, Retongue):
        return 0.8 * _raised(times_s - bridge.quiet_s[0], _DULLED * join.length_s)
    dull = np.zeros(len(times_s))
    for centre in _hops(bridge):
        dull = np.maximum(dull, 0.5 * _raised(times_s - centre, max(join.dip_s, join.glide_s)))
    if join.tongue:
        dull = np.maximum(dull, 0.8 * _raised(times_s - bridge.quiet_s[0], _DULLED * join.tongue.length_s))
    if join.choke:
        dull = np.maximum(dull, join.choke.dull_octaves * _plateau(times_s - bridge.half_s, join.choke.length_s))
    return dull


def _moves(join: Slur | Retongue, first: float, second: float) -> tuple[_Move, ...]:
    """Lay the moves one after the other, from time 0."""
    if isinstance(join, Retongue) or join.silence_s > 0:
        return (_Move(0.0, _QUICK_S, first, second, Shape.SMOOTH),)
    moves: list[_Move] = []
    at, here = 0.0, first
    for dwell in join.dwells:
        there = cents_of_ratio(dwell.hz / REFERENCE_HZ)
        moves.append(_Move(at, join.glide_s, here, there, join.shape))
        at, here = at + join.glide_s + dwell.length_s, there
    past = join.overshoot_cents if second > first else -join.overshoot_cents
    arrived = second + past - join.scoop_cents
    moves.append(_Move(at, join.glide_s, here, arrived, join.shape))
    if arrived != second:
        moves.append(_Move(at + join.glide_s, join.settle_s, arrived, second, Shape.SMOOTH))
    return tuple(moves)


def _half_s(moves: tuple[_Move, ...], half: float) -> float:
    """When the half is passed for the last time."""
    for move in reversed(moves):
        low, high = sorted((move.from_cents, move.to_cents))
        if low <= half <= high and low != high:
            done = (half - move.from_cents) / (move.to_cents - move.from_cents)
            return move.start_s + move.length_s * _when(done, move.shape)
    return moves[-1].start_s + moves[-1].length_s / 2


def _span(bridge: Bridge) -> tuple[float, float]:
    """From when to when anything happens; at least a little, so that the level does not jump."""
    join, moves = bridge.join, bridge.moves
    middle, width = bridge.quiet_s
    edges = [
        moves[0].start_s,
        moves[-1].start_s + moves[-1].length_s,
        middle - _DULLED * width / 2,
        middle + _DULLED * width / 2,
    ]
    if isinstance(join, Slur):
        if join.silence_s > 0:
            reach = _bottom_s(width) / 2 + _edge_s(width)
            edges += [middle - reach, middle + reach]
        if join.choke:
            edges += [bridge.half_s - join.choke.length_s / 2, bridge.half_s + join.choke.length_s / 2]
        hops = _hops(bridge)
        edges += [hops[0] - join.dip_s / 2, hops[-1] + join.dip_s / 2]
    lacking = max(0.0, _LEAST_SPAN_S - (max(edges) - min(edges))) / 2
    return min(edges) - lacking, max(edges) + lacking


def _hops(bridge: Bridge) -> tuple[float, ...]:
    """Middle of each move from note to note; settling is none."""
    count = len(bridge.join.dwells) + 1 if isinstance(bridge.join, Slur) else 1
    return tuple(move.start_s + move.length_s / 2 for move in bridge.moves[:count])


def _shaped(done: Real, shape: Shape) -> Real:
    if shape is Shape.LINEAR:
        return done
    if shape is Shape.SMOOTH:
        return np.asarray(0.5 - 0.5 * np.cos(np.pi * done))
    return np.asarray((1.0 - np.exp(-_SETTLED * done)) / (1.0 - np.exp(-_SETTLED)))


def _when(done: float, shape: Shape) -> float:
    """Inverse of ``_shaped``."""
    if shape is Shape.LINEAR:
        return done
    if shape is Shape.SMOOTH:
        return float(np.arccos(1.0 - 2.0 * done) / np.pi)
    return float(-np.log(1.0 - done * (1.0 - np.exp(-_SETTLED))) / _SETTLED)


def _raised(offset_s: Real, width_s: float) -> Real:
    """Raised cosine of height 1."""
    if width_s <= 0:
        return np.zeros(len(offset_s))
    return np.where(np.abs(offset_s) < width_s / 2, 0.5 + 0.5 * np.cos(2.0 * np.pi * offset_s / width_s), 0.0)


def _plateau(offset_s: Real, width_s: float) -> Real:
    """Flat top of half the width, soft sides."""
    along = np.clip((width_s / 2 - np.abs(offset_s)) / (width_s / 4), 0.0, 1.0)
    return np.asarray(0.5 - 0.5 * np.cos(np.pi * along))


def _between(times_s: Real, hops: tuple[float, ...], edge_s: float) -> Real:
    """1 from one move to the next, with soft edges over each move."""
    inside = np.minimum(times_s - hops[0], hops[1] - times_s) / edge_s + 0.5
    return _shaped(np.clip(inside, 0.0, 1.0), Shape.SMOOTH)


def _notch(offset_s: Real, width_s: float, depth_db: float) -> Real:
    """A notch of amplitude: the tongue comes to the lips, rests, and leaves more quickly than it came [dB]."""
    least = 10.0 ** (-depth_db / 20.0)
    fallen = np.clip((offset_s / width_s + 0.5) / (0.5 - _CLOSES), 0.0, 1.0)
    risen = np.clip((offset_s / width_s - _OPENS) / (0.5 - _OPENS), 0.0, 1.0)
    shut = _shaped(fallen, Shape.SMOOTH) - _shaped(risen, Shape.SMOOTH)
    return np.asarray(-20.0 * np.log10(1.0 - (1.0 - least) * shut))


def _back_s(width_s: float, depth_db: float) -> float:
    """When a notch is back at half amplitude, after its middle; half way up where it is not that deep."""
    least = 10.0 ** (-depth_db / 20.0)
    up = 1.0 - min(0.5 / (1.0 - least), 1.0) if least < 0.5 else 0.5
    return width_s * (_OPENS + (0.5 - _OPENS) * _when(up, Shape.SMOOTH))


def _edge_s(silence_s: float) -> float:
    """How long the level takes to fall into a silence, and to come out."""
    return min(_EDGE_S, _MOST_EDGE * silence_s)


def _edge_share(down_db: float) -> float:
    """How far along its edge a silence has reached a depth, 0..1."""
    return _when(down_db / _SILENT_DB, Shape.SMOOTH)


def _bottom_s(silence_s: float) -> float:
    """How long the level stays down, so that it is more than 20 dB down for ``silence_s``."""
    return silence_s - 2.0 * _edge_s(silence_s) * (1.0 - _edge_share(20.0))

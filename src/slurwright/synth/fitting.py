"""Does a slur fit between its notes? In quick notes everything about it happens in less time."""

from dataclasses import replace
from typing import TypeVar

from slurwright.pitch import cents_of_ratio
from slurwright.synth.script import Note, Retongue, Slur
from slurwright.synth.slurpath import REFERENCE_HZ, bridge_of

__all__ = ["fitted"]

_SHARE = 0.49
"""A slur reaches no further than this into either note."""
_SMALLER = 0.85
_MOST_TRIES = 40


_Join = TypeVar("_Join", Slur, Retongue)


def fitted(join: _Join, pair: tuple[Note, Note], lengths_s: tuple[float, float]) -> _Join:
    """Shorten all times of a slur until it leaves half of each note alone.

    Args:
        join: the slur, or the touch of the tongue.
        pair: the notes.
        lengths_s: how long each of them lasts, shape=(2,) [s].
    """
    first_cents, second_cents = (cents_of_ratio(note.hz / REFERENCE_HZ) for note in pair)
    for _ in range(_MOST_TRIES):
        bridge = bridge_of(join, 0.0, first_cents=first_cents, second_cents=second_cents)
        if -bridge.start_s <= _SHARE * lengths_s[0] and bridge.stop_s <= _SHARE * lengths_s[1]:
            break
        join = _quicker(join)
    return join


def _quicker(join: _Join) -> _Join:
    """Everything about it in less time."""
    if isinstance(join, Retongue):
        return replace(join, length_s=_SMALLER * join.length_s)
    return replace(
        join,
        glide_s=_SMALLER * join.glide_s,
        dip_s=_SMALLER * join.dip_s,
        settle_s=_SMALLER * join.settle_s,
        silence_s=_SMALLER * join.silence_s,
        dwells=tuple(replace(dwell, length_s=_SMALLER * dwell.length_s) for dwell in join.dwells),
        tongue=replace(join.tongue, length_s=_SMALLER * join.tongue.length_s) if join.tongue else None,
        choke=replace(join.choke, length_s=_SMALLER * join.choke.length_s) if join.choke else None,
    )

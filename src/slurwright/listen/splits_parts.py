"""How much of each moment is the note before, the note after, and a third one? Shares of a sound's lines.

Each note is known by its template, the strength of its harmonics: those of the first and the last are taken from
where they sound alone, that of a third is guessed from theirs. A line that two notes share is thereby dealt out by
what their other lines say.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.splits_comb import LineFrames, fitted

__all__ = ["Lines", "Parts", "lines_of", "parts_of"]

Real = NDArray[np.float64]
_Places = NDArray[np.intp]

_HARMONICS = 12
_ROUNDS = 12
_LEAST = 1e-9
_TEMPLATE_FRAMES = 16


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Harmonics of the note before, the note after and some third notes on one list of lines."""

    hz: Real
    """Shape=(lines,) [Hz]."""
    common: int
    """So many lines, the first ones, are those of the notes before and after."""
    owned: tuple[_Places, ...]
    """Lines of each note: before, after, the third ones."""


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Energy of the notes in each frame; all arrays shape=(frames,)."""

    before: Real
    after: Real
    third: Real
    misfit: Real
    """What they do not account for."""


def lines_of(notes_hz: tuple[float, ...], *, highest_hz: float, apart_hz: float) -> Lines:
    """List the lines of some notes; those that a frame cannot keep apart become one.

    Args:
        notes_hz: note before, note after, third notes [Hz].
        highest_hz: highest line [Hz].
        apart_hz: how far apart two lines must be [Hz].
    """
    hz = np.zeros(0)
    common = 0
    owned: list[_Places] = []
    for place, note in enumerate(notes_hz):
        if place <= 2:
            common = len(hz)
        wanted = note * np.arange(1.0, max(1, min(_HARMONICS, int(highest_hz / note))) + 1.0)
        away = np.abs(wanted[:, None] - hz[None, :common])
        shared = away.min(axis=1, initial=np.inf) < apart_hz
        new = wanted[~shared]
        there = np.argmin(away[shared], axis=1) if shared.any() else np.zeros(0, np.intp)
        owned.append(np.union1d(there, np.arange(len(hz), len(hz) + len(new))).astype(np.intp))
        hz = np.concatenate((hz, new))
    return Lines(hz, common if len(notes_hz) > 2 else len(hz), tuple(owned))


def parts_of(frames: LineFrames, lines: Lines, *, third: int | None) -> Parts:
    """Deal each frame out to the note before, the note after and perhaps a third one.

    Args:
        frames: from before the change to after it; the ends are taken to be the two notes alone.
        lines: of all notes.
        third: which of the third notes, from 0; None for none.
    """
    used = np.arange(lines.common, dtype=np.intp)
    if third is not None:
        own = lines.owned[2 + third]
        used = np.concatenate((used, own[own >= lines.common]))
    fit = fitted(frames, used)
    strength = np.abs(fit.amplitude)
    templates = _templates(strength, lines, used, third)
    amounts = _amounts(strength, templates)
    unit = 0.25 * (frames.cosine_gram[0, 0] + frames.sine_gram[0, 0]) * 2.0
    energy = amounts**2 * np.sum(templates**2, axis=1) * unit
    missed = fit.left + unit * np.sum(np.square(strength - amounts @ templates), axis=1)
    none = np.zeros(len(missed))
    return Parts(energy[:, 0], energy[:, 1], energy[:, 2] if third is not None else none, missed)


def _templates(strength: Real, lines: Lines, used: _Places, third: int | None) -> Real:
    """Amplitude of each line in each note when it sounds alone; shape=(notes, lines)."""
    count = max(3, min(_TEMPLATE_FRAMES, len(strength) // 6))
    owns = [_among(used, own, len(lines.hz)) for own in lines.owned[:2]]
    rows = [
        np.where(own, np.median(piece, axis=0), 0.0)
        for own, piece in zip(owns, (strength[:count], strength[-count:]), strict=True)
    ]
    if third is not None:
        octaves = np.log2(lines.hz[used])
        both = sum(_envelope(octaves, row, own) for row, own in zip(rows, owns, strict=True))
        rows.append(np.where(_among(used, lines.owned[2 + third], len(lines.hz)), np.exp(0.5 * both), 0.0))
    return np.asarray(np.maximum(np.array(rows), _LEAST))


def _among(used: _Places, own: _Places, count: int) -> NDArray[np.bool_]:
    """Which of the lines in use are a note's own."""
    owned = np.zeros(count, bool)
    owned[own] = True
    return owned[used]


def _envelope(octaves: Real, row: Real, own: NDArray[np.bool_]) -> Real:
    """Log of a note's spectrum between its own lines."""
    order = np.argsort(octaves[own])
    return np.asarray(np.interp(octaves, octaves[own][order], np.log(row[own][order] + _LEAST)))


def _amounts(strength: Real, templates: Real) -> Real:
    """How much of each template makes up each frame, none below zero; shape=(frames, notes).

    Multiplicative steps towards the least divergence; amplitudes, not powers, so that no single line decides.
    """
    whole = np.sum(templates, axis=1)
    amounts: Real = (
        np.ones((len(strength), len(templates))) * (np.sum(strength, axis=1) / np.sum(whole))[:, None] + _LEAST
    )
    for _ in range(_ROUNDS):
        amounts *= (strength / (amounts @ templates + _LEAST)) @ templates.T / whole
    return amounts

"""What does the script ask of each moment? Pitch, level and tone colour on one fine clock, before any room."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from slurwright.errors import Fault, RequestError
from slurwright.pitch import cents_of_ratio
from slurwright.synth.script import Breath, Note, Player, Rest, Retongue, Script, Slur
from slurwright.synth.slurpath import REFERENCE_HZ, Bridge, attenuation_of, bridge_of, cents_on, dulling_of

__all__ = ["FLOOR_DB", "Paths", "paths_of"]

Real = NDArray[np.float64]

FLOOR_DB = -160.0
"""Stands in a level path for silence [dB]."""
_DULL_START_OCTAVES = 1.6
"""The upper harmonics of an attack come later."""
_DULL_START_S = 0.025
_FADE_S = 0.06
"""A vibrato grows and dies in this time."""
_CHIFF_S = 0.018
_CHOKED_AIR_DB = 9.0


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """All arrays on the clock ``step_s * index``, shape=(moments,)."""

    step_s: float
    held_cents: Real
    """What the player means to play: notes, drift, slurs, scoops; kept through rests [cents from REFERENCE_HZ]."""
    unsteady_cents: Real
    """Wander, jitter and vibrato on top [cents]."""
    wander_cents: Real
    """Of that, without the vibrato [cents]."""
    held_db: Real
    """Level of the tone without shimmer [dB]."""
    line_db: Real
    """The straight lines between the notes' levels, without slurs, attacks and releases [dB]."""
    shimmer_db: Real
    brighter_octaves: Real
    noise_db: Real
    """Level of the air's noise [dB]."""
    bridges: tuple[Bridge | None, ...]
    """How each note leads to the next; None across a rest."""


def paths_of(script: Script, *, step_s: float, rng: np.random.Generator) -> Paths:
    """Lay a script out in time.

    Args:
        script: what is played.
        step_s: step of the clock [s].
        rng: for the player's unsteadiness.

    Raises:
        RequestError: notes that go back in time, or a slur that reaches into the next one.
    """
    times: Real = np.arange(int(np.ceil(script.length_s / step_s)) + 1, dtype=np.float64) * step_s
    bridges = _bridges(script.notes)
    _check(script.notes, bridges)
    spans = _own_spans(script.notes, bridges)
    cents = _held_cents(times, script.notes, bridges, spans)
    line = _line_db(times, script.notes, bridges, spans)
    gain, bright, chiff = _envelopes(times, script.notes, bridges)
    wander, shimmer = _unsteadiness(times, script.player, rng)
    held = np.maximum(line + gain, FLOOR_DB)
    noise = _power_db(
        held + script.player.breath_db + _airy_db(times, bridges), line + chiff, _breathing_db(times, script.breaths)
    )
    return Paths(
        step_s=step_s,
        held_cents=cents,
        unsteady_cents=wander + _vibrato(times, script.notes, bridges),
        wander_cents=wander,
        held_db=held,
        line_db=line,
        shimmer_db=shimmer,
        brighter_octaves=bright,
        noise_db=noise,
        bridges=bridges,
    )


def _check(notes: tuple[Note, ...], bridges: tuple[Bridge | None, ...]) -> None:
    """Every note has a time of its own."""
    faults = [
        Fault("a note does not come after the one before it", f"{second.onset_s:g} s", f"after {first.onset_s:g} s")
        for first, second in pairwise(notes)
        if second.onset_s <= first.onset_s
    ]
    faults += [
        Fault("a slur reaches into the next one", f"until {before.stop_s:g} s", f"until {after.start_s:g} s")
        for before, after in pairwise(bridges)
        if before and after and before.stop_s > after.start_s
    ]
    if faults:
        raise RequestError(faults=tuple(faults))


def _note_cents(note: Note) -> float:
    return cents_of_ratio(note.hz / REFERENCE_HZ)


def _bridges(notes: tuple[Note, ...]) -> tuple[Bridge | None, ...]:
    """Lay out every join that is not a rest; drift has moved the first note by then."""
    found: list[Bridge | None] = []
    for first, second in pairwise(notes):
        if isinstance(first.join, Rest):
            found.append(None)
            continue
        drifted = _note_cents(first) + first.drift_cents_s * (second.onset_s - first.onset_s)
        found.append(bridge_of(first.join, second.onset_s, first_cents=drifted, second_cents=_note_cents(second)))
    return tuple(found)


def _own_spans(notes: tuple[Note, ...], bridges: tuple[Bridge | None, ...]) -> list[tuple[float, float]]:
    """From when to when each note stands alone, outside the slurs."""
    spans = []
    for index, note in enumerate(notes):
        before = bridges[index - 1] if index else None
        after = bridges[index] if index < len(bridges) else None
        start = before.stop_s if before else note.onset_s - note.attack.time_s / 2
        stop = after.start_s if after else note.onset_s + note.length_s + note.release_s / 2
        spans.append((start, max(start, stop)))
    return spans


def _slice(times: Real, start_s: float, stop_s: float) -> slice:
    """Moments from start to before stop."""
    step = times[1]
    first, last = (int(np.clip(np.ceil(edge / step - 1e-9), 0, len(times))) for edge in (start_s, stop_s))
    return slice(first, last)


def _held_cents(
    times: Real, notes: tuple[Note, ...], bridges: tuple[Bridge | None, ...], spans: list[tuple[float, float]]
) -> Real:
    cents = np.full(len(times), _note_cents(notes[0]) if notes else 0.0)
    for index, (note, (start, stop)) in enumerate(zip(notes, spans, strict=True)):
        here = slice(_slice(times, start, stop).start, None)
        # a note runs on until the next one starts, so that a rest holds its pitch
        bridge = bridges[index] if index < len(bridges) else None
        along = np.minimum(times[here], stop) - start
        total = note.drift_cents_s * (stop - start)
        wanted = bridge.first_cents - _note_cents(note) if bridge else total
        slope = wanted / (stop - start) if stop > start else 0.0
        cents[here] = _note_cents(note) + slope * along
        if not index or bridges[index - 1] is None:
            cents[here] -= _attack_scoop(times[here], note)
        if bridge:
            span = _slice(times, bridge.start_s, bridge.stop_s)
            cents[span] = cents_on(times[span], bridge)
    return cents


def _attack_scoop(times: Real, note: Note) -> Real:
    """How far below its pitch a tongued note is."""
    done = np.clip((times - note.onset_s + note.attack.time_s / 2) / note.attack.scoop_s, 0.0, 1.0)
    return note.attack.scoop_cents * (0.5 + 0.5 * np.cos(np.pi * done))


def _line_db(
    times: Real, notes: tuple[Note, ...], bridges: tuple[Bridge | None, ...], spans: list[tuple[float, float]]
) -> Real:
    """Level of each note, and straight lines across the slurs; a jump in a rest."""
    line = np.full(len(times), FLOOR_DB)
    for index, (note, (start, stop)) in enumerate(zip(notes, spans, strict=True)):
        here = _slice(times, start, stop)
        line[here] = note.level_db + note.swell_db_s * (times[here] - start)
        bridge = bridges[index] if index < len(bridges) else None
        if bridge:
            span = _slice(times, bridge.start_s, bridge.stop_s)
            ends = (note.level_db + note.swell_db_s * (stop - start), notes[index + 1].level_db)
            line[span] = np.interp(times[span], (bridge.start_s, bridge.stop_s), ends)
    return line


def _envelopes(times: Real, notes: tuple[Note, ...], bridges: tuple[Bridge | None, ...]) -> tuple[Real, Real, Real]:
    """Gain of attacks, releases and slurs [dB]; brightness [octaves]; noise of the tongue [dB]."""
    gain = np.zeros(len(times))
    bright = np.zeros(len(times))
    chiff = np.full(len(times), FLOOR_DB)
    for index, note in enumerate(notes):
        before = bridges[index - 1] if index else None
        after = bridges[index] if index < len(bridges) else None
        own = _slice(times, before.half_s if before else note.onset_s - note.attack.time_s, _end_s(note, after))
        bright[own] += note.brighter_octaves
        if before is None:
            _start(times, note, gain, bright, chiff)
        elif (noise := _chiff_db(before, note)) is not None:
            _add_chiff(times, _restart_s(before), noise, chiff)
        if after is None:
            _stop(times, note, gain)
        else:
            span = _slice(times, after.start_s, after.stop_s)
            gain[span] -= attenuation_of(times[span], after)
            bright[span] -= dulling_of(times[span], after)
    return gain, bright, chiff


def _end_s(note: Note, after: Bridge | None) -> float:
    return after.half_s if after else note.onset_s + note.length_s + note.release_s


def _start(times: Real, note: Note, gain: Real, bright: Real, chiff: Real) -> None:
    """The tongue starts a note."""
    begin = note.onset_s - note.attack.time_s / 2
    rising = _slice(times, begin, begin + note.attack.time_s)
    amplitude = 0.5 - 0.5 * np.cos(np.pi * (times[rising] - begin) / note.attack.time_s)
    gain[rising] += 20.0 * np.log10(np.maximum(amplitude, 1e-8))
    dull = _slice(times, begin, begin + 6.0 * _DULL_START_S)
    bright[dull] -= _DULL_START_OCTAVES * np.exp((begin - times[dull]) / _DULL_START_S)
    _add_chiff(times, begin, note.attack.chiff_db, chiff)


def _stop(times: Real, note: Note, gain: Real) -> None:
    """A note dies away before a rest."""
    end = note.onset_s + note.length_s
    falling = _slice(times, end - note.release_s / 2, end + note.release_s / 2)
    amplitude = 0.5 + 0.5 * np.cos(np.pi * (times[falling] - end + note.release_s / 2) / note.release_s)
    gain[falling] += 20.0 * np.log10(np.maximum(amplitude, 1e-8))


def _chiff_db(before: Bridge, note: Note) -> float | None:
    """Noise of a tongue that touches a sounding note; None where none does."""
    if isinstance(before.join, Retongue):
        return note.attack.chiff_db
    return before.join.tongue.chiff_db if before.join.tongue else None


def _restart_s(before: Bridge) -> float:
    return before.quiet_s[0] + before.quiet_s[1] / 4


def _add_chiff(times: Real, start_s: float, level_db: float, chiff: Real) -> None:
    """A short burst that dies away."""
    here = _slice(times, start_s, start_s + 4.0 * _CHIFF_S)
    along = (times[here] - start_s) / _CHIFF_S
    burst = level_db - 8.6859 * along + 20.0 * np.log10(np.minimum(1.0, 0.02 + 5.0 * along))
    chiff[here] = np.maximum(chiff[here], burst)


def _vibrato(times: Real, notes: tuple[Note, ...], bridges: tuple[Bridge | None, ...]) -> Real:
    wave = np.zeros(len(times))
    for index, note in enumerate(notes):
        if note.vibrato is None:
            continue
        after = bridges[index] if index < len(bridges) else None
        before = bridges[index - 1] if index else None
        begin = before.stop_s if before else note.onset_s
        begin += note.vibrato.delay_s
        end = after.start_s if after else note.onset_s + note.length_s + note.release_s / 2
        here = _slice(times, begin, end)
        along, left = times[here] - begin, end - times[here]
        fade = np.clip(np.minimum(along, left) / _FADE_S, 0.0, 1.0)
        wave[here] += note.vibrato.cents * fade * np.sin(2.0 * np.pi * note.vibrato.rate_hz * along)
    return wave


def _unsteadiness(times: Real, player: Player, rng: np.random.Generator) -> tuple[Real, Real]:
    """Wander with jitter [cents], shimmer with swell [dB]."""
    slow = _band_noise(times, player.wander_hz, rng) * player.wander_cents
    quick = _band_noise(times, 60.0, rng) * player.jitter_cents
    shimmer = _band_noise(times, 12.0, rng) * player.shimmer_db
    swell = _band_noise(times, 0.4, rng) * player.swell_db
    return slow + quick, shimmer + swell


def _band_noise(times: Real, highest_hz: float, rng: np.random.Generator) -> Real:
    """Noise with equal power up to a frequency, standard deviation 1 on average."""
    count = scipy.fft.next_fast_len(len(times) + 64, real=True)
    last = max(2, int(highest_hz * count * times[1]))
    spectrum = np.zeros(count // 2 + 1, complex)
    width = min(last, len(spectrum) - 1)
    spectrum[1 : width + 1] = rng.standard_normal(width) + 1j * rng.standard_normal(width)
    noise = scipy.fft.irfft(spectrum, n=count)[: len(times)]
    return np.asarray(noise * count / np.sqrt(4.0 * width))


def _airy_db(times: Real, bridges: tuple[Bridge | None, ...]) -> Real:
    """How much more noise there is than usual where a valve chokes the note."""
    more = np.zeros(len(times))
    for bridge in bridges:
        if bridge and isinstance(bridge.join, Slur) and bridge.join.choke:
            span = _slice(times, bridge.start_s, bridge.stop_s)
            more[span] += _CHOKED_AIR_DB / bridge.join.choke.dull_octaves * dulling_of(times[span], bridge)
    return more


def _breathing_db(times: Real, breaths: tuple[Breath, ...]) -> Real:
    level = np.full(len(times), FLOOR_DB)
    for breath in breaths:
        here = _slice(times, breath.onset_s, breath.onset_s + breath.length_s)
        along = (times[here] - breath.onset_s) / breath.length_s
        level[here] = breath.level_db + 20.0 * np.log10(np.maximum(np.sin(np.pi * along), 1e-4))
    return level


def _power_db(*levels: Real) -> Real:
    """Level of sounds together."""
    return np.asarray(10.0 * np.log10(np.sum([10.0 ** (level / 10.0) for level in levels], axis=0) + 1e-20))

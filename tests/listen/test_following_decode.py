"""The likeliest path on takes that are written down by hand, cut by cut."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from slurwright.listen import following_trail
from slurwright.listen.following_decode import decode
from slurwright.listen.following_evidence import evidence_of
from slurwright.listen.following_level import Dips
from slurwright.listen.following_path import SPANS, Kind, Line, Path
from slurwright.listen.following_segments import Frames, Segments, segments_of

STEP_S = 0.005
SURE = 7.0


@dataclass(frozen=True, slots=True)
class Bit:
    """What sounds for a while: a pitch above A4, or None for nothing."""

    pitch: float | None
    length_s: float = 0.5
    dip: float | None = None
    """Odds of a dip before it."""


def frames_for(bits: Sequence[Bit]) -> tuple[Frames, Dips, float]:
    pitch: list[NDArray[np.float64]] = []
    dips, at = [], 0.0
    for bit in bits:
        count = round(bit.length_s / STEP_S)
        pitch.append(np.full(count, np.nan if bit.pitch is None else bit.pitch))
        if bit.dip is not None:
            dips.append((at, bit.dip))
        at += count * STEP_S
    semitones = np.concatenate(pitch)
    heard = ~np.isnan(semitones)
    level = np.where(heard, -20.0, -70.0)
    frames = Frames(0.0, STEP_S, np.where(heard, semitones, 0.0), heard, level)
    table = np.array(dips).reshape(-1, 2)
    return frames, Dips(table[:, 0], table[:, 1]), at


def line_of(pitches: Sequence[float], length_s: float = 0.5) -> tuple[Line, NDArray[np.float64]]:
    different, which = np.unique(np.array(pitches, np.float64), return_inverse=True)
    onset = np.asarray(length_s * np.arange(len(pitches)), np.float64)
    lengths = np.full(len(pitches), length_s)
    return Line(onset, lengths, np.array(pitches, np.float64), which.astype(np.intp)), different


def solved(pitches: Sequence[float], bits: Sequence[Bit]) -> tuple[Path, Segments]:
    frames, dips, length_s = frames_for(bits)
    segments = segments_of(frames, dips, length_s=length_s)
    line, different = line_of(pitches)
    return decode(line, segments, evidence_of(frames, segments, different, spans=SPANS)), segments


def sounds(path: Path) -> list[tuple[Kind, int | None]]:
    return [(at.kind, at.asked) for at in path.stretches if at.kind not in (Kind.GAP, Kind.NOISE)]


def asked(*notes: int) -> list[tuple[Kind, int | None]]:
    return [(Kind.ASKED, note) for note in notes]


TUNE = (0.0, 2.0, 4.0, 5.0, 7.0, 4.0, 2.0, 0.0)


def plain() -> list[Bit]:
    return [Bit(None, 0.3), *(Bit(pitch) for pitch in TUNE), Bit(None, 0.3)]


def test_a_faultless_take_is_the_part() -> None:
    path, segments = solved(TUNE, plain())
    assert sounds(path) == asked(*range(8))
    starts = [segments.cut_s[at.first_cut] for at in path.stretches if at.kind is Kind.ASKED]
    assert np.allclose(starts, 0.3 + 0.5 * np.arange(8), atol=0.01)


@pytest.mark.parametrize("pace", [0.5, 1.7])
def test_any_tempo_will_do(pace: float) -> None:
    bits = [Bit(bit.pitch, bit.length_s * pace) for bit in plain()]
    assert sounds(solved(TUNE, bits)[0]) == asked(*range(8))


def test_a_wrong_note_is_wrong() -> None:
    bits = plain()
    bits[4] = Bit(8.5)
    assert sounds(solved(TUNE, bits)[0]) == [*asked(0, 1, 2), (Kind.WRONG, 3), *asked(4, 5, 6, 7)]


def test_an_octave_is_an_octave() -> None:
    bits = plain()
    bits[4] = Bit(17.0)
    assert sounds(solved(TUNE, bits)[0]) == [*asked(0, 1, 2), (Kind.OCTAVE, 3), *asked(4, 5, 6, 7)]


@pytest.mark.parametrize("silent", [True, False])
def test_a_missed_note_is_missed(silent: bool) -> None:
    bits = plain()
    bits[4:5] = [Bit(None)] if silent else []
    assert sounds(solved(TUNE, bits)[0]) == asked(0, 1, 2, 4, 5, 6, 7)


def test_a_retake_goes_back() -> None:
    bits = [*plain()[:6], Bit(None, 0.8), *plain()[3:]]
    assert sounds(solved(TUNE, bits)[0]) == asked(0, 1, 2, 3, 4, 2, 3, 4, 5, 6, 7)


def test_a_sound_between_is_extra() -> None:
    bits = plain()
    bits.insert(4, Bit(-6.3, 0.4))
    assert sounds(solved(TUNE, bits)[0]) == [*asked(0, 1, 2), (Kind.EXTRA, None), *asked(3, 4, 5, 6, 7)]


def test_a_repeated_note_needs_a_new_start() -> None:
    part = (0.0, 2.0, 2.0, 4.0)
    twice = [Bit(0.0), Bit(2.0), Bit(2.0, dip=SURE), Bit(4.0)]
    once = [Bit(0.0), Bit(2.0), Bit(4.0)]
    assert sounds(solved(part, twice)[0]) == asked(0, 1, 2, 3)
    assert sounds(solved(part, once)[0]) in (asked(0, 1, 3), asked(0, 2, 3))


def test_a_note_of_many_pieces_is_one_note() -> None:
    pieces = [Bit(2.0, 0.15, dip=-1.0) for _ in range(3 * SPANS)]
    path, _ = solved((0.0, 2.0, 4.0), [Bit(0.0), *pieces, Bit(4.0)])
    assert sounds(path) == asked(0, 1, 2)


def test_moving_everything_moves_nothing() -> None:
    bits = plain()
    bits[4] = Bit(8.5)
    moved = [Bit(None if bit.pitch is None else bit.pitch - 19.0, bit.length_s) for bit in bits]
    here, there = solved(TUNE, bits)[0], solved([pitch - 19.0 for pitch in TUNE], moved)[0]
    assert here.stretches == there.stretches
    assert here.nats == pytest.approx(there.nats)


def test_what_lies_far_back_may_be_settled(monkeypatch: pytest.MonkeyPatch) -> None:
    bits = [*plain()[:6], Bit(None, 0.8), *plain()[3:]]
    bits[4] = Bit(8.5)
    whole = solved(TUNE, bits)[0]
    monkeypatch.setattr(following_trail, "_KEPT_CUTS", 12)
    monkeypatch.setattr(following_trail, "_SETTLED_CUTS", 6)
    assert solved(TUNE, bits)[0].stretches == whole.stretches


def test_a_part_of_one_note_can_be_followed() -> None:
    assert sounds(solved((3.0,), [Bit(None), Bit(3.0), Bit(None)])[0]) == asked(0)

"""The tuning of a whole take, from which pitches are heard."""

import numpy as np
import pytest

from slurwright.listen.following_segments import Segments
from slurwright.listen.following_tuning import tunings_of

PART = np.array([0.0, 2.0, 4.0, 5.0, 7.0, 9.0, 11.0, 12.0])


def segments_with(pitches: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Segments:
    count = len(pitches)
    nothing = np.zeros(count)
    return Segments(
        cut_s=np.asarray(0.4 * np.arange(count + 1), np.float64),
        first_frame=80 * np.arange(count + 1),
        again=np.zeros(count + 1),
        semitones=pitches,
        heard_s=np.full(count, 0.4),
        unsteady_s=nothing,
        stray=nothing,
        glide=nothing,
        tail=np.zeros(count, np.bool_),
    )


@pytest.mark.parametrize("offset", [-12.3, -0.9, -0.4, 0.0, 0.25, 0.8, 11.9])
def test_the_true_offset_is_tried(offset: float) -> None:
    found = tunings_of(segments_with(PART + offset), PART, np.ones(len(PART)))
    assert min(abs(tuning - offset) for tuning in found) <= 0.15
    assert len(found) <= 3


def test_a_take_in_tune_is_first_taken_for_one() -> None:
    assert abs(tunings_of(segments_with(PART), PART, np.ones(len(PART)))[0]) < 0.1


def test_an_excerpt_tells_the_tuning_too() -> None:
    found = tunings_of(segments_with(PART[2:6] + 0.3), PART, np.ones(len(PART)))
    assert min(abs(tuning - 0.3) for tuning in found) <= 0.15


def test_silence_has_no_tuning() -> None:
    silent = segments_with(PART)
    none = Segments(
        silent.cut_s, silent.first_frame, silent.again, PART, np.zeros(8), silent.unsteady_s, silent.stray,
        silent.glide, silent.tail,
    )  # fmt: skip
    assert tunings_of(none, PART, np.ones(len(PART))) == (0.0,)

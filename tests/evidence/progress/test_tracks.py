"""How surely risks are known together: with themselves wholly, with others through what they share."""

from datetime import timedelta

import numpy as np
import pytest

from builders.practised import HORN, MONDAY, Practised, attempts_at, slur, tracked
from slurwright.evidence.progress.tracks import Tracker
from slurwright.plan import Technique

LIP, TONGUED = slur("F3", "Bb3"), slur("F3", "Bb3", technique=Technique.LEGATO_TONGUE)
FOURTH, OTHER = slur("F3", "Bb3", fingerings=("4", None)), slur("D4", "F4")
FIRST, LAST = MONDAY, MONDAY + timedelta(weeks=8)


@pytest.fixture(scope="module")
def tracker() -> Tracker:
    rng = np.random.default_rng(3)
    days = np.linspace(0, 56, 30).astype(int).tolist()
    made = (Practised(tried, days, np.full(30, 0.7)) for tried in (LIP, TONGUED, FOURTH, OTHER))
    return tracked([attempt for one in made for attempt in attempts_at(one, rng)], today=LAST)


def test_a_slur_is_known_with_itself_wholly(tracker: Tracker) -> None:
    track = tracker.track(HORN, [(LIP, (FIRST, LAST)), (LIP, (FIRST, LAST))])
    assert track.cov[:2, :2] == pytest.approx(track.cov[2:, 2:])
    assert track.cov[:2, 2:] == pytest.approx(track.cov[:2, :2])
    assert track.mean[:2] == pytest.approx(track.mean[2:])


def test_asking_together_changes_nothing_of_each(tracker: Tracker) -> None:
    every = tracker.track(HORN, [(LIP, (FIRST, LAST)), (FOURTH, (LAST,)), (OTHER, (FIRST,))])
    alone = tracker.track(HORN, [(LIP, (FIRST, LAST))])
    assert every.cov[:2, :2] == pytest.approx(alone.cov)
    assert every.mean[:2] == pytest.approx(alone.mean)


def test_covariances_are_those_of_something_that_can_be(tracker: Tracker) -> None:
    days = [FIRST + timedelta(weeks=week) for week in range(9)]
    track = tracker.track(HORN, [(tried, days) for tried in (LIP, TONGUED, FOURTH, OTHER)])
    assert track.cov == pytest.approx(track.cov.T)
    assert np.linalg.eigvalsh(track.cov).min() > -1e-9


def test_the_nearer_the_kin_the_more_is_known_together(tracker: Tracker) -> None:
    track = tracker.track(HORN, [(tried, (LAST,)) for tried in (LIP, TONGUED, OTHER)])
    sds = np.sqrt(np.diag(track.cov))
    tongued, other = (track.cov[0, place] / sds[0] / sds[place] for place in (1, 2))
    assert 0.0 < tongued < 1.0
    assert tongued > other


def test_what_nobody_tried_is_not_asked_for(tracker: Tracker) -> None:
    assert tracker.has(HORN, LIP)
    assert not tracker.has(HORN, slur("C4", "F4"))
    assert not tracker.has("gone", LIP)
    with pytest.raises(ValueError, match="nothing was learnt"):
        tracker.track(HORN, [(slur("C4", "F4"), (LAST,))])

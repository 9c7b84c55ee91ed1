"""Curves of notes' pitch over weeks, against players whose places are known."""

from dataclasses import replace
from datetime import timedelta
from importlib import resources

import numpy as np
import pytest

from builders.tuned_takes import MONDAY, Tuner, taken_note, takes_of
from slurwright.evidence.progress.notes import note_progress
from slurwright.evidence.progress.values import NoteCurve, TakeOffset, Verdict
from slurwright.formats.progress_toml import parse_progress
from slurwright.listen.figure import Hidden, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import TakenNote

RULES = parse_progress((resources.files("slurwright") / "data" / "progress.toml").read_text("utf-8")).notes
DAYS = tuple(range(0, 70, 5))


def progress(taken: tuple[TakenNote, ...]) -> tuple[tuple[NoteCurve, ...], tuple[TakeOffset, ...]]:
    return note_progress(taken, horn="h1", rules=RULES)


def tuner(
    seed: int, *, nearer: float = 0.0, offsets: float = 0.0, notes: int = 10
) -> tuple[Tuner, tuple[float, ...]]:
    """Notes that lie somewhere and of which every second comes nearer to its target."""
    rng = np.random.default_rng(seed)
    places = np.repeat(
        rng.choice([-1.0, 1.0], notes)[:, None] * rng.uniform(10.0, 25.0, notes)[:, None], len(DAYS), 1
    )
    learns = np.arange(notes) % 2 == 0
    places[learns] *= 1.0 - nearer * np.array(DAYS) / DAYS[-1]
    made = Tuner(DAYS, places, offsets * rng.standard_normal(len(DAYS)))
    return made, tuple(learns)


def test_nothing_gives_nothing() -> None:
    assert progress(()) == ((), ())
    hidden = taken_note(Hidden(Veil.SHORT))
    other = replace(taken_note(3.0), note=replace(taken_note(3.0).note, played_as=PlayedAs.WRONG))
    assert progress((hidden, other)) == ((), ())


def test_one_take_is_too_little_to_say_anything() -> None:
    curves, offsets = progress((taken_note(12.0), taken_note(-3.0, midi=60)))
    assert [curve.verdict for curve in curves] == [Verdict.UNKNOWN, Verdict.UNKNOWN]
    assert [curve.way.sounding.midi for curve in curves] == [58, 60]
    assert not offsets[0].told
    low, high = curves[0].curve[0].value.low, curves[0].curve[0].value.high
    assert low < 12.0 < high


def test_notes_that_came_nearer_are_told_from_those_that_did_not() -> None:
    made, learns = tuner(1001, nearer=0.9, offsets=8.0)
    curves, _ = progress(takes_of(made, np.random.default_rng(1002)))
    told = [curve.verdict is Verdict.BETTER for curve in curves]
    assert not any(better and not learnt for better, learnt in zip(told, learns, strict=True))
    assert sum(told) >= 3
    assert all(curve.change.better > 0.5 for curve, learnt in zip(curves, learns, strict=True) if learnt)


def test_a_player_who_stays_is_not_said_to_change_and_is_known_better_with_time() -> None:
    made, _ = tuner(1003)
    taken = takes_of(made, np.random.default_rng(1004))
    few = [one for one in taken if one.played_on < MONDAY + timedelta(days=21)]
    widths = []
    for chosen in (tuple(few), taken):
        curves, _ = progress(chosen)
        assert not {curve.verdict for curve in curves} & {Verdict.BETTER, Verdict.WORSE}
        widths.append(np.mean([curve.curve[-1].value.high - curve.curve[-1].value.low for curve in curves]))
    assert widths[1] < 0.8 * widths[0]


def test_a_take_that_is_sharp_as_a_whole_is_told_apart_and_bends_no_curve() -> None:
    made, _ = tuner(1005)
    offsets = np.zeros(len(DAYS))
    offsets[-1] = 25.0
    plain, _ = progress(takes_of(made, np.random.default_rng(1006)))
    sharp, found = progress(takes_of(replace(made, offsets=offsets), np.random.default_rng(1006)))
    assert [one.told for one in found] == [False] * (len(DAYS) - 1) + [True]
    shift = 25.0 / len(DAYS)
    assert found[-1].cents.low < 25.0 - shift < found[-1].cents.high
    for one, other in zip(plain, sharp, strict=True):
        assert other.curve[-1].value.value - one.curve[-1].value.value == pytest.approx(shift, abs=1.5)
        assert other.verdict not in {Verdict.BETTER, Verdict.WORSE}


def test_a_bad_day_of_one_note_bends_its_curve_little() -> None:
    made, _ = tuner(1007)
    taken = takes_of(replace(made, bad_days=0.0, missed=0.0), np.random.default_rng(1008))
    last = max(one.played_on for one in taken)
    spoilt = tuple(
        taken_note(60.0, midi=50, take=one.take_id, day=last)
        if one.played_on == last and one.note.way.sounding.midi == 50
        else one
        for one in taken
    )
    before, after = progress(taken)[0][0], progress(spoilt)[0][0]
    assert after.points[-1].cents.value > 50.0
    assert abs(after.curve[-1].value.value - before.curve[-1].value.value) < 4.0


def test_intervals_hold_the_truth() -> None:
    held, ends = [], []
    for seed in range(1010, 1030):
        made, _ = tuner(seed, nearer=0.5, offsets=8.0)
        curves, offsets = progress(takes_of(made, np.random.default_rng(seed + 500)))
        shift = float(made.offsets.mean())
        for curve in curves:
            days = [MONDAY + timedelta(days=day) for day in DAYS]
            truth = made.places[curve.way.sounding.midi - 50, days.index(curve.change.end.day)] + shift
            ends.append(curve.change.end.value.low <= truth <= curve.change.end.value.high)
        for one in offsets:
            truth = float(made.offsets[int(one.take_id[1:])]) - shift
            held.append(one.cents.low <= truth <= one.cents.high)
    assert 0.85 <= np.mean(ends) <= 0.98
    assert 0.82 <= np.mean(held) <= 0.97


def test_the_order_in_which_notes_come_does_not_matter() -> None:
    made, _ = tuner(1009, nearer=0.5, offsets=5.0)
    taken = takes_of(made, np.random.default_rng(1010))
    for one, other in zip(progress(taken)[0], progress(taken[::-1])[0], strict=True):
        assert one.curve[-1].value.value == pytest.approx(other.curve[-1].value.value, abs=1e-6)

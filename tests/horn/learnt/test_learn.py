"""Learning against dense arithmetic done another way, and its laws."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.horn_trials import PRIORS
from builders.horn_worlds import PLAIN, draw_horn, sit, useful_ways
from slurwright.devices.packaged import load_horn
from slurwright.errors import FingeringError, RequestError
from slurwright.horn.learnt import ToneReading, WayKey
from slurwright.horn.learnt.frame import Frame, frame_of, rows_of
from slurwright.horn.learnt.learn import learn, learn_more
from slurwright.horn.learnt.predict import joint, loudness_slope, predict, raw_joint
from slurwright.pitch import SoundingPitch

Real = npt.NDArray[np.float64]

TRUMPET = load_horn("trumpet-b")
WAYS = useful_ways(TRUMPET)
SURE = replace(PRIORS, trust=1e12, slip_chance=1e-9)
"""Sizes known and no slips: the answer is then plain normal conditioning."""


def _tones(rng: np.random.Generator, count: int, *, session: str = "one") -> tuple[ToneReading, ...]:
    true = draw_horn(rng, TRUMPET, replace(PLAIN, slips=0.0))
    chosen = [WAYS[place] for place in rng.integers(0, len(WAYS), count)]
    return sit(rng, true, chosen, session).readings


def _prior(frame: Frame) -> Real:
    size = len(frame.names)
    covariance = np.zeros((size, size))
    for block in frame.blocks:
        if len(block.precision):
            covariance[block.part, block.part] = np.linalg.inv(block.precision) * block.sd**2
    return covariance


def _dense(readings: Sequence[ToneReading], wanted: Sequence[WayKey]) -> tuple[Real, Real]:
    """Condition the joint normal of readings and wanted pitches directly, every residue an unknown of its own."""
    frame = frame_of(TRUMPET, SURE)
    read = [(one.fingering, one.partial) for one in readings]
    ways = list(dict.fromkeys([*read, *wanted]))
    rows = rows_of(frame, ways)
    cover = rows.design @ _prior(frame) @ rows.design.T + np.diag(rows.own_sd**2)
    pick = np.array([ways.index(way) for way in read])
    want = np.array([ways.index(way) for way in wanted])
    sessions = [one.session for one in readings]
    same = np.equal.outer(sessions, sessions)
    short = rows.short[pick]
    loud = np.array([one.dynamic for one in readings])
    data = (
        cover[np.ix_(pick, pick)]
        + same * (SURE.air_sd_cents**2 + SURE.main_slide_sd_cents**2 * np.outer(short, short))
        + SURE.dynamic_sd_cents**2 * np.outer(loud, loud)
        + SURE.reading_sd_cents**2 * np.eye(len(readings))
    )
    seen = np.array([100 * one.sounding.midi + one.cents for one in readings]) - rows.height[pick]
    cross = cover[np.ix_(want, pick)]
    mean = rows.height[want] + cross @ np.linalg.solve(data, seen)
    return mean, cover[np.ix_(want, want)] - cross @ np.linalg.solve(data, cross.T)


@pytest.mark.parametrize("seed", range(3))
def test_answer_is_that_of_dense_conditioning(seed: int) -> None:
    rng = np.random.default_rng(seed)
    readings = (*_tones(rng, 15), *_tones(rng, 10, session="two"))
    readings = tuple(replace(one, dynamic=float(rng.integers(-2, 3))) for one in readings)
    wanted = [way[:2] for way in WAYS[::7]]
    mean, covariance = _dense(readings, wanted)
    found = raw_joint(learn(TRUMPET, readings, SURE), wanted)
    np.testing.assert_allclose(found.height, mean, atol=0.05)
    np.testing.assert_allclose(found.covariance, covariance, atol=0.5)


def test_prior_scatter_of_partials_valves_and_combinations_is_the_stated_one() -> None:
    frame = frame_of(TRUMPET, PRIORS)
    partials = [("0", number) for number in range(2, 11)]
    rows = rows_of(frame, partials)
    spread = np.sqrt(np.diag(rows.design @ _prior(frame) @ rows.design.T) + rows.own_sd**2)
    assert np.all((spread > 11.0) & (spread < 13.5)), "12 cents of scatter between partials"
    ways = [("0", 4), ("1", 4), ("2", 4), ("3", 4)]
    column = np.array([not name.startswith(("slow", "fine", "partial", "dynamic")) for name in frame.names])
    valves = rows_of(frame, ways).design[:, column]
    cents = np.sqrt(np.diag(valves @ _prior(frame)[np.ix_(column, column)] @ valves.T))
    assert cents[0] == 0
    assert np.all(np.abs(cents[1:] - 5.0) < 1.2), "5 cents for a valve alone"


def test_without_readings_the_catalogue_stands() -> None:
    learnt = learn(TRUMPET, (), PRIORS)
    found = joint(learnt, [way[:2] for way in WAYS])
    np.testing.assert_allclose(found.height, found.nominal, atol=1e-9)
    assert learnt.verdicts == ()


def test_learning_more_is_learning_all_at_once() -> None:
    rng = np.random.default_rng(5)
    readings = _tones(rng, 60)
    wanted = [way[:2] for way in WAYS]
    whole = joint(learn(TRUMPET, readings, PRIORS), wanted)
    steps = learn(TRUMPET, readings[:50], PRIORS)
    for one in readings[50:]:
        steps = learn_more(steps, [one])
    bit_by_bit = joint(steps, wanted)
    np.testing.assert_allclose(bit_by_bit.height, whole.height, atol=0.7)
    np.testing.assert_allclose(np.diag(bit_by_bit.covariance), np.diag(whole.covariance), rtol=0.12)


@settings(max_examples=10, deadline=None)
@given(st.permutations(range(14)))
def test_order_of_readings_does_not_matter(order: list[int]) -> None:
    readings = _tones(np.random.default_rng(8), 14)
    wanted = [way[:2] for way in WAYS]
    first = joint(learn(TRUMPET, readings, PRIORS), wanted)
    second = joint(learn(TRUMPET, [readings[place] for place in order], PRIORS), wanted)
    np.testing.assert_allclose(first.height, second.height, atol=1e-6)


def test_an_offset_of_a_whole_session_is_not_taken_for_the_horn() -> None:
    readings = _tones(np.random.default_rng(3), 30)
    sharp = tuple(replace(one, cents=one.cents + 18.0, session="warm evening") for one in readings)
    wanted = [way[:2] for way in WAYS]
    alone = joint(learn(TRUMPET, readings, PRIORS), wanted)
    both = learn(TRUMPET, (*readings, *sharp), PRIORS)
    together = joint(both, wanted)
    assert np.sqrt(np.mean((alone.height - together.height) ** 2)) < 2.0
    moved = joint(both, wanted, at="warm evening").height - joint(both, wanted, at="one").height
    assert 14.0 < np.mean(moved) < 20.0


def test_known_temperature_explains_a_difference_between_sessions() -> None:
    readings = tuple(replace(one, temperature_c=16.0) for one in _tones(np.random.default_rng(4), 20))
    warm = tuple(replace(one, cents=one.cents + 29.7, temperature_c=26.0, session="warm") for one in readings)
    learnt = learn(TRUMPET, (*readings, *warm), PRIORS)
    # derived: 29.7 cents between 16 and 26 degrees; nothing is left for slide and breath to explain
    cold, hot = (learnt.posterior.mean[learnt.session(name).column] for name in ("one", "warm"))
    assert abs(cold - hot) < 0.5
    assert learnt.session("warm").drift_cents - learnt.session("one").drift_cents == pytest.approx(29.4, abs=0.5)


def _steady(cents: float = 3.0) -> list[ToneReading]:
    """One quiet horn: all of it a few cents sharp."""
    return [
        ToneReading(note, fingering, partial, 100 * (key - note.midi) + cents, "one")
        for fingering, partial, note in WAYS[::2]
        for key in (
            TRUMPET.open_pitch.midi
            + 12 * np.log2(partial / next(one.ratio for one in TRUMPET.settings if one.fingering == fingering)),
        )
    ]


def test_a_wrong_partial_is_set_aside_and_named() -> None:
    readings = _steady()
    place = next(i for i, one in enumerate(readings) if one.partial == 5)
    readings[place] = replace(readings[place], cents=readings[place].cents + 1200 * np.log2(6 / 5))
    learnt = learn(TRUMPET, readings, PRIORS)
    (verdict,) = learnt.rejected
    assert verdict.index == place
    assert "partial 6 of the same fingering" in verdict.reason


def test_a_cracked_note_is_set_aside_and_leaves_the_horn_alone() -> None:
    readings = _steady()
    wanted = [way[:2] for way in WAYS]
    clean = joint(learn(TRUMPET, readings, PRIORS), wanted).height
    readings[4] = replace(readings[4], cents=readings[4].cents - 70.0)
    learnt = learn(TRUMPET, readings, PRIORS)
    assert [verdict.index for verdict in learnt.rejected] == [4]
    assert "below what the other readings foretell" in learnt.rejected[0].reason
    assert np.max(np.abs(joint(learnt, wanted).height - clean)) < 3.0


def test_a_way_read_again_and_again_is_believed_even_where_it_is_odd() -> None:
    note = SoundingPitch.named("Bb4")
    odd = [ToneReading(note, "0", 4, 38.0, "one")] * 6
    learnt = learn(TRUMPET, [*(one for one in _steady() if (one.fingering, one.partial) != ("0", 4)), *odd], PRIORS)
    (tendency,) = predict(learnt, [("0", 4, note)], at="one")
    assert not learnt.rejected
    assert tendency.mean_cents > 25.0
    assert tendency.readings == 6


def test_the_players_scatter_is_learnt() -> None:
    rng = np.random.default_rng(11)
    quiet = [replace(one, cents=one.cents + 1.5 * rng.normal()) for one in _steady() * 3]
    loud = [replace(one, cents=one.cents + 11.0 * rng.normal()) for one in _steady() * 3]
    steady, unsteady = (learn(TRUMPET, readings, PRIORS).posterior.sizes.scatter ** 0.5 for readings in (quiet, loud))
    assert steady < 3.0
    assert 9.0 < unsteady < 13.0


def test_a_player_who_sharpens_when_loud_is_known_for_it() -> None:
    rng = np.random.default_rng(12)
    steps = rng.integers(-3, 3, 60)
    tones = (_steady() * 3)[:60]
    readings = [
        replace(one, dynamic=float(step), cents=one.cents + 3.0 * step + 4.0 * rng.normal())
        for one, step in zip(tones, steps, strict=True)
    ]
    slope, spread = loudness_slope(learn(TRUMPET, readings, PRIORS))
    assert slope == pytest.approx(3.0, abs=3 * spread)
    assert slope > 2.0
    assert spread < 0.7
    assert loudness_slope(learn(TRUMPET, (), PRIORS)) == pytest.approx((0.0, PRIORS.dynamic_sd_cents))


def test_impossible_readings_are_refused_together() -> None:
    good = _steady()[0]
    bad = [replace(good, partial=0), replace(good, cents=float("nan")), replace(good, sd_cents=-1.0)]
    with pytest.raises(RequestError) as caught:
        learn(TRUMPET, [good, *bad], PRIORS)
    assert len(caught.value.faults) == 3
    with pytest.raises(FingeringError, match="no such fingering"):
        learn(TRUMPET, [replace(good, fingering="4")], PRIORS)
    with pytest.raises(RequestError, match="no such session"):
        learn(TRUMPET, [good], PRIORS).session("yesterday")


@pytest.mark.parametrize("name", ["euphonium-4c", "horn-double", "trombone-f", "tuba-c-5"])
def test_every_kind_of_horn_can_be_learnt(name: str) -> None:
    horn = load_horn(name)
    rng = np.random.default_rng(2)
    ways = [(*way, SoundingPitch.from_midi(midi)) for midi, way in sorted(horn.normal.items()) if way[1] > 1]
    readings = [
        ToneReading(note, fingering, partial, 4.0 + 4.0 * rng.normal(), "one")
        for fingering, partial, note in ways[::2]
    ]
    learnt = learn(horn, readings, PRIORS)
    tendencies = predict(learnt, ways, at="one")
    assert len(learnt.rejected) <= len(readings) // 5
    assert all(0 < one.sd_cents < 20 for one in tendencies)

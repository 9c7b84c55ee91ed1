"""Tendencies, their intervals and where they come from."""

import numpy as np
import pytest

from builders.horn_trials import PRIORS
from builders.horn_worlds import PLAIN, draw_horn, sit, useful_ways
from slurwright.devices.packaged import load_horn
from slurwright.errors import FingeringError
from slurwright.horn.learnt.learn import LearntHorn, learn
from slurwright.horn.learnt.predict import as_horn, chart, joint, playable_ways, predict, tuning_ways
from slurwright.pitch import SoundingPitch
from slurwright.plan.ways import ways_of

HORN = load_horn("euphonium-4c")
WAYS = useful_ways(HORN)


@pytest.fixture(scope="module")
def learnt() -> LearntHorn:
    rng = np.random.default_rng(21)
    chosen = [WAYS[place] for place in rng.permutation(len(WAYS))[:20]]
    sitting = sit(rng, draw_horn(rng, HORN, PLAIN), [*chosen, *chosen[:5]])
    return learn(HORN, sitting.readings, PRIORS)


def test_shares_say_where_knowledge_comes_from(learnt: LearntHorn) -> None:
    tendencies = predict(learnt, WAYS)
    for tendency in tendencies:
        shares = tendency.shares
        assert shares.measured + shares.inferred + shares.prior == pytest.approx(1.0, abs=1e-6)
        assert min(shares.measured, shares.inferred, shares.prior) >= 0
        assert (shares.measured > 0.001) <= (tendency.readings > 0)
    read = [one for one in tendencies if one.readings]
    unread = [one for one in tendencies if not one.readings]
    assert np.mean([one.sd_cents for one in read]) < np.mean([one.sd_cents for one in unread])
    assert any(one.shares.inferred > 0.3 for one in unread), "unread ways are inferred from others"


def test_interval_holds_nine_of_ten_of_its_normal(learnt: LearntHorn) -> None:
    (tendency,) = predict(learnt, WAYS[:1])
    assert (tendency.low_cents + tendency.high_cents) / 2 == pytest.approx(tendency.mean_cents)
    assert (tendency.high_cents - tendency.low_cents) / tendency.sd_cents == pytest.approx(2 * 1.6449, abs=1e-3)


def test_joint_covariance_is_one(learnt: LearntHorn) -> None:
    keys = [way[:2] for way in WAYS]
    found = joint(learnt, [*keys, keys[0]])
    assert np.linalg.eigvalsh(found.covariance)[0] > -1e-6
    np.testing.assert_allclose(found.covariance[0], found.covariance[-1], atol=1e-9)


def test_as_tuned_the_normal_ways_lie_on_average_where_the_catalogue_has_them(learnt: LearntHorn) -> None:
    by = tuning_ways(HORN)
    found = joint(learnt, by)
    assert abs(np.mean(found.height - found.nominal)) < 1e-6
    ones = np.ones(len(by)) / len(by)
    assert ones @ found.covariance @ ones < 1e-6


def test_the_plan_sees_what_was_learnt(learnt: LearntHorn) -> None:
    horn = as_horn(learnt)
    note = SoundingPitch.named("F3")
    ways = {(way.fingering, way.partial): way for way in ways_of(note, horn)}
    for key, way in ways.items():
        (tendency,) = predict(learnt, [(*key, note)])
        assert way.cents == pytest.approx(tendency.mean_cents, abs=1e-6)
        assert way.spread_cents == pytest.approx(tendency.sd_cents, abs=1e-6)


def test_learning_again_from_the_learnt_horn_adds_to_it(learnt: LearntHorn) -> None:
    again = as_horn(learn(as_horn(learnt), (), PRIORS))
    before = as_horn(learnt)
    assert all(again.tendencies[way] == pytest.approx(cents) for way, cents in before.tendencies.items())


def test_chart_has_every_playable_way(learnt: LearntHorn) -> None:
    table = chart(learnt)
    assert {key[:2] for key in table} == set(playable_ways(HORN))
    for (fingering, partial, note), tendency in table.items():
        assert abs(tendency.mean_cents) < 150, f"{note} on {fingering}, partial {partial}"


def test_pedals_are_known_less(learnt: LearntHorn) -> None:
    by_partial = {key[1]: one.sd_cents for key, one in chart(learnt).items() if key[0] == "0"}
    assert by_partial[1] > 2 * by_partial[2]


def test_unknown_fingering_is_refused(learnt: LearntHorn) -> None:
    with pytest.raises(FingeringError):
        predict(learnt, [("5", 3, SoundingPitch.named("F3"))])
    assert predict(learnt, []) == ()

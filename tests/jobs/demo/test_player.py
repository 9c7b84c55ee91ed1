"""The demo's made-up player: what is true of her, and that her takes are drawn from it."""

import numpy as np
import pytest

from builders.parts import part_of
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.evidence.attempts import Tried
from slurwright.jobs.demo.player import ODILE, MadeUpPlayer, made_up_take, true_risk, true_risks
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.jobs.tried import tried_at
from slurwright.plan import Technique
from slurwright.plan.study import Study
from slurwright.synth.faults import SlurAs

HORN = load_horn("euphonium-4c")


@pytest.fixture(scope="module")
def study() -> Study:
    request = StudyRequest(each_time=True, best=1, most_changes=0, dynamic="pp")
    part = part_of("(F3 Bb3) (D4 C4) | (G3 D3) (Bb3 F3)")
    return study_part(part, HORN, request, chances=load_chances(), familiarity=load_familiarity())


def slur(study: Study, move: int, technique: Technique = Technique.PLAIN) -> Tried:
    return tried_at(study, move, technique=technique, chances=load_chances())


def test_a_player_who_is_as_the_priors_say(study: Study) -> None:
    nobody = MadeUpPlayer("Nobody", "none")
    risks = true_risks(nobody, study, chances=load_chances(), tried={}, played={})
    assert {report.move: pytest.approx(report.break_risk) for report in study.reports} == risks


def test_her_weak_place_her_tongue_and_her_practice(study: Study) -> None:
    first = slur(study, 0)
    prior = 0.2
    assert true_risk(ODILE, prior, tried=first, played={}) > prior
    often = true_risk(ODILE, prior, tried=first, played={("F3", "Bb3"): 50})
    assert often < true_risk(ODILE, prior, tried=first, played={("F3", "Bb3"): 5})
    tongued = slur(study, 0, Technique.LEGATO_TONGUE)
    assert true_risk(ODILE, prior, tried=tongued, played={}) < true_risk(ODILE, prior, tried=first, played={})


def test_slurs_break_as_often_as_they_should(study: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    spoilt: list[bool] = []

    def seen(at: int, played: object) -> SlurAs:
        spoilt.append(bool(getattr(played, "silence_s", 0.0) or getattr(played, "dwells", ())))
        return SlurAs(at, played)  # type: ignore[arg-type]

    monkeypatch.setattr("slurwright.jobs.demo.player.SlurAs", seen)
    monkeypatch.setattr("slurwright.jobs.demo.player.render", lambda *_args, **_more: _Nothing())
    risks = {report.move: 0.3 for report in study.reports}
    rng = np.random.default_rng(1001)
    for _ in range(200):
        made_up_take(study, risks, tried={}, rng=rng)
    assert 0.24 < np.mean(spoilt) < 0.36


class _Nothing:
    samples = np.zeros(1, dtype=np.float32)
    rate_hz = 1.0


def test_the_same_lot_gives_the_same_take(study: Study) -> None:
    risks = dict.fromkeys((report.move for report in study.reports), 0.5)
    one, two = (made_up_take(study, risks, tried={}, rng=np.random.default_rng(1002)) for _ in range(2))
    assert np.array_equal(one.samples, two.samples)
    other = made_up_take(study, dict.fromkeys(risks, 0.0), tried={}, rng=np.random.default_rng(1002))
    assert not np.array_equal(one.samples[: len(other.samples)], other.samples[: len(one.samples)])

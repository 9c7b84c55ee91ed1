"""A player known from what is kept: gathered, learnt, and asked by a study."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

import pytest

from builders.parts import part_of
from builders.tried_slurs import tries_at
from slurwright.devices.packaged import load_beliefs, load_chances, load_familiarity, load_horn
from slurwright.evidence.attempts import Ear, Source
from slurwright.evidence.kept import EarAttempt, LoggedAttempt
from slurwright.horn.owned import OwnedHorn
from slurwright.jobs.known_player import LearntPlayer, attempts_of, horns_of, known_on, learn_player
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.listen.kept import PlayedSlur
from slurwright.plan.study import Study
from slurwright.plan.values import Basis

CHANCES, BELIEFS, FAMILIARITY = load_chances(), load_beliefs(), load_familiarity()
NOW = datetime(2026, 3, 2, 18, tzinfo=UTC)
TODAY = date(2026, 3, 2)
OLD = OwnedHorn("h1", "p1", "old silver", "euphonium-4c", None, "", NOW, NOW)
MUSIC = "(F3 Bb3) (Bb3 F3) (F3 Bb3)"


@dataclass
class Kept:
    """A store of one player that holds only what a test says."""

    logged: Sequence[EarAttempt] = ()
    owned: Sequence[OwnedHorn] = (OLD,)
    slurs: Sequence[PlayedSlur] = field(default_factory=tuple)

    def horns(self, player_id: str) -> tuple[OwnedHorn, ...]:
        return tuple(one for one in self.owned if one.player_id == player_id)

    def slurs_of(self, player_id: str) -> tuple[PlayedSlur, ...]:
        return tuple(self.slurs)

    def attempts_of(self, player_id: str) -> tuple[LoggedAttempt, ...]:
        return tuple(LoggedAttempt(f"a{number}", one, NOW) for number, one in enumerate(self.logged))


def study_on(player: LearntPlayer | None, **words: object) -> Study:
    request = StudyRequest(dynamic="pp", **words)  # type: ignore[arg-type]
    known = None if player is None else known_on(player, OLD.id)
    return study_part(
        part_of(MUSIC),
        load_horn("euphonium-4c"),
        request,
        chances=CHANCES,
        familiarity=FAMILIARITY,
        known=None if known is None else known.known,
        learnt_from=None if known is None else known.learnt_from,
    )


def learnt(kept: Kept) -> LearntPlayer:
    return learn_player(kept, "p1", catalogue=load_horn, chances=CHANCES, beliefs=BELIEFS, today=TODAY)


def test_who_tried_nothing_is_not_known() -> None:
    assert known_on(learnt(Kept()), OLD.id) is None


def test_attempts_by_ear_are_gathered_with_their_horn() -> None:
    tries = tries_at(study_on(None), OLD, 0, [Ear.GOOD, Ear.MISSED], day=TODAY)
    kept = Kept(tries)
    found = attempts_of(kept, "p1", beliefs=BELIEFS)
    assert [(one.horn, one.source) for one in found] == [("h1", Source.EAR)] * 2
    assert found[0].spoke > 0.5 > found[1].spoke
    horns = horns_of(kept, "p1", found, catalogue=load_horn)
    assert [(one, horn.id) for one, horn in horns.items()] == [("h1", "h1")]


def test_a_horn_that_is_not_there_any_more_is_left_out_and_said() -> None:
    tries = tries_at(study_on(None), OLD, 0, [Ear.GOOD] * 3, day=TODAY)
    player = learnt(Kept(tries, owned=()))
    assert player.horns == {}
    assert known_on(player, OLD.id) is None
    assert any("3 attempts left out" in words for words in player.learnt.notices)


@pytest.mark.parametrize(("heard", "riskier"), [(Ear.MISSED, True), (Ear.GOOD, False)])
def test_what_was_tried_counts_at_once(heard: Ear, riskier: bool) -> None:
    alone = study_on(None)
    player = learnt(Kept(tries_at(alone, OLD, 0, [heard] * 12, day=TODAY)))
    beside = study_on(player, priors_only=True)
    told = beside.reports[0].learnt
    assert told is not None
    assert told.basis is Basis.ATTEMPTS
    assert told.attempts > 8.0
    assert (told.risk > told.prior) is riskier
    assert told.low < told.risk < told.high


def test_the_report_is_of_the_plan_that_rests_on_what_is_learnt() -> None:
    alone = study_on(None)
    player = learnt(Kept(tries_at(alone, OLD, 0, [Ear.MISSED] * 12, day=TODAY)))
    study = study_on(player)
    assert study.learnt_from is not None
    assert (study.learnt_from.attempts, study.learnt_from.until) == (12, TODAY)
    assert study.otherwise == alone.plan
    assert study.plan != alone.plan
    for report in study.reports:
        assert report.learnt is not None
        assert report.break_risk == pytest.approx(report.learnt.risk, abs=1e-6)


def test_priors_alone_plan_as_if_nothing_had_been_tried() -> None:
    alone = study_on(None)
    player = learnt(Kept(tries_at(alone, OLD, 0, [Ear.MISSED] * 12, day=TODAY)))
    beside = study_on(player, priors_only=True)
    assert beside.plans == alone.plans
    assert [one.break_risk for one in beside.reports] == [one.break_risk for one in alone.reports]
    assert beside.priors_only
    assert beside.otherwise == study_on(player).plan

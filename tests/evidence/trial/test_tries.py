"""Which place of the order a try fills: by ear the earliest of its arm, in a take its own."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from builders.kept_takes import slur
from builders.trials import DAY, trial_of, way
from slurwright.devices.packaged import load_beliefs
from slurwright.evidence.attempts import Ear, Source, Tried
from slurwright.evidence.kept import EarAttempt, LoggedAttempt
from slurwright.evidence.trial.order import slots_of
from slurwright.evidence.trial.tries import (
    RoundTake,
    arm_key,
    arm_of_key,
    next_slots,
    page_slots,
    tries_of,
)
from slurwright.evidence.trial.values import Slot, TrialDesign
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.kept import KeptMeasures, KeptSlur
from slurwright.listen.measures import SlurMeasure, SlurOutcome

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def logged(design: TrialDesign, *said: tuple[str, Ear]) -> tuple[LoggedAttempt, ...]:
    """What was logged, a minute apart: letter of the arm and what the ear said."""
    made = []
    for number, (key, heard) in enumerate(said):
        arm = design.arms["ABCD".index(key)]
        tried = Tried(arm.ways, arm.technique, -3.0, 80.0, 0.75, 1.5)
        about = EarAttempt("p", "h", "euphonium-4c", None, "3:1", tried, heard, DAY, trial_id="t", arm=key)
        made.append(LoggedAttempt(f"a{number}", about, NOON + timedelta(minutes=number)))
    return tuple(made)


def measures(design: TrialDesign, block: int, said: Sequence[SlurMeasure | None]) -> KeptMeasures:
    """A take of the page from a block on; None where a slur was not heard."""
    slurs = [
        KeptSlur(
            asked=(2 * place, 2 * place + 1),
            label="1:1",
            ways=design.arms[slot.arm].ways,
            technique=design.arms[slot.arm].technique.value,
            dynamic=-3.0,
            tempo_qpm=80.0,
            time_s=0.75,
            measure=measure,
        )
        for place, (slot, measure) in enumerate(zip(page_slots(design, block), said, strict=True))
        if measure is not None
    ]
    return KeptMeasures((), tuple(slurs), 30.0, "1", "{}", 1)


def taken(design: TrialDesign, block: int, said: Sequence[SlurMeasure | None]) -> RoundTake:
    return RoundTake("k", block, DAY, measures(design, block, said))


CLEAN = replace(
    slur(0, (way("F3", "0", 3), way("Bb3", "0", 4))).measure, outcome=SlurOutcome.CLEAN, outcome_chance=0.98
)
BROKE = replace(CLEAN, outcome=SlurOutcome.BROKE, quality=Hidden(Veil.UNHEARD))
TONGUED = replace(CLEAN, outcome=SlurOutcome.TONGUED)


def test_by_ear_the_earliest_place_of_the_arm_is_filled() -> None:
    design = trial_of()
    said = logged(design, ("A", Ear.GOOD), ("A", Ear.MISSED), ("B", Ear.ROUGH))
    tries = tries_of(design, said, (), beliefs=load_beliefs())
    assert {one.slot for one in tries} == {Slot(0, 0), Slot(1, 0), Slot(0, 1)}
    spoke = {one.slot: one.spoke for one in tries}
    assert spoke[Slot(0, 0)] > 0.9
    assert spoke[Slot(1, 0)] < 0.1
    assert all(one.source is Source.EAR and one.quality is None for one in tries)


def test_what_was_withdrawn_is_left_out_and_its_place_is_open() -> None:
    design = trial_of()
    first, second = logged(design, ("A", Ear.GOOD), ("A", Ear.MISSED))
    tries = tries_of(design, (replace(first, withdrawn_at=NOON), second), (), beliefs=load_beliefs())
    assert [(one.slot, one.spoke < 0.1) for one in tries] == [(Slot(0, 0), True)]


def test_a_take_fills_its_own_places_and_ears_the_rest() -> None:
    design = trial_of()
    take = taken(design, 0, [CLEAN] * 7 + [None])
    left = page_slots(design, 0)[7]
    tries = tries_of(design, logged(design, (arm_key(left.arm), Ear.GOOD)), (take,), beliefs=load_beliefs())
    assert {one.slot for one in tries} == set(page_slots(design, 0))
    assert {one.slot for one in tries if one.source is Source.EAR} == {left}


def test_a_plain_slur_that_was_tongued_is_no_try_of_a_plain_arm() -> None:
    design = trial_of(3)
    tries = tries_of(design, (), (taken(design, 0, [TONGUED] * 9),), beliefs=load_beliefs())
    assert {one.slot.arm for one in tries} == {2}


def test_what_broke_unseen_was_not_smooth() -> None:
    design = trial_of()
    tries = tries_of(design, (), (taken(design, 0, [BROKE] * 8),), beliefs=load_beliefs())
    assert len(tries) == 8
    assert all(isinstance(one.quality, Figure) and one.quality.value == 0.0 for one in tries)


def test_a_page_ends_with_its_round_and_the_trial() -> None:
    design = trial_of(most_blocks=6)
    assert {slot.block for slot in page_slots(design, 0)} == {0, 1, 2, 3}
    assert {slot.block for slot in page_slots(design, 2)} == {2, 3}
    assert {slot.block for slot in page_slots(design, 4)} == {4, 5}


def test_what_is_next_follows_from_what_is_there() -> None:
    design = trial_of(most_blocks=6)
    slots = slots_of(design)
    assert next_slots(design, ()) == slots[:8]
    said = logged(design, *((arm_key(slot.arm), Ear.GOOD) for slot in slots[:3]))
    assert next_slots(design, tries_of(design, said, (), beliefs=load_beliefs())) == slots[3:8]
    said = logged(design, *((arm_key(slot.arm), Ear.GOOD) for slot in slots))
    tries = tries_of(design, said, (), beliefs=load_beliefs())
    assert len(tries) == 12
    assert next_slots(design, tries) == ()


@pytest.mark.parametrize(("key", "arm"), [("A", 0), ("D", 3), ("", None), ("AB", None), ("a", None)])
def test_letters_of_arms(key: str, arm: int | None) -> None:
    assert arm_of_key(key) == arm
    if arm is not None:
        assert arm_key(arm) == key

"""A take counted up: what spoke, where it lies, what was left out."""

from dataclasses import replace

import pytest

from builders.measured_takes import Turn, faulty_take, good_take, taken, tune_study
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.followed import Following
from slurwright.listen.measures import SlurOutcome
from slurwright.listen.summary import summary_of


def test_a_good_take_has_nothing_but_right_notes() -> None:
    summary = summary_of(good_take().measure)
    assert (summary.asked, summary.right) == (27, 27)
    assert summary.outcomes[SlurOutcome.CLEAN] == summary.slurs == 14
    assert summary.unjudged == summary.missed == summary.wrong == summary.octave == summary.extra == 0


def test_every_fault_is_counted_once() -> None:
    summary = summary_of(faulty_take().measure)
    assert (summary.asked, summary.right) == (27, 24)
    assert (summary.missed, summary.wrong, summary.octave, summary.extra, summary.restarts) == (1, 1, 1, 1, 1)
    assert summary.outcomes == {
        SlurOutcome.CLEAN: 9,
        SlurOutcome.TONGUED: 1,
        SlurOutcome.BROKE: 3,
        SlurOutcome.WRONG_NOTE: 1,
    }


def test_a_slur_whose_note_was_missed_is_not_judged() -> None:
    study = tune_study()
    take = taken(study, [Turn(0), Turn(1), Turn(2), Turn(4)], missed=(3,))
    summary = summary_of(take.measure)
    assert (summary.slurs, summary.unjudged, summary.asked) == (1, 1, 5)


def test_the_middle_of_a_take_is_not_moved_by_one_bad_note() -> None:
    turns = [Turn(index, cents=8.0 + (index % 3)) for index in range(12)]
    even = summary_of(taken(tune_study(), turns).measure).tuning_cents
    turns[4] = replace(turns[4], cents=80.0)
    odd = summary_of(taken(tune_study(), turns).measure)
    assert isinstance(even, Figure)
    assert isinstance(odd.tuning_cents, Figure)
    assert odd.tuning_cents.value == pytest.approx(even.value, abs=1.0)
    assert odd.tuning_cents.low < odd.tuning_cents.value < odd.tuning_cents.high
    assert odd.furthest[0] == 4


def test_notes_of_another_octave_and_hidden_ones_do_not_count_for_the_tuning() -> None:
    take = faulty_take()
    summary = summary_of(take.measure)
    assert isinstance(summary.tuning_cents, Figure)
    assert abs(summary.tuning_cents.value) < 20
    assert all(abs(take.measure.notes[at].cents.value) < 100 for at in summary.furthest)  # type: ignore[union-attr]


def test_of_nothing_there_is_nothing_to_say() -> None:
    measure = replace(good_take().measure, following=Following((), ()), notes=(), slurs=())
    summary = summary_of(measure)
    assert (summary.asked, summary.right, summary.slurs) == (0, 0, 0)
    assert summary.tuning_cents == Hidden(Veil.UNHEARD)

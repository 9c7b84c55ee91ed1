"""What was logged by ear as a player goes through it."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from builders.kept_progress import logged
from builders.practised import slur
from slurwright.errors import RequestError
from slurwright.evidence.attempts import Ear
from slurwright.jobs.tried_list import heard_text, logged_rows, numbered_attempts, tried_answer

LIP = slur("F3", "Bb3")
THREE = logged(LIP, (0, 0, 0), (Ear.GOOD, Ear.MISSED, Ear.GOOD), label="12:3")
OTHER = logged(slur("D4", "F4"), (1,), (Ear.ROUGH,))


def test_alike_attempts_share_a_row_and_numbers_count_all() -> None:
    rows = logged_rows((*THREE, *OTHER))
    assert [(row.first, row.last) for row in rows] == [(1, 3), (4, 4)]
    assert heard_text(rows[0].attempts) == "2 good, 1 missed"
    assert [str(note) for note in rows[0].notes] == ["F3", "Bb3"]


def test_withdrawn_attempts_stand_apart_and_keep_their_numbers() -> None:
    gone = replace(THREE[1], withdrawn_at=datetime(2026, 11, 28, tzinfo=UTC))
    rows = logged_rows((THREE[0], gone, THREE[2]))
    assert [(row.first, row.withdrawn) for row in rows] == [(1, False), (2, True), (3, False)]


def test_numbers_and_ranges_mean_attempts() -> None:
    every = (*THREE, *OTHER)
    assert numbered_attempts(every, ["4", "1-2", "2"]) == (OTHER[0].id, THREE[0].id, THREE[1].id)


@pytest.mark.parametrize("words", ["0", "5", "3-9", "2-1", "one", "", "1-", "-1", "99999999999"])
def test_other_numbers_are_refused(words: str) -> None:
    with pytest.raises(RequestError, match="no attempt has that number"):
        numbered_attempts((*THREE, *OTHER), [words])


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(RequestError) as refused:
        numbered_attempts((), ["1", "2-3"])
    assert len(refused.value.faults) == 2
    assert "nothing has been logged yet" in str(refused.value)


def test_an_answer_can_start_late() -> None:
    every = (*THREE, *OTHER)
    told = tried_answer(every, {"h1": "old silver"}, since=date(2026, 9, 1))["attempts"]
    assert [(one["number"], one["heard"], one["horn"]) for one in told] == [(4, "rough", "old silver")]

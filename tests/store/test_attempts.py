from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from builders.kept_practice import ear, out_of_part, sheet, trial, tried
from builders.stores import NOW
from slurwright.errors import StoreError
from slurwright.evidence.attempts import Ear
from slurwright.evidence.kept import EarAttempt
from slurwright.store import Store

LATER = NOW + timedelta(days=30)


@pytest.fixture
def owner(band: Store) -> tuple[str, str]:
    ida = band.player_named("Ida Moor")
    return ida.id, band.horn_named(ida.id, "the old one").id


def test_attempts_come_back_as_they_were_logged(band: Store, owner: tuple[str, str]) -> None:
    wanted = [ear(*owner), out_of_part(*owner, Ear.ROUGH), ear(owner[0], None, Ear.MISSED)]
    logged = band.log_attempts(wanted, now=NOW)
    assert [one.about for one in logged] == wanted
    assert [one.place for one in logged] == [0, 1, 2]
    assert {one.made_at for one in logged} == {NOW}
    assert band.attempts_of(owner[0]) == logged


def test_attempts_are_chosen_by_horn_trial_and_day(band: Store, owner: tuple[str, str]) -> None:
    begun = band.add_trial(trial(*owner), now=NOW)
    first = ear(*owner, trial_id=begun.id, arm="a")
    second = replace(first, trial_id=None, arm="", played_on=date(2026, 2, 1))
    third = ear(owner[0], None, played_on=date(2026, 3, 1))
    band.log_attempts([first, second, third], now=NOW)

    def found(**wanted: object) -> list[EarAttempt]:
        return [one.about for one in band.attempts_of(owner[0], **wanted)]  # type: ignore[arg-type]

    assert found(horn_id=owner[1]) == [first, second]
    assert found(trial_id=begun.id) == [first]
    assert found(since=date(2026, 2, 1)) == [second, third]
    assert found(until=date(2026, 2, 1)) == [first, second]
    assert band.attempts_of(band.player_named("Tómas Hill").id) == ()


def test_what_is_logged_later_comes_later_also_where_the_clock_went_back(band: Store, owner: tuple[str, str]) -> None:
    (first,) = band.log_attempts([ear(*owner)], now=LATER)
    second, third = band.log_attempts([ear(*owner)] * 2, now=NOW)
    (fourth,) = band.log_attempts([ear(*owner)], now=NOW)
    assert band.attempts_of(owner[0]) == (first, second, third, fourth)
    assert (first.made_at, second.made_at - LATER) == (LATER, timedelta(microseconds=1))


def test_a_withdrawn_attempt_is_hidden_until_it_is_restored(band: Store, owner: tuple[str, str]) -> None:
    first, second = band.log_attempts([ear(*owner), ear(*owner, Ear.MISSED)], now=NOW)
    band.withdraw_attempts([first.id], now=LATER)
    assert band.attempts_of(owner[0]) == (second,)
    assert band.attempts_of(owner[0], withdrawn=True) == (replace(first, withdrawn_at=LATER), second)
    band.restore_attempts([first.id], now=LATER)
    assert band.attempts_of(owner[0]) == (first, second)


def test_withdrawing_is_all_or_nothing(band: Store, owner: tuple[str, str]) -> None:
    first, second = band.log_attempts([ear(*owner), ear(*owner)], now=NOW)
    band.withdraw_attempts([second.id], now=NOW)
    with pytest.raises(StoreError) as caught:
        band.withdraw_attempts([first.id, second.id, "none"], now=LATER)
    assert [fault.problem for fault in caught.value.faults] == [
        "this attempt is withdrawn already",
        "there is no such attempt",
    ]
    assert band.attempts_of(owner[0]) == (first,)


def test_a_withdrawal_is_never_before_its_attempt(band: Store, owner: tuple[str, str]) -> None:
    (one,) = band.log_attempts([ear(*owner)], now=LATER)
    band.withdraw_attempts([one.id], now=NOW)
    (kept,) = band.attempts_of(owner[0], withdrawn=True)
    assert kept.withdrawn_at == LATER


Spoil = Callable[[EarAttempt], EarAttempt]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda one: replace(one, model=" "), "an attempt needs a model"),
        (lambda one: replace(one, arm="a"), "a choice of no trial"),
        (lambda one: replace(one, label="\ud800"), "too long or garbled"),
        (lambda one: replace(one, tried=replace(tried(), tempo_qpm=0.0)), "no tempo; got 0"),
        (lambda one: replace(one, tried=replace(tried(), dynamic=11.0)), "a dynamic out of reach"),
        (lambda one: replace(one, tried=replace(tried(), time_s=-0.1)), "no time between the notes"),
        (lambda one: replace(one, tried=replace(tried(), hold_s=float("nan"))), "not a number"),
        (
            lambda one: replace(one, tried=replace(tried(), ways=(tried().ways[0],) * 2), trial_id="x"),
            "no such trial",
        ),
        (lambda one: replace(one, sheet_id="x"), "no such sheet"),
    ],
)
def test_what_cannot_be_true_is_refused_with_its_place(
    band: Store, owner: tuple[str, str], spoil: Spoil, words: str
) -> None:
    with pytest.raises(StoreError, match=f"attempt 2: .*{words}"):
        band.log_attempts([ear(*owner), spoil(ear(*owner))], now=NOW)
    assert band.attempts_of(owner[0]) == ()


def test_all_faults_are_said_at_once(band: Store, owner: tuple[str, str]) -> None:
    bad = ear(*owner, model="", sheet_id="x", trial_id="y")
    with pytest.raises(StoreError) as caught:
        band.log_attempts([bad, bad], now=NOW)
    assert len(caught.value.faults) == 6


def test_who_asked_must_be_of_the_same_player_and_horn_and_stand(band: Store, owner: tuple[str, str]) -> None:
    begun, made = band.add_trial(trial(*owner), now=NOW), band.add_sheet(sheet(*owner), now=NOW)
    with pytest.raises(StoreError, match="the trial is of another player or horn"):
        band.log_attempts([ear(owner[0], None, trial_id=begun.id)], now=NOW)
    with pytest.raises(StoreError, match="the sheet is of another player or horn"):
        band.log_attempts([ear(owner[0], None, sheet_id=made.id)], now=NOW)
    band.delete_trial(begun.id, now=NOW)
    band.delete_sheet(made.id, now=NOW)
    with pytest.raises(StoreError, match=r"the trial is deleted(.|\n)*the sheet is deleted"):
        band.log_attempts([ear(*owner, trial_id=begun.id, sheet_id=made.id)], now=NOW)


def test_nothing_is_logged_for_who_does_not_stand(band: Store, owner: tuple[str, str]) -> None:
    tom = band.player_named("Tómas Hill")
    with pytest.raises(StoreError, match="this horn belongs to another player"):
        band.log_attempts([ear(tom.id, owner[1])], now=NOW)
    band.delete_player(owner[0], now=NOW)
    with pytest.raises(StoreError, match="this player is deleted"):
        band.log_attempts([ear(*owner)], now=NOW)


def test_attempts_are_hidden_and_removed_with_their_horn(band: Store, owner: tuple[str, str]) -> None:
    kept = band.log_attempts([ear(*owner), ear(owner[0], None)], now=NOW)
    band.delete_horn(owner[1], now=NOW)
    assert band.attempts_of(owner[0], withdrawn=True) == kept[1:]
    band.undelete_horn(owner[1], now=LATER)
    assert band.attempts_of(owner[0]) == kept
    band.delete_horn(owner[1], now=LATER)
    band.purge_horn(owner[1])
    assert band.attempts_of(owner[0]) == kept[1:]

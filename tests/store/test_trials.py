from datetime import timedelta

import pytest

from builders.kept_practice import DESIGN, ear, trial
from builders.kept_takes import about, receive
from builders.stores import NOW
from slurwright.errors import StoreError
from slurwright.evidence.kept import TrialAbout, TrialTake
from slurwright.store import Store

LATER = NOW + timedelta(days=30)
Owner = tuple[str, str]


@pytest.fixture
def owner(band: Store) -> Owner:
    ida = band.player_named("Ida Moor")
    return ida.id, band.horn_named(ida.id, "the old one").id


def test_a_trial_comes_back_as_it_was_begun(band: Store, owner: Owner) -> None:
    begun = band.add_trial(trial(*owner), now=NOW)
    assert begun.about == TrialAbout(*owner, "euphonium-4c", DESIGN, 1)
    assert (begun.made_at, begun.changed_at, begun.ended_at, begun.deleted_at) == (NOW, NOW, None, None)
    other = band.add_trial(trial(owner[0], None), now=LATER)
    assert band.trials_of(owner[0]) == (begun, other)
    assert band.trial_of(begun.id) == begun
    assert band.trials_of(band.player_named("Tómas Hill").id) == ()


def test_a_trial_is_found_by_the_beginning_of_its_id(band: Store, owner: Owner) -> None:
    begun = band.add_trial(trial(*owner), now=NOW)
    with pytest.raises(StoreError, match="there is no trial whose id begins so"):
        band.trial_of("x")
    with pytest.raises(StoreError, match="there is no trial whose id begins so"):
        band.trial_of("")
    assert band.trial_of(begun.id[:-1]) == begun
    other = band.add_trial(trial(*owner), now=NOW)
    with pytest.raises(StoreError, match=f"more than one trial begins so.*{begun.id}, {other.id}"):
        band.trial_of("id")


def test_a_trial_is_ended_and_goes_on(band: Store, owner: Owner) -> None:
    begun = band.add_trial(trial(*owner), now=NOW)
    ended = band.end_trial(begun.id, now=LATER)
    assert (ended.ended_at, ended.changed_at) == (LATER, LATER)
    with pytest.raises(StoreError, match="over already"):
        band.end_trial(begun.id, now=LATER)
    again = band.reopen_trial(begun.id, now=LATER)
    assert again.ended_at is None
    assert again.changed_at > ended.changed_at
    with pytest.raises(StoreError, match="not over"):
        band.reopen_trial(begun.id, now=LATER)


def test_time_goes_on_in_a_trial_though_the_clock_goes_back(band: Store, owner: Owner) -> None:
    begun = band.add_trial(trial(*owner), now=LATER)
    ended = band.end_trial(begun.id, now=NOW)
    assert ended.ended_at is not None
    assert begun.changed_at < ended.ended_at <= ended.changed_at
    deleted = band.delete_trial(begun.id, now=NOW)
    assert deleted.changed_at > ended.changed_at


def test_a_deleted_trial_is_hidden_and_its_attempts_stay(band: Store, owner: Owner) -> None:
    begun = band.add_trial(trial(*owner), now=NOW)
    kept = band.log_attempts([ear(*owner, trial_id=begun.id, arm="a")], now=NOW)
    deleted = band.delete_trial(begun.id, now=LATER)
    assert band.trials_of(owner[0]) == ()
    assert band.trials_of(owner[0], deleted=True) == (deleted,)
    assert band.trial_of(begun.id, deleted=True) == deleted
    with pytest.raises(StoreError, match="there is no trial"):
        band.trial_of(begun.id)
    for change in (band.end_trial, band.reopen_trial, band.delete_trial):
        with pytest.raises(StoreError, match="this trial is deleted"):
            change(begun.id, now=LATER)
    assert band.attempts_of(owner[0], trial_id=begun.id) == kept
    assert band.undelete_trial(begun.id, now=LATER).deleted_at is None
    with pytest.raises(StoreError, match="not deleted"):
        band.undelete_trial(begun.id, now=LATER)


def test_takes_hold_blocks_while_they_stand(band: Store, owner: Owner) -> None:
    begun = band.add_trial(trial(*owner), now=NOW)
    first, second = (receive(band, about(*owner), day=day) for day in (1, 2))
    wanted = (TrialTake(begun.id, second.id, 0), TrialTake(begun.id, first.id, 1))
    for one in reversed(wanted):
        assert band.add_trial_take(begun.id, one.take_id, block=one.block, now=NOW) == one
    assert band.add_trial_take(begun.id, first.id, block=1, now=LATER) == wanted[1], "once more changes nothing"
    assert band.trial_takes(begun.id) == wanted
    band.delete_take(second.id, now=NOW)
    assert band.trial_takes(begun.id) == wanted[1:]
    band.undelete_take(second.id, now=LATER)
    assert band.trial_takes(begun.id) == wanted
    band.delete_take(second.id, now=LATER)
    band.purge_take(second.id)
    assert band.trial_takes(begun.id) == wanted[1:]
    assert band.trial_of(begun.id) == begun, "a trial outlives its takes"


def test_a_take_holds_one_block_of_a_trial_of_its_own_player_and_horn(band: Store, owner: Owner) -> None:
    begun, other = band.add_trial(trial(*owner), now=NOW), band.add_trial(trial(*owner), now=NOW)
    take, hornless = receive(band, about(*owner)), receive(band, about(owner[0], None))
    band.add_trial_take(begun.id, take.id, block=0, now=NOW)
    with pytest.raises(StoreError, match=f"holds a block already; got block 0 of trial {begun.id}"):
        band.add_trial_take(begun.id, take.id, block=1, now=NOW)
    with pytest.raises(StoreError, match="holds a block already"):
        band.add_trial_take(other.id, take.id, block=0, now=NOW)
    with pytest.raises(StoreError, match="of another player or horn"):
        band.add_trial_take(begun.id, hornless.id, block=1, now=NOW)
    with pytest.raises(StoreError, match="no such block"):
        band.add_trial_take(begun.id, take.id, block=-1, now=NOW)
    with pytest.raises(StoreError, match="no such take"):
        band.add_trial_take(begun.id, "x", block=1, now=NOW)
    band.delete_take(take.id, now=NOW)
    with pytest.raises(StoreError, match="this take is deleted"):
        band.add_trial_take(begun.id, take.id, block=0, now=NOW)


def test_a_trial_that_cannot_be_kept_is_refused(band: Store, owner: Owner) -> None:
    bad = TrialAbout(*owner, " ", "", 0)
    with pytest.raises(StoreError) as caught:
        band.add_trial(bad, now=NOW)
    assert [fault.problem for fault in caught.value.faults] == [
        "it needs a model",
        "no version of a document",
        "its document says nothing",
    ]
    with pytest.raises(StoreError, match="its document cannot be kept"):
        band.add_trial(TrialAbout(*owner, "euphonium-4c", "\ud800", 1), now=NOW)
    assert band.trials_of(owner[0]) == ()


def test_trials_go_with_their_horn(band: Store, owner: Owner) -> None:
    begun, hornless = band.add_trial(trial(*owner), now=NOW), band.add_trial(trial(owner[0], None), now=LATER)
    band.delete_horn(owner[1], now=NOW)
    assert band.trials_of(owner[0]) == (hornless,)
    band.undelete_horn(owner[1], now=LATER)
    assert band.trials_of(owner[0]) == (begun, hornless)
    band.delete_horn(owner[1], now=LATER)
    band.purge_horn(owner[1])
    assert band.trials_of(owner[0], deleted=True) == ()
    assert band.trials_of(owner[0]) == (hornless,)

from datetime import timedelta

import pytest

from builders.stores import NOW
from slurwright.errors import StoreError
from slurwright.store import Store

LATER = NOW + timedelta(days=30)


def test_a_player_is_found_by_name_however_it_is_typed(store: Store) -> None:
    ida = store.add_player("  Ida   Moor ", now=NOW)
    assert ida.name == "Ida Moor"
    assert store.player_named("ida moor") == store.player_named("IDA  MOOR") == ida
    tomas = store.add_player("To\u0301mas", now=NOW)
    assert store.player_named("T\u00f3mas") == tomas


def test_players_are_listed_by_name(store: Store) -> None:
    for name in ("tom", "Ida", "Äda"):
        store.add_player(name, now=NOW)
    assert [player.name for player in store.players()] == ["Ida", "tom", "Äda"]


def test_a_name_that_is_taken_is_refused(store: Store) -> None:
    store.add_player("Ida", now=NOW)
    with pytest.raises(StoreError, match="of that name already; got Ida"):
        store.add_player("IDA", now=NOW)
    assert len(store.players()) == 1


@pytest.mark.parametrize("name", ["", "   ", "a\x07b", "x" * 81, "\ud800"])
def test_what_is_no_name_is_refused(store: Store, name: str) -> None:
    with pytest.raises(StoreError, match="cannot be the name of a player"):
        store.add_player(name, now=NOW)


def test_an_unknown_name_is_answered_with_those_there_are(band: Store) -> None:
    with pytest.raises(StoreError, match="did you mean Ida Moor") as caught:
        band.player_named("Ida Mor")
    assert caught.value.faults[0].allowed == "Ida Moor, Tómas Hill"


def test_without_players_the_error_says_so(store: Store) -> None:
    with pytest.raises(StoreError, match="no player has been added yet"):
        store.player_named("Ida")


def test_renaming(band: Store) -> None:
    ida = band.player_named("Ida Moor")
    assert band.rename_player(ida.id, "Ida Fell", now=LATER).changed_at == LATER
    assert band.player_named("ida fell").id == ida.id
    band.rename_player(ida.id, "IDA FELL", now=LATER)
    with pytest.raises(StoreError, match="already"):
        band.rename_player(ida.id, "Tómas Hill", now=LATER)
    with pytest.raises(StoreError, match="no such player"):
        band.rename_player("nobody", "Ann", now=LATER)


def test_a_deleted_player_comes_back_with_everything(band: Store) -> None:
    before = band.export_all()
    ida = band.player_named("Ida Moor")
    band.delete_player(ida.id, now=LATER)
    assert [player.name for player in band.players()] == ["Tómas Hill"]
    assert [player.name for player in band.players(deleted=True)] == ["Ida Moor"]
    with pytest.raises(StoreError, match="deleted already"):
        band.delete_player(ida.id, now=LATER)
    with pytest.raises(StoreError, match="take the deletion back first"):
        band.add_horn(ida.id, "new", model="tuba-f-6", now=LATER)
    assert band.undelete_player(band.player_named("Ida Moor", deleted=True).id, now=LATER).deleted_at is None
    assert band.export_all().horns == before.horns
    assert band.export_all().readings == before.readings
    with pytest.raises(StoreError, match="not deleted"):
        band.undelete_player(ida.id, now=LATER)


def test_a_name_taken_meanwhile_keeps_a_deletion_from_being_taken_back(band: Store) -> None:
    ida = band.player_named("Ida Moor")
    band.delete_player(ida.id, now=LATER)
    band.add_player("ida moor", now=LATER)
    with pytest.raises(StoreError, match="already"):
        band.undelete_player(ida.id, now=LATER)
    assert len(band.players(deleted=True)) == 1


def test_of_several_deleted_ones_the_last_is_meant(store: Store) -> None:
    first = store.add_player("Ida", now=NOW)
    store.delete_player(first.id, now=NOW)
    second = store.add_player("Ida", now=NOW)
    store.delete_player(second.id, now=LATER)
    assert store.player_named("Ida", deleted=True).id == second.id


def test_only_the_deleted_can_be_removed_for_good(band: Store) -> None:
    ida = band.player_named("Ida Moor")
    with pytest.raises(StoreError, match="delete it first"):
        band.purge_player(ida.id)
    band.delete_player(ida.id, now=LATER)
    assert band.purge_player(ida.id).name == "Ida Moor"
    left = band.export_all()
    assert [player.name for player in left.players] == ["Tómas Hill"]
    assert {horn.player_id for horn in left.horns} == {left.players[0].id}
    assert len(left.readings) == 1

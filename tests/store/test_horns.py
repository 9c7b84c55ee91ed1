from datetime import timedelta

import pytest

from builders.stores import NOW, played
from slurwright.errors import StoreError
from slurwright.store import Store

LATER = NOW + timedelta(days=30)


def test_each_player_has_horns_of_their_own(band: Store) -> None:
    ida, tom = band.player_named("Ida Moor"), band.player_named("Tómas Hill")
    assert [horn.name for horn in band.horns(ida.id)] == ["lent", "the old one"]
    assert band.horns(tom.id) == ()
    band.add_horn(tom.id, "Lent", model="euphonium-4c", now=LATER)
    assert band.horn_named(tom.id, "lent").model == "euphonium-4c"
    assert band.horn_named(ida.id, "LENT").model == "tuba-eb-4c"


def test_what_is_said_of_a_horn_is_kept(band: Store) -> None:
    ida = band.player_named("Ida Moor")
    horn = band.add_horn(ida.id, "new", model="trumpet-b", tuning="even", notes="wet\n", now=LATER)
    found = band.horn_named(ida.id, "new")
    assert found == horn
    assert (found.tuning, found.notes, found.created_at) == ("even", "wet\n", LATER)
    assert band.note_on_horn(horn.id, "dry", now=LATER).notes == "dry"
    assert band.rename_horn(horn.id, "newer", now=LATER).name == "newer"


def test_faults_are_said(band: Store) -> None:
    ida = band.player_named("Ida Moor")
    old = band.horn_named(ida.id, "the old one")
    with pytest.raises(StoreError, match="has a horn of that name already"):
        band.add_horn(ida.id, "LENT", model="tuba-eb-4c", now=LATER)
    with pytest.raises(StoreError, match="has a horn of that name already"):
        band.rename_horn(old.id, "lent", now=LATER)
    with pytest.raises(StoreError, match="needs a model"):
        band.add_horn(ida.id, "new", model=" ", now=LATER)
    with pytest.raises(StoreError, match="no such player"):
        band.add_horn("nobody", "new", model="tuba-eb-4c", now=LATER)
    with pytest.raises(StoreError, match="notes are too long"):
        band.note_on_horn(old.id, "x" * 10_001, now=LATER)
    with pytest.raises(StoreError, match="notes are garbled"):
        band.note_on_horn(old.id, "\udcff", now=LATER)
    with pytest.raises(StoreError, match="no such horn"):
        band.note_on_horn("none", "", now=LATER)
    with pytest.raises(StoreError, match="allowed: lent, the old one"):
        band.horn_named(ida.id, "tuba")


def test_a_deleted_horn_comes_back_with_its_readings(band: Store) -> None:
    ida = band.player_named("Ida Moor")
    old = band.horn_named(ida.id, "the old one")
    readings = band.readings_of(old.id, withdrawn=True)
    band.delete_horn(old.id, now=LATER)
    assert [horn.name for horn in band.horns(ida.id)] == ["lent"]
    with pytest.raises(StoreError, match="take the deletion back first"):
        band.add_readings(old.id, [played()], now=LATER)
    with pytest.raises(StoreError, match="deleted already"):
        band.delete_horn(old.id, now=LATER)
    band.undelete_horn(band.horn_named(ida.id, "the old one", deleted=True).id, now=LATER)
    assert band.readings_of(old.id, withdrawn=True) == readings
    with pytest.raises(StoreError, match="not deleted"):
        band.undelete_horn(old.id, now=LATER)


def test_only_a_deleted_horn_can_be_removed_for_good(band: Store) -> None:
    tom = band.player_named("Tómas Hill")
    sold = band.horn_named(tom.id, "sold", deleted=True)
    band.purge_horn(sold.id)
    assert sold.id not in [horn.id for horn in band.export_all().horns]
    assert len(band.export_all().readings) == 4
    ida = band.player_named("Ida Moor")
    with pytest.raises(StoreError, match="delete it first"):
        band.purge_horn(band.horn_named(ida.id, "lent").id)


def test_what_was_purged_is_not_in_the_file(band: Store) -> None:
    tom = band.player_named("Tómas Hill")
    horn = band.add_horn(tom.id, "zzyzx", model="trumpet-b", notes="a secret note", now=LATER)
    band.delete_horn(horn.id, now=LATER)
    band.purge_horn(horn.id)
    band.close()
    assert b"a secret note" not in band.path.read_bytes()

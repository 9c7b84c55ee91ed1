from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builders.stores import NOW, counted_ids, fill, played
from slurwright.errors import StoreError
from slurwright.formats.collection import Collection
from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.horn.owned import Withdrawal
from slurwright.store import Imported, Store, open_store

LATER = NOW + timedelta(days=30)
NewStore = Callable[[], Store]


@pytest.fixture
def new_store(tmp_path: Path) -> Iterator[NewStore]:
    names = counted_ids("store")
    with ExitStack() as stack:

        def make() -> Store:
            name = names()
            path = tmp_path / name / "slurwright.sqlite3"
            return stack.enter_context(open_store(path, now=NOW, new_id=counted_ids(f"{name}-")))

        yield make


def through_text(collection: Collection) -> Collection:
    return collection_from_json(collection_to_json(collection))


def test_everything_goes_round(band: Store, new_store: NewStore) -> None:
    out = band.export_all()
    other = new_store()
    assert other.import_all(through_text(out)) == Imported(2, 3, 5, 0)
    assert other.export_all() == out
    assert collection_to_json(other.export_all()) == collection_to_json(out)
    ida = other.player_named("Ida Moor")
    old = other.horn_named(ida.id, "the old one")
    assert other.readings_of(old.id) == band.readings_of(old.id)


def test_importing_again_changes_nothing(band: Store) -> None:
    out = band.export_all()
    assert band.import_all(through_text(out)) == Imported(0, 0, 0, 0)
    assert band.export_all() == out


def test_two_stores_that_import_each_other_hold_the_same(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida = band.player_named("Ida Moor")
    old = band.horn_named(ida.id, "the old one")
    first, *_, last = band.readings_of(old.id, withdrawn=True)
    band.add_readings(old.id, [played(1.0)], now=LATER)
    band.rename_horn(old.id, "the good one", now=LATER)
    band.withdraw([last.id], now=LATER)
    other.add_readings(old.id, [played(2.0)], now=LATER)
    other.rename_player(ida.id, "Ida Fell", now=LATER)
    other.rename_horn(old.id, "never mind", now=NOW + timedelta(days=1))
    other.restore([first.id], now=LATER)
    here, there = band.export_all(), other.export_all()
    assert band.import_all(there) == Imported(0, 0, 1, 2)
    assert other.import_all(here) == Imported(0, 0, 1, 2)
    assert band.export_all() == other.export_all()
    assert other.horn_named(ida.id, "the good one").id == old.id
    assert other.player_named("Ida Fell").id == ida.id
    states = {kept.id: kept.withdrawn for kept in band.readings_of(old.id, withdrawn=True)}
    assert (states[first.id], states[last.id]) == (False, True)


def test_names_may_change_hands(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida, tom = band.player_named("Ida Moor"), band.player_named("Tómas Hill")
    for player, name in ((ida, "x"), (tom, "Ida Moor"), (ida, "Tómas Hill")):
        band.rename_player(player.id, name, now=LATER)
    other.import_all(band.export_all())
    assert other.player_named("Ida Moor").id == tom.id


def test_a_later_deletion_is_taken_over_and_an_earlier_is_not(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida, tom = band.player_named("Ida Moor"), band.player_named("Tómas Hill")
    other.delete_player(ida.id, now=LATER)
    other.delete_player(tom.id, now=LATER)
    band.rename_player(tom.id, "Tom", now=LATER + timedelta(days=1))
    band.import_all(other.export_all())
    assert [player.name for player in band.players()] == ["Tom"]


def test_two_players_of_one_name_are_not_joined_silently(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.add_player("IDA MOOR", now=NOW)
    before = other.export_all()
    with pytest.raises(StoreError, match=r"two players would have the same name.*rename one of them first"):
        other.import_all(band.export_all())
    assert other.export_all() == before


def test_two_horns_of_one_name_are_not_joined_silently(band: Store, new_store: NewStore) -> None:
    other = new_store()
    other.import_all(band.export_all())
    ida = band.player_named("Ida Moor")
    other.add_horn(ida.id, "Spare", model="trumpet-b", now=LATER)
    band.add_horn(ida.id, "spare", model="trumpet-b", now=LATER)
    with pytest.raises(StoreError, match="two horns of Ida Moor would have the same name"):
        other.import_all(band.export_all())


def altered(out: Collection, which: str) -> Collection:
    player, horn, kept = out.players[0], out.horns[0], out.readings[0]
    changes: dict[str, Collection] = {
        "another day": replace(out, players=(replace(player, created_at=LATER, changed_at=LATER), *out.players[1:])),
        "same moment": replace(out, players=(replace(player, name="Ida"), *out.players[1:])),
        "another model": replace(out, horns=(replace(horn, model="trumpet-b", changed_at=LATER), *out.horns[1:])),
        "another reading": replace(out, readings=(replace(kept, played=played(99.0)), *out.readings[1:])),
        "another history": replace(
            out,
            readings=(
                replace(kept, withdrawals=(Withdrawal(kept.withdrawals[0].at, withdrawn=False),)),
                *out.readings[1:],
            ),
        ),
        "twice": replace(out, players=(*out.players, player)),
        "nobody's": replace(out, players=out.players[1:]),
        "hornless": replace(out, horns=out.horns[1:]),
        "no name": replace(out, players=(replace(player, name=" "), *out.players[1:])),
        "loose name": replace(out, horns=(replace(horn, name=" lent"), *out.horns[1:])),
        "impossible": replace(out, readings=(replace(kept, played=played(5000.0)), *out.readings[1:])),
        "disorder": replace(out, readings=(replace(kept, withdrawals=kept.withdrawals * 2), *out.readings[1:])),
    }
    return changes[which]


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("another day", "Ida Moor is another one here"),
        ("same moment", "Ida stands differently here since the same moment"),
        ("another model", "the old one is another one here"),
        ("another reading", "reading is another one here"),
        ("another history", "has another history here"),
        ("twice", "stands there 2 times"),
        ("nobody's", "a horn of nobody"),
        ("hornless", "a reading of no horn"),
        ("no name", "cannot be the name of a player"),
        ("loose name", "not as names are kept"),
        ("impossible", "cents out of reach"),
        ("disorder", "history is out of order"),
    ],
)
def test_contradictions_are_refused_and_change_nothing(band: Store, which: str, words: str) -> None:
    out = band.export_all()
    with pytest.raises(StoreError, match=words):
        band.import_all(altered(out, which))
    assert band.export_all() == out


VERBS = st.lists(
    st.sampled_from(["reading", "withdraw", "restore", "rename", "delete", "undelete", "note"]), max_size=12
)


def live(store: Store, verbs: list[str], *, start_day: int) -> None:
    """Do what a player might, with times that no other store has."""
    ida, *_ = sorted((*store.players(), *store.players(deleted=True)), key=lambda player: player.id)
    horn, *_ = sorted(store.export_all().horns, key=lambda horn: horn.id)
    for at, verb in enumerate(verbs):
        now = NOW + timedelta(days=100 + 2 * at, minutes=start_day)
        try:
            if verb == "reading":
                store.add_readings(horn.id, [played(at)], now=now)
            elif verb in ("withdraw", "restore"):
                first = store.export_all().readings[0].id
                (store.withdraw if verb == "withdraw" else store.restore)([first], now=now)
            elif verb == "rename":
                store.rename_player(ida.id, f"Ida {start_day} {at}", now=now)
            elif verb == "delete":
                store.delete_horn(horn.id, now=now)
            elif verb == "undelete":
                store.undelete_horn(horn.id, now=now)
            else:
                store.note_on_horn(horn.id, f"{start_day} {at}", now=now)
        except StoreError:
            continue


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(VERBS, VERBS)
def test_whatever_was_done_in_either_both_come_to_hold_the_same(
    new_store: NewStore, one_does: list[str], other_does: list[str]
) -> None:
    one, other = new_store(), new_store()
    fill(one)
    other.import_all(one.export_all())
    live(one, one_does, start_day=1)
    live(other, other_does, start_day=2)
    here, there = one.export_all(), other.export_all()
    one.import_all(through_text(there))
    other.import_all(through_text(here))
    assert one.export_all() == other.export_all()
    fresh = new_store()
    fresh.import_all(through_text(one.export_all()))
    assert fresh.export_all() == one.export_all()

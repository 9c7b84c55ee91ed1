import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from math import inf, nan

import pytest

from builders.stores import NOW, detailed, played
from slurwright.errors import StoreError
from slurwright.horn.owned import PlayedTone
from slurwright.pitch import SoundingPitch
from slurwright.store import Store

LATER = NOW + timedelta(days=30)


@pytest.fixture
def horn(store: Store) -> str:
    player = store.add_player("Ida", now=NOW)
    return store.add_horn(player.id, "old", model="euphonium-4c", now=NOW).id


def test_a_reading_comes_back_as_it_was(store: Store, horn: str) -> None:
    kept = store.add_readings(horn, [detailed(), played(0.1 + 0.2)], now=NOW)
    assert store.readings_of(horn) == kept
    assert [one.played for one in kept] == [detailed(), played(0.1 + 0.2)]
    assert [one.place for one in kept] == [0, 1]
    assert kept[0].added_at == NOW


def test_readings_stand_in_the_order_in_which_they_came(store: Store, horn: str) -> None:
    for minute in range(3):
        store.add_readings(horn, [played(minute), played(minute + 0.5)], now=NOW + timedelta(minutes=minute))
    assert [one.played.tone.cents for one in store.readings_of(horn)] == [0, 0.5, 1, 1.5, 2, 2.5]


def tone(**changed: object) -> PlayedTone:
    one = played()
    return replace(one, tone=replace(one.tone, **changed))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (tone(cents=nan), "cents out of reach"),
        (tone(cents=inf), "cents out of reach"),
        (tone(cents=-1201.0), "cents out of reach"),
        (tone(sd_cents=-0.1), "uncertainty out of reach"),
        (tone(sd_cents=nan), "uncertainty out of reach"),
        (tone(partial=0), "no such partial"),
        (tone(dynamic=nan), "dynamic out of reach"),
        (tone(temperature_c=nan), "air out of reach"),
        (tone(temperature_c=300.0), "air out of reach"),
        (tone(session=" "), "no session"),
        (tone(session="\udcff"), "no session"),
        (tone(fingering=""), "no fingering"),
        (tone(sounding=SoundingPitch("B", -3, 3)), "cannot be named"),
        (replace(played(), note="\udcff"), "note is garbled"),
        (replace(played(), note="x" * 1001), "note is too long"),
    ],
)
def test_one_bad_reading_keeps_all_out(store: Store, horn: str, bad: PlayedTone, words: str) -> None:
    with pytest.raises(StoreError, match=f"reading 2: .*{words}"):
        store.add_readings(horn, [played(), bad, played()], now=NOW)
    assert store.readings_of(horn) == ()


def test_all_faults_are_said_at_once(store: Store, horn: str) -> None:
    with pytest.raises(StoreError) as caught:
        store.add_readings(horn, [tone(cents=nan, partial=0), played(), tone(session="")], now=NOW)
    assert [fault.where for fault in caught.value.faults] == ["reading 1", "reading 1", "reading 3"]


def test_readings_of_no_horn_are_refused(store: Store) -> None:
    with pytest.raises(StoreError, match="no such horn"):
        store.add_readings("none", [played()], now=NOW)


def test_a_time_without_zone_is_refused(store: Store, horn: str) -> None:
    with pytest.raises(StoreError, match="time without its zone"):
        store.add_readings(horn, [played()], now=datetime(2026, 1, 9))
    assert store.readings_of(horn) == ()


def test_withdrawing_hides_and_restoring_shows_again(store: Store, horn: str) -> None:
    first, second = store.add_readings(horn, [played(1), played(2)], now=NOW)
    store.withdraw([first.id], now=LATER)
    assert store.readings_of(horn) == (second,)
    hidden, _ = store.readings_of(horn, withdrawn=True)
    assert hidden.withdrawn
    assert hidden.played == first.played
    store.restore([first.id], now=LATER)
    assert [one.id for one in store.readings_of(horn)] == [first.id, second.id]


def test_the_history_is_kept_in_order_though_the_clock_goes_back(store: Store, horn: str) -> None:
    (one,) = store.add_readings(horn, [played()], now=NOW)
    store.withdraw([one.id], now=LATER)
    store.restore([one.id], now=NOW)
    store.withdraw([one.id], now=LATER)
    (kept,) = store.readings_of(horn, withdrawn=True)
    times = [mark.at for mark in kept.withdrawals]
    assert [mark.withdrawn for mark in kept.withdrawals] == [True, False, True]
    assert times == sorted(set(times))


def test_marking_is_all_or_nothing(store: Store, horn: str) -> None:
    first, second = store.add_readings(horn, [played(1), played(2)], now=NOW)
    store.withdraw([second.id], now=NOW)
    with pytest.raises(StoreError) as caught:
        store.withdraw([first.id, second.id, "none"], now=LATER)
    assert [fault.problem for fault in caught.value.faults] == [
        "this reading is withdrawn already",
        "there is no such reading",
    ]
    assert [one.id for one in store.readings_of(horn)] == [first.id]
    with pytest.raises(StoreError, match="not withdrawn"):
        store.restore([first.id], now=LATER)


def test_a_reading_named_twice_is_withdrawn_once(store: Store, horn: str) -> None:
    (one,) = store.add_readings(horn, [played()], now=NOW)
    store.withdraw([one.id, one.id], now=LATER)
    (kept,) = store.readings_of(horn, withdrawn=True)
    assert len(kept.withdrawals) == 1


@pytest.mark.parametrize("statement", ["UPDATE readings SET cents = 0", "UPDATE withdrawals SET withdrawn = 0"])
def test_the_file_itself_refuses_to_change_what_was_measured(band: Store, statement: str) -> None:
    with (
        closing(sqlite3.connect(band.path)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="never changed"),
    ):
        connection.execute(statement)


def test_a_reader_cannot_write(band: Store) -> None:
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        band._reader.execute("DELETE FROM readings")

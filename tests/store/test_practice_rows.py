import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from builders.kept_practice import fill_with_practice
from builders.kept_takes import fill_with_takes
from builders.stores import NOW
from slurwright.errors import DamagedStoreError
from slurwright.store import Store, backups_of, open_store, restore_backup


@pytest.fixture
def practised(band: Store) -> Store:
    fill_with_takes(band)
    fill_with_practice(band)
    return band


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE trials SET document = x'00'",
        "UPDATE sheets SET document = x'00'",
        "UPDATE sheets SET day = 'someday'",
        "UPDATE trials SET ended_at = 'soon'",
        "DROP TRIGGER attempts_stay; UPDATE attempts SET technique = 'sung'",
        "DROP TRIGGER attempts_stay; UPDATE attempts SET midi_1 = 3",
        "DROP TRIGGER sheet_ticks_stay; UPDATE sheet_ticks SET at = 'x' || at",
        "DROP TRIGGER attempt_withdrawals_stay; UPDATE attempt_withdrawals SET at = 'x' || at",
    ],
)
def test_a_row_that_makes_no_sense_is_damage(practised: Store, path: Path, sql: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(sql)
    with pytest.raises(DamagedStoreError, match="row id"):
        practised.export_all()


@pytest.mark.parametrize(
    ("sql", "words"),
    [
        ("UPDATE attempts SET heard = 'good'", "an attempt is never changed"),
        ("UPDATE sheet_ticks SET state = 'done'", "history is never changed"),
        ("UPDATE attempt_withdrawals SET withdrawn = 0", "history is never changed"),
        ("UPDATE trials SET changed_at = ''", "CHECK constraint failed"),
        ("INSERT INTO sheet_ticks SELECT sheet_id, item, 'x', 'half' FROM sheet_ticks", "CHECK constraint failed"),
    ],
)
def test_what_was_logged_cannot_be_changed_behind_the_stores_back(
    practised: Store, path: Path, sql: str, words: str
) -> None:
    out = practised.export_all()
    with closing(sqlite3.connect(path)) as connection, pytest.raises(sqlite3.IntegrityError, match=words):
        connection.execute(sql)
    assert practised.export_all() == out


def test_practice_comes_back_from_a_backup(practised: Store, path: Path) -> None:
    out = practised.export_all()
    made = practised.back_up(now=NOW + timedelta(days=40))
    ida = practised.player_named("Ida Moor")
    practised.delete_player(ida.id, now=NOW + timedelta(days=41))
    practised.purge_player(ida.id)
    practised.close()
    assert made in backups_of(path)
    restore_backup(path, made.path, now=NOW + timedelta(days=42))
    with open_store(path, now=NOW + timedelta(days=42)) as again:
        assert again.export_all() == out

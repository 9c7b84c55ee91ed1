import os
import shutil
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from builders.stores import NOW, counted_ids, fill, played
from slurwright.errors import StoreError
from slurwright.store import Store, backups_of, latest_sound_backup, open_store, restore_backup
from slurwright.store.backup import BACKUPS_KEPT, Why

DAY = timedelta(days=1)


def opened(path: Path, now: datetime, *, write: bool = False) -> None:
    with open_store(path, now=now) as store:
        if write:
            store.add_player(f"player of {now}", now=now)


def test_an_empty_store_needs_no_backup(path: Path) -> None:
    opened(path, NOW)
    opened(path, NOW + DAY)
    assert backups_of(path) == ()


def test_what_changed_is_backed_up_once_a_day(path: Path) -> None:
    opened(path, NOW, write=True)
    assert backups_of(path) == ()
    opened(path, NOW + DAY, write=True)
    opened(path, NOW + 1.5 * DAY, write=True)
    opened(path, NOW + 2 * DAY)
    opened(path, NOW + 3 * DAY)
    opened(path, NOW + 9 * DAY)
    assert [(backup.made_at, backup.why) for backup in backups_of(path)] == [
        (NOW + 2 * DAY, Why.DAILY),
        (NOW + DAY, Why.DAILY),
    ]


def test_a_failed_write_is_no_change(path: Path) -> None:
    opened(path, NOW, write=True)
    opened(path, NOW + DAY)
    with open_store(path, now=NOW + DAY) as store, pytest.raises(StoreError):
        store.add_player("", now=NOW)
    opened(path, NOW + 3 * DAY)
    assert len(backups_of(path)) == 1


def test_the_newest_are_kept_of_each_kind(path: Path) -> None:
    for day in range(BACKUPS_KEPT + 4):
        opened(path, NOW + day * DAY, write=True)
    with open_store(path, now=NOW) as store:
        asked = store.back_up(now=NOW)
    backups = backups_of(path)
    assert [backup.made_at for backup in backups if backup.why is Why.DAILY] == [
        NOW + day * DAY for day in range(BACKUPS_KEPT + 3, 3, -1)
    ]
    assert backups[-1] == asked


def test_a_backup_is_one_file_that_is_a_store(band: Store, tmp_path: Path) -> None:
    backup = band.back_up(now=NOW)
    assert [entry.name for entry in backup.path.parent.iterdir()] == [backup.path.name]
    copy = tmp_path / "elsewhere" / "store.sqlite3"
    copy.parent.mkdir()
    shutil.copy(backup.path, copy)
    with open_store(copy, now=NOW) as other:
        assert other.export_all() == band.export_all()


def test_restoring_sets_the_present_store_aside(path: Path) -> None:
    with open_store(path, now=NOW, new_id=counted_ids()) as store:
        fill(store)
        then = store.export_all()
        backup = store.back_up(now=NOW)
        store.add_player("Ann", now=NOW)
        after = store.export_all()
    aside = restore_backup(path, backup.path, now=NOW + DAY)
    assert aside == path.with_name("slurwright-replaced-20260110T183000.000000Z.sqlite3")
    with open_store(path, now=NOW + DAY) as store:
        assert store.export_all() == then
    with open_store(aside, now=NOW + DAY) as store:
        assert store.export_all() == after


def test_restoring_takes_the_log_of_the_present_store_away_with_it(band: Store) -> None:
    backup = band.back_up(now=NOW)
    old = band.horn_named(band.player_named("Ida Moor").id, "the old one")
    band.add_readings(old.id, [played()], now=NOW)
    log = Path(f"{band.path}-wal")
    assert log.stat().st_size > 0
    aside = restore_backup(band.path, backup.path, now=NOW)
    assert not log.exists()
    assert Path(f"{aside}-wal").exists()
    with open_store(band.path, now=NOW) as store:
        assert len(store.export_all().readings) == 5


def test_only_a_sound_backup_is_restored(band: Store, tmp_path: Path) -> None:
    backup = band.back_up(now=NOW)
    bad = tmp_path / "bad.sqlite3"
    bad.write_bytes(backup.path.read_bytes()[:9000])
    band.close()
    before = band.path.read_bytes()
    with pytest.raises(StoreError, match="not a sound backup"):
        restore_backup(band.path, bad, now=NOW)
    with pytest.raises(StoreError, match="no such backup"):
        restore_backup(band.path, tmp_path / "none.sqlite3", now=NOW)
    assert band.path.read_bytes() == before


def test_other_files_among_the_backups_are_passed_over(band: Store) -> None:
    backup = band.back_up(now=NOW)
    for name in ("notes.txt", "20261399T000000.000000Z-daily.sqlite3", "20260109T183000.000000Z-odd.sqlite3"):
        backup.path.with_name(name).write_text("")
    assert backups_of(band.path) == (backup,)
    assert latest_sound_backup(band.path) == backup


def test_what_a_killed_backup_left_is_swept_away(band: Store) -> None:
    backup = band.back_up(now=NOW)
    left = backup.path.with_name(f".{backup.path.name}.4711")
    left.write_text("")
    os.utime(left, (NOW.timestamp(), NOW.timestamp()))
    band.back_up(now=NOW + DAY)
    assert not left.exists()


def test_a_backup_that_cannot_be_made_is_said_and_keeps_nobody_out(path: Path) -> None:
    opened(path, NOW, write=True)
    (path.parent / "backups").write_text("in the way")
    with open_store(path, now=NOW + DAY) as store:
        assert "today's backup could not be made" in store.notices[0]
        assert len(store.players()) == 1
        with pytest.raises(StoreError, match="no backup could be made"):
            store.back_up(now=NOW)

import sqlite3
from contextlib import closing, suppress
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builders.kept_takes import fill_with_takes
from builders.stores import NOW, counted_ids, fill, played
from slurwright.errors import DamagedStoreError, StoreError
from slurwright.store import Store, backups_of, open_store, restore_backup
from slurwright.store.connect import APPLICATION_ID

LATER = NOW + timedelta(days=3)


@pytest.fixture
def sound(path: Path) -> bytes:
    """The bytes of a closed store that has content and one backup."""
    with open_store(path, now=NOW, new_id=counted_ids()) as store:
        fill(store)
        fill_with_takes(store)
        store.back_up(now=NOW)
    return path.read_bytes()


@pytest.fixture
def sound_file(sound: bytes, tmp_path: Path) -> Path:
    """The same as a file that nobody touches."""
    copy = tmp_path / "sound.sqlite3"
    copy.write_bytes(sound)
    return copy


def test_a_store_is_made_with_its_folder_and_marked_as_ours(path: Path) -> None:
    open_store(path, now=NOW).close()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert path.parent.stat().st_mode & 0o077 == 0
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]


def test_a_commit_is_on_the_disk_before_it_is_acknowledged(store: Store) -> None:
    settings_now = [
        store._writer.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("synchronous", "foreign_keys", "journal_mode")
    ]
    assert settings_now == [2, 1, "wal"]


def test_what_was_written_is_there_at_the_next_opening(path: Path, sound: bytes) -> None:
    with open_store(path, now=LATER) as store:
        assert [player.name for player in store.players()] == ["Ida Moor", "Tómas Hill"]
        assert store.notices == ()


def test_two_open_stores_see_each_others_commits(band: Store) -> None:
    with open_store(band.path, now=NOW) as other:
        ida = other.player_named("Ida Moor")
        old = other.horn_named(ida.id, "the old one")
        band.add_readings(old.id, [played(99.0)], now=NOW)
        assert other.readings_of(old.id) == band.readings_of(old.id)
        assert len(other.readings_of(old.id)) == 4


def test_a_writer_that_takes_too_long_is_said(band: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("slurwright.store.connect.BUSY_TIMEOUT_S", 0.05)
    with open_store(band.path, now=NOW) as other:
        band._writer.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="another program is writing to the store; nothing was changed"):
            other.add_player("Ann", now=NOW)
        assert len(other.players()) == 2
        band._writer.execute("ROLLBACK")
        other.add_player("Ann", now=NOW)


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: data[: len(data) // 2],
        lambda data: data[:-1],
        lambda data: data[:60],
        lambda data: data[:1],
        lambda data: b"",
        lambda data: b"dear diary, " * 100,
        lambda data: data[:4096] + bytes(4096) + data[8192:],
        lambda data: b"\0" * 100 + data[100:],
    ],
    ids=["half", "a byte short", "header cut", "one byte", "empty", "another file", "a page of zeros", "no header"],
)
def test_a_damaged_store_is_set_aside_and_the_last_backup_offered(path: Path, sound: bytes, damage: object) -> None:
    broken = damage(sound)  # type: ignore[operator]
    path.write_bytes(broken)
    (backup,) = backups_of(path)
    with pytest.raises(DamagedStoreError) as caught:
        open_store(path, now=LATER)
    assert caught.value.backup == str(backup.path)
    if broken:
        aside = path.with_name("slurwright-damaged-20260112T183000.000000Z.sqlite3")
        assert caught.value.set_aside == str(aside)
        assert aside.read_bytes() == broken
        assert not path.exists()
    with pytest.raises(DamagedStoreError, match=r"the store is missing.*\n.*last backup can be restored"):
        open_store(path, now=LATER)
    restore_backup(path, backup.path, now=LATER)
    with open_store(path, now=LATER) as store:
        assert len(store.export_all().readings) == 8


def test_a_new_store_is_begun_only_when_asked(path: Path, sound: bytes) -> None:
    path.write_bytes(sound[:5000])
    with pytest.raises(DamagedStoreError):
        open_store(path, now=LATER)
    with open_store(path, now=LATER, begin_anew=True) as store:
        assert store.players() == ()
    with open_store(path, now=LATER) as store:
        assert store.players() == ()
    assert len(backups_of(path)) == 1


def test_without_a_backup_the_error_says_so(path: Path, sound: bytes) -> None:
    for backup in backups_of(path):
        backup.path.unlink()
    path.write_bytes(sound[:5000])
    with pytest.raises(DamagedStoreError, match="there is no backup") as caught:
        open_store(path, now=LATER)
    assert caught.value.backup == ""
    open_store(path, now=LATER).close()


def test_a_damaged_backup_is_not_offered(path: Path, sound: bytes) -> None:
    (older,) = backups_of(path)
    newer = older.path.with_name("20260111T183000.000000Z-daily.sqlite3")
    newer.write_bytes(sound[:9000])
    path.write_bytes(sound[:5000])
    with pytest.raises(DamagedStoreError) as caught:
        open_store(path, now=LATER)
    assert caught.value.backup == str(older.path)


def test_a_log_that_lost_its_store_is_set_aside_with_it(path: Path, sound: bytes) -> None:
    log = path.with_name(path.name + "-wal")
    path.unlink()
    log.write_bytes(b"what was written last")
    with pytest.raises(DamagedStoreError, match="the store is missing") as caught:
        open_store(path, now=LATER)
    assert Path(f"{caught.value.set_aside}-wal").read_bytes() == b"what was written last"
    assert not log.exists()


def test_two_damaged_stores_of_one_moment_keep_apart(path: Path, sound: bytes) -> None:
    for _ in range(2):
        path.write_bytes(sound[:5000])
        with pytest.raises(DamagedStoreError):
            open_store(path, now=LATER)
    assert len(list(path.parent.glob("slurwright-damaged-*.sqlite3"))) == 2


def test_a_table_that_lost_a_column_is_damage(path: Path, sound: bytes) -> None:
    path.write_bytes(sound.replace(b"changed_at TEXT", b"changed_as TEXT"))
    with pytest.raises(DamagedStoreError, match="no such column: changed_at") as caught:
        open_store(path, now=LATER)
    assert caught.value.set_aside


def test_a_row_that_makes_no_sense_is_damage(path: Path, sound: bytes) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER readings_stay")
        connection.execute("UPDATE readings SET played_on = 'yesterday'")
        connection.commit()
    with open_store(path, now=NOW) as store, pytest.raises(DamagedStoreError, match="a row makes no sense"):
        store.export_all()


def test_the_database_of_another_program_is_left_alone(path: Path) -> None:
    path.parent.mkdir()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE theirs (a)")
    before = path.read_bytes()
    with pytest.raises(StoreError, match="database of another program"):
        open_store(path, now=NOW)
    assert path.read_bytes() == before
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]


def test_a_folder_or_a_file_in_the_way_is_said(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="this is a folder"):
        open_store(tmp_path, now=NOW)
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="folder cannot be made"):
        open_store(tmp_path / "file" / "store.sqlite3", now=NOW)


def test_a_database_library_that_is_too_old_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 34, 1))
    with pytest.raises(StoreError, match=r"allowed: 3\.37\.0 or newer"):
        open_store(path, now=NOW)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.integers(0, 200_000), st.binary(min_size=1, max_size=300)), min_size=1, max_size=4))
def test_any_damage_is_either_harmless_or_said(path: Path, sound_file: Path, blows: list[tuple[int, bytes]]) -> None:
    data = bytearray(sound_file.read_bytes())
    for at, blow in blows:
        start = at % (len(data) - len(blow))
        data[start : start + len(blow)] = blow
    for ending in ("", "-wal", "-shm"):
        path.with_name(path.name + ending).unlink(missing_ok=True)
    path.write_bytes(data)
    with suppress(StoreError), open_store(path, now=NOW) as store:
        store.export_all()
        store.add_player("Ann", now=NOW)

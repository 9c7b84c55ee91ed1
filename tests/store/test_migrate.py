import hashlib
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from importlib import resources
from pathlib import Path

import pytest

from builders.stores import NOW
from slurwright.errors import StoreError
from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.store import backups_of, open_store
from slurwright.store.backup import Why
from slurwright.store.connect import open_writer
from slurwright.store.migrate import Migration, migrate, migrations, schema_version

FIXTURES = Path(__file__).parent / "fixtures"
NEVER_EDITED = {
    "0001_players_horns_readings.sql": "074bdcc2a2f4c37363c93d3d294a7f11acc1991734b20583841b89bfd4b664e3",
    "0002_change_mark.sql": "dfe1b1d91656ae69a1413e3731a057444afc7fd444af8472a2c2de2ab172d9d5",
    "0003_takes.sql": "201e8394e776ac8802ba42cee5d5d1d40248a9f42b867077550c327585acf732",
    "0004_practice.sql": "0ed565e51e1e472e27827c022486d35a9d6f291fe4c16f1a39e9000e38c4a7e4",
}


def content_of(number: int) -> str:
    """What the fixture of a schema holds, as it is exported today."""
    name = "content.json" if number < 3 else f"content-{number:04d}.json"
    return collection_to_json(collection_from_json((FIXTURES / name).read_text("utf-8")))


def test_migrations_that_were_given_out_are_never_edited() -> None:
    folder = resources.files("slurwright.store") / "migrations"
    found = {
        entry.name: hashlib.sha256(entry.read_bytes()).hexdigest()
        for entry in folder.iterdir()
        if entry.name.endswith(".sql")
    }
    assert found == NEVER_EDITED


def test_migrations_are_numbered_without_gaps() -> None:
    assert [step.number for step in migrations()] == list(range(1, len(NEVER_EDITED) + 1))


@pytest.mark.parametrize("number", range(1, len(NEVER_EDITED) + 1))
def test_a_store_of_every_schema_is_brought_up_to_date(path: Path, number: int) -> None:
    path.parent.mkdir()
    shutil.copy(FIXTURES / f"schema-{number:04d}.sqlite3", path)
    with open_store(path, now=NOW) as store:
        assert collection_to_json(store.export_all()) == content_of(number)
        store.add_player("new", now=NOW)
    with closing(sqlite3.connect(path)) as connection:
        assert schema_version(connection) == len(migrations())
    upgrades = [backup for backup in backups_of(path) if backup.why is Why.UPGRADE]
    assert len(upgrades) == (number < len(migrations()))
    for backup in upgrades:
        with closing(sqlite3.connect(backup.path)) as connection:
            assert schema_version(connection) == number


def test_an_upgraded_store_has_the_tables_of_a_new_one(path: Path, tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "schema-0001.sqlite3", tmp_path / "old.sqlite3")
    schemas = []
    for name in (path, tmp_path / "old.sqlite3"):
        open_store(name, now=NOW).close()
        with closing(sqlite3.connect(name)) as connection:
            schemas.append(connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall())
    assert schemas[0] == schemas[1]


Attempt = Callable[[str], None]


@pytest.fixture
def attempt(path: Path) -> Attempt:
    """Try one more step on a store that has content."""
    path.parent.mkdir()
    shutil.copy(FIXTURES / f"schema-{len(migrations()):04d}.sqlite3", path)

    def try_step(sql: str) -> None:
        steps = (*migrations(), Migration(len(migrations()) + 1, "trial", sql))
        with closing(open_writer(path, create=False)) as writer:
            migrate(writer, path, steps=steps, before=lambda: None)

    return try_step


@pytest.mark.parametrize(
    ("sql", "words"),
    [
        ("CREATE TABLE x (a);\nINSERT INTO horns SELECT * FROM horns;", "UNIQUE constraint failed"),
        ("CREATE TABLE x (a);\nDELETE FROM horns;", "rows that point to nothing"),
        ("CREATE TABLE x (a);\nUPDATE readings SET cents = 0;", "never changed"),
    ],
)
def test_a_step_that_fails_leaves_the_store_as_it_was(attempt: Attempt, path: Path, sql: str, words: str) -> None:
    with pytest.raises(StoreError, match=f"is as it was .*trial.*{words}"):
        attempt(sql)
    with open_store(path, now=NOW) as store:
        assert collection_to_json(store.export_all()) == content_of(len(migrations()))
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'x'").fetchone() is None


def test_a_table_that_others_point_to_can_be_rebuilt(attempt: Attempt, path: Path) -> None:
    attempt(
        "CREATE TABLE anew (id TEXT PRIMARY KEY, player_id TEXT NOT NULL REFERENCES players (id), name TEXT);\n"
        "INSERT INTO anew SELECT id, player_id, name FROM horns;\n"
        "DROP TABLE horns;\n"
        "ALTER TABLE anew RENAME TO horns;\n"
    )
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT count(*) FROM horns").fetchone() == (3,)
        assert connection.execute("SELECT count(*) FROM readings").fetchone() == (8,)


def test_a_store_of_a_newer_program_is_left_alone(attempt: Attempt, path: Path) -> None:
    attempt("CREATE TABLE x (a);")
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"written by a newer version.*got schema 5; allowed: up to schema 4"):
        open_store(path, now=NOW + timedelta(days=9))
    assert path.read_bytes() == before
    assert backups_of(path) == ()

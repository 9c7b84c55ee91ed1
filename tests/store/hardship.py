"""What a store must live through: killed processes, several writers, a full disk. Run as a program of its own.

It forks, which a test runner with threads must not, and it can be run longer than the tests do:
``python tests/store/hardship.py killed-writes FOLDER SEED COUNT``. Writes one JSON object; ends with status 1 where
something was lost.
"""

import json
import os
import random
import resource
import shutil
import signal
import sqlite3
import sys
import time
import traceback
from collections.abc import Callable
from contextlib import closing, suppress
from datetime import timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from builders.stores import NOW, played
from slurwright.errors import DamagedStoreError, StoreError
from slurwright.store import Store, backups_of, open_store
from slurwright.store.backup import Why, make_backup
from slurwright.store.connect import open_writer
from slurwright.store.damage import fault_of
from slurwright.store.migrate import Migration, migrate, migrations, schema_version

Answer = dict[str, Any]


class LostError(Exception):
    """Something that was acknowledged is not there, or the store cannot be read."""


def child(work: Callable[[Callable[[str], None]], None]) -> tuple[int, int]:
    """Start a process that does the work and acknowledges on a pipe; gives its id and the pipe."""
    reading_end, writing_end = os.pipe()
    pid = os.fork()
    if pid:
        os.close(writing_end)
        return pid, reading_end
    status = 1
    try:
        os.close(reading_end)
        work(lambda line: _tell(writing_end, line))
        status = 0
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(status)


def _tell(pipe: int, line: str) -> None:
    os.write(pipe, f"{line}\n".encode())


def told(pipe: int) -> list[str]:
    """Read all that a child has said until it ended."""
    with os.fdopen(pipe, "rb") as stream:
        return stream.read().decode().splitlines()


def kill_after(pid: int, delay_s: float) -> None:
    """Kill a child as the power of the machine would, without a word to it."""
    time.sleep(delay_s)
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)


def the_horn(store: Store) -> str:
    """The one horn of these stores, made where it is missing."""
    with suppress(StoreError):
        store.add_player("Ida", now=NOW)
    player = store.player_named("ida")
    with suppress(StoreError):
        store.add_horn(player.id, "old", model="euphonium-4c", now=NOW)
    return store.horn_named(player.id, "old").id


LEAST_KILLS = 5


def killed_writes(folder: Path, seed: int, count: int) -> Answer:
    """Kill writers at random moments, the making of the store included.

    Goes on until so many writes were acknowledged and, however fast the machine, `LEAST_KILLS` writers killed.
    """
    rng = random.Random(seed)
    path = folder / "store.sqlite3"
    added: dict[str, tuple[str, ...]] = {}
    withdrawn: set[str] = set()
    writes = kills = unacknowledged = 0

    def work(tell: Callable[[str], None]) -> None:
        with open_store(path, now=NOW) as store:
            horn = the_horn(store)
            number = 0
            while True:
                kept = store.add_readings(horn, [played(number + part / 4) for part in range(3)], now=NOW)
                tell(" ".join(["add", *(one.id for one in kept)]))
                number = (number + 1) % 1000
                if number % 4 == 0:
                    store.withdraw([kept[0].id], now=NOW)
                    tell(f"withdraw {kept[0].id}")

    while writes < count or kills < LEAST_KILLS:
        pid, pipe = child(work)
        kill_after(pid, rng.uniform(0.0, 0.25))
        kills += 1
        for line in told(pipe):
            verb, *ids = line.split()
            writes += 1
            if verb == "add":
                added[ids[0]] = tuple(ids)
            else:
                withdrawn.add(ids[0])
        with open_store(path, now=NOW) as store:
            there = {kept.id: kept for kept in store.readings_of(the_horn(store), withdrawn=True)}
        lost = [one for ids in added.values() for one in ids if one not in there]
        if lost:
            raise LostError(f"{len(lost)} readings lost after {kills} kills")
        if any(not there[one].withdrawn for one in withdrawn):
            raise LostError("a withdrawal was lost")
        if len(there) % 3:
            raise LostError("a write was done in part")
        unacknowledged = len(there) - 3 * len(added)
        if unacknowledged > 3 * kills:
            raise LostError("more is there than was written")
    return {"writes": writes, "kills": kills, "lost": 0, "committed_but_not_acknowledged": unacknowledged // 3}


def many_steps() -> tuple[Migration, ...]:
    """The real steps and fifty more that add, fill, rebuild and index."""
    steps = list(migrations())
    for number in range(len(steps) + 1, len(steps) + 51):
        kind = number % 3
        if kind == 0:
            sql = (
                f"CREATE TABLE extra_{number} (id TEXT PRIMARY KEY, words TEXT) STRICT;\n"
                f"INSERT INTO extra_{number} SELECT id, session || fingering FROM readings;"
            )
        elif kind == 1:
            sql = f"ALTER TABLE horns ADD COLUMN extra_{number} TEXT;\nUPDATE horns SET extra_{number} = name;"
        else:
            sql = f"CREATE INDEX extra_{number} ON readings (session, cents, {number});"
        steps.append(Migration(number, f"extra_{number}", sql))
    return tuple(steps)


def killed_migrations(folder: Path, seed: int, count: int) -> Answer:
    """Kill so many upgrades at random moments; each must have happened wholly or not at all."""
    rng = random.Random(seed)
    path = folder / "store.sqlite3"
    with open_store(path, now=NOW) as store:
        horn = the_horn(store)
        whole = store.add_readings(horn, [played(number / 10) for number in range(400)], now=NOW)
    fresh = folder / "fresh.sqlite3"
    shutil.copy(path, fresh)
    steps, old = many_steps(), len(migrations())

    def upgrade(now_s: int) -> None:
        moment = NOW + timedelta(seconds=now_s)
        with closing(open_writer(path, create=False)) as writer:
            migrate(writer, path, steps=steps, before=lambda: make_backup(path, why=Why.UPGRADE, now=moment))

    def work(tell: Callable[[str], None], number: int) -> None:
        tell("started")
        upgrade(number)
        tell("done")

    started = time.monotonic()
    upgrade(0)
    usual_s = time.monotonic() - started
    before = after = 0
    for number in range(1, count + 1):
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        shutil.copy(fresh, path)
        pid, pipe = child(lambda tell, number=number: work(tell, number))  # type: ignore[misc]
        kill_after(pid, rng.uniform(0.0, 1.6 * usual_s))
        done = "done" in told(pipe)
        with closing(open_writer(path, create=False)) as writer:
            version, fault = schema_version(writer), fault_of(writer, path)
            (readings,) = writer.execute("SELECT count(*) FROM readings").fetchone()
        if fault is not None or readings != len(whole) or version not in (old, len(steps)):
            raise LostError(f"upgrade {number}: {fault}, {readings} readings, schema {version}")
        if done and version == old:
            raise LostError(f"upgrade {number} was acknowledged and is not there")
        before, after = before + (version == old), after + (version != old)
        for backup in backups_of(path):
            with closing(sqlite3.connect(backup.path)) as copy:
                if fault_of(copy, backup.path) is not None or schema_version(copy) != old:
                    raise LostError(f"upgrade {number} left a bad backup")
        upgrade(number)
    return {"upgrades": count, "steps_each": len(steps) - old, "not_yet": before, "wholly": after, "lost": 0}


def together(folder: Path, seed: int, count: int) -> Answer:
    """Have two processes make the store and write to it at the same time, so many writes each."""
    path = folder / "store.sqlite3"
    gate_out, gate_in = os.pipe()

    def work(tell: Callable[[str], None], name: int) -> None:
        os.close(gate_in)
        os.read(gate_out, 1)
        with open_store(path, now=NOW) as store:
            horn = the_horn(store)
            for number in range(count):
                (kept,) = store.add_readings(horn, [played(number, session=f"writer {name}")], now=NOW)
                tell(kept.id)

    children = [child(lambda tell, name=name: work(tell, name)) for name in range(2)]  # type: ignore[misc]
    os.close(gate_in)
    acknowledged = [line for _, pipe in children for line in told(pipe)]
    statuses = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid, _ in children]
    with open_store(path, now=NOW) as store:
        there = {kept.id for kept in store.readings_of(the_horn(store))}
    if statuses != [0, 0] or there != set(acknowledged) or len(there) != 2 * count:
        raise LostError(f"statuses {statuses}, {len(there)} of {2 * count} readings, seed {seed}")
    return {"writers": 2, "writes": len(there), "lost": 0}


def full_disk(folder: Path, _seed: int, count: int) -> Answer:
    """Write until nothing more fits; a limit on the size of files is the disk's end unless the folder is small."""
    path = folder / "store.sqlite3"
    with open_store(path, now=NOW) as store:
        horn = the_horn(store)
        first = store.add_readings(horn, [played(number) for number in range(count)], now=NOW)
    if shutil.disk_usage(folder).free > 50_000_000:
        limit = path.stat().st_size + 40_000
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.getrlimit(resource.RLIMIT_FSIZE)[1]))
    acknowledged = [one.id for one in first]
    message = ""
    with open_store(path, now=NOW + timedelta(days=2)) as store:
        for number in range(10_000):
            try:
                acknowledged += [one.id for one in store.add_readings(horn, [played(number)] * 20, now=NOW)]
            except DamagedStoreError as error:
                raise LostError(str(error)) from error
            except StoreError as error:
                message = str(error)
                break
        # The store that met the end of the disk still answers, and so does one that is opened on the full disk.
        there = [one.id for one in store.readings_of(horn)]
    with open_store(path, now=NOW + timedelta(days=9)) as again:
        there_again = [one.id for one in again.readings_of(horn)]
        notices = again.notices
    if not set(there) == set(there_again) == set(acknowledged):
        raise LostError(f"{len(acknowledged)} acknowledged, {len(there)} and then {len(there_again)} there")
    return {"message": message, "kept": len(there_again), "lost": 0, "notices": list(notices)}


HARDSHIPS = {
    "killed-writes": killed_writes,
    "killed-migrations": killed_migrations,
    "together": together,
    "full-disk": full_disk,
}

if __name__ == "__main__":
    which, where, given_seed, given_count = sys.argv[1:]
    sys.stdout.write(json.dumps(HARDSHIPS[which](Path(where), int(given_seed), int(given_count))) + "\n")

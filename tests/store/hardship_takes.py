"""What takes must live through: killed processes, several writers, a full disk. Run as a program of its own.

See `hardship`; ``python tests/store/hardship_takes.py killed FOLDER SEED COUNT``.
"""

import io
import json
import os
import random
import resource
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from typing import NoReturn

sys.path.insert(0, str(Path(__file__).parents[1]))

from builders.kept_takes import about, measures
from builders.stores import NOW, played
from slurwright.errors import DamagedStoreError, StoreError
from slurwright.listen.kept import KeptTake, TakeState
from slurwright.store import Store, open_store, store_takes, take_measures
from slurwright.store.sounds import Astray, StagedSound
from store.hardship import LEAST_KILLS, Answer, LostError, child, kill_after, the_horn, told

Tell = Callable[[str], None]


def sound_of(number: int, *, size: int = 300_000) -> bytes:
    """A recording that is like no other."""
    return number.to_bytes(8, "big") * (size // 8)


def receive(store: Store, number: int, *, keeps: bool, size: int = 300_000) -> KeptTake:
    """Keep one of many recordings."""
    horn = the_horn(store)
    player = store.player_named("ida")
    what = about(player.id, horn, keeps_sound=keeps, note=str(number))
    return store.receive_take(what, io.BytesIO(sound_of(number, size=size)), called="x", ending="wav", now=NOW)


def busy(path: Path, tell: Tell, first: int) -> None:
    """Receive, measure, fail, forget and remove takes, and say before and after each what it is."""
    with open_store(path, now=NOW) as store:
        for number in range(first, first + 100_000):
            take = receive(store, number, keeps=number % 3 != 0)
            tell(f"done receive {take.id}")
            steps: list[tuple[str, Callable[[], object]]] = []
            if number % 5 == 0:
                steps.append(("fail", lambda take=take: store.fail_take(take.id, "too soft", now=NOW)))  # type: ignore[misc]
            if number % 7 != 0:
                tones = [(1, played(number % 1000))]
                steps.append((
                    "measure",
                    lambda take=take, tones=tones: store.keep_measures(take.id, measures(), tones=tones, now=NOW),  # type: ignore[misc]
                ))  # fmt: skip
                if number % 3 == 1:
                    steps.append(("forget", lambda take=take: store.forget_sound(take.id, now=NOW)))  # type: ignore[misc]
            if number % 4 == 0:
                steps.append(("delete", lambda take=take: store.delete_take(take.id, now=NOW)))  # type: ignore[misc]
                steps.append(("purge", lambda take=take: store.purge_take(take.id)))  # type: ignore[misc]
            for verb, step in steps:
                tell(f"begin {verb} {take.id}")
                step()
                tell(f"done {verb} {take.id}")


def killed(folder: Path, seed: int, count: int) -> Answer:
    """Kill players' programs at random moments until so many takes were received, then look at every one of them."""
    rng = random.Random(seed)
    path = folder / "store.sqlite3"
    done: dict[str, list[str]] = {}
    begun: dict[str, str] = {}
    kills = 0
    while len(done) < count or kills < LEAST_KILLS:
        pid, pipe = child(lambda tell, kills=kills: busy(path, tell, kills * 1_000_000))  # type: ignore[misc]
        kill_after(pid, rng.uniform(0.1, 0.8))
        kills += 1
        for line in told(pipe):
            stage, verb, take_id = line.split()
            if stage == "begin":
                begun[take_id] = verb
            else:
                done.setdefault(take_id, []).append(verb)
                begun.pop(take_id, None)
        with open_store(path, now=NOW) as store:
            _look_at_all(store, done, begun)
            strays = _strays(store, kills)
    return {"takes": len(done), "kills": kills, "lost": 0, "strays": strays}


def _strays(store: Store, kills: int) -> int:
    astray = store.sounds_astray()
    if astray.absent or astray.altered:
        raise LostError(f"takes without their recording: {astray.absent + astray.altered}")
    strays = len(astray.stray) + len(astray.unfinished)
    if strays > kills:
        raise LostError(f"{strays} recordings astray after {kills} kills")
    return strays


def _look_at_all(store: Store, done: dict[str, list[str]], begun: dict[str, str]) -> None:
    there = {whole.take.id: whole for whole in store.export_all().takes}
    withdrawn = {
        kept.take.take_id: kept.withdrawn
        for kept in store.readings_of(the_horn(store), withdrawn=True)
        if kept.take is not None
    }
    for take_id, verbs in done.items():
        possible = [verbs, [*verbs, begun[take_id]]] if take_id in begun else [verbs]
        seen = _seen(there.get(take_id), withdrawn.get(take_id))
        wanted = [_expected(each, there.get(take_id)) for each in possible]
        if seen not in wanted:
            raise LostError(f"take {take_id}: {seen}, and after {' or '.join(map(str, possible))} {wanted}")
    for whole in there.values():
        if whole.measures is not None and whole.measures != measures():
            raise LostError(f"take {whole.take.id} has other figures")
        sound = store.sound_of(whole.take.id)
        if (sound is not None) is not (whole.take.sound is not None):
            raise LostError(f"take {whole.take.id} and its recording do not agree")
        if sound is not None and sound.read_bytes() != sound_of(int(whole.take.about.note)):
            raise LostError(f"take {whole.take.id} has another recording")


def _seen(whole: object, withdrawn: bool | None) -> tuple[object, ...]:
    if whole is None:
        return ("gone",)
    take: KeptTake = whole.take  # type: ignore[attr-defined]
    return take.state, take.sound is not None, take.deleted_at is not None, withdrawn


def _expected(verbs: list[str], whole: object) -> tuple[object, ...]:
    if "purge" in verbs:
        return ("gone",)
    measured, deleted = "measure" in verbs, "delete" in verbs
    state = TakeState.MEASURED if measured else TakeState.FAILED if "fail" in verbs else TakeState.RECEIVED
    unkept = whole is not None and int(whole.take.about.note) % 3 == 0  # type: ignore[attr-defined]
    sound = not ("forget" in verbs or (measured and unkept))
    return state, sound, deleted, deleted if measured else None


def together(folder: Path, seed: int, count: int) -> Answer:
    """Have two processes receive, measure and remove takes at the same time, so many each."""
    path = folder / "store.sqlite3"
    with open_store(path, now=NOW) as store:
        the_horn(store)
    gate_out, gate_in = os.pipe()

    def work(tell: Tell, name: int) -> None:
        os.close(gate_in)
        os.read(gate_out, 1)
        with open_store(path, now=NOW) as store:
            for number in range(count):
                take = receive(store, 1000 * name + number, keeps=number % 2 == 0, size=20_000)
                store.keep_measures(take.id, measures(), tones=[(0, played(number))], now=NOW)
                if number % 4 == 0:
                    store.delete_take(take.id, now=NOW)
                    store.purge_take(take.id)
                else:
                    tell(take.id)

    children = [child(lambda tell, name=name: work(tell, name)) for name in range(2)]  # type: ignore[misc]
    os.close(gate_in)
    acknowledged = {line for _, pipe in children for line in told(pipe)}
    statuses = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid, _ in children]
    with open_store(path, now=NOW) as store:
        there = {whole.take.id for whole in store.export_all().takes}
        astray = store.sounds_astray()
        readings = len(store.readings_of(the_horn(store), withdrawn=True))
    files = {entry.stem for entry in (path.parent / "takes").iterdir()}
    if statuses != [0, 0] or there != acknowledged or astray != Astray() or readings != 2 * count:
        raise LostError(f"statuses {statuses}, {len(there)} takes, {astray}, {readings} readings, seed {seed}")
    return {"writers": 2, "takes": len(there), "recordings": len(files), "lost": 0}


def full_disk(folder: Path, _seed: int, count: int) -> Answer:
    """Receive and measure takes until nothing more fits; a limit on the size of files is the end of a large disk."""
    path = folder / "store.sqlite3"
    limited = shutil.disk_usage(folder).free > 50_000_000
    sizes: Iterator[int] = iter(range(10_000, 10_000_000, 10_000)) if limited else iter([30_000] * 1000)
    acknowledged: dict[str, bytes] = {}
    measured: set[str] = set()
    message = ""
    with open_store(path, now=NOW) as store:
        the_horn(store)
        if limited:
            resource.setrlimit(resource.RLIMIT_FSIZE, (700_000, resource.getrlimit(resource.RLIMIT_FSIZE)[1]))
        for number, size in enumerate(sizes):
            try:
                take = receive(store, number, keeps=True, size=size)
                acknowledged[take.id] = sound_of(number, size=size)
                if number < count:
                    store.keep_measures(take.id, measures(), now=NOW)
                    measured.add(take.id)
            except DamagedStoreError as error:
                raise LostError(str(error)) from error
            except StoreError as error:
                message = str(error)
                break
        _whole(store, acknowledged, measured)
        # Room is made by removing, also where there is none.
        first = next(iter(acknowledged))
        with suppress(StoreError):
            store.delete_take(first, now=NOW)
            del acknowledged[first]
            store.purge_take(first)
    with open_store(path, now=NOW + timedelta(days=9)) as again:
        _whole(again, acknowledged, measured)
    return {"message": message, "kept": len(acknowledged), "lost": 0}


def _whole(store: Store, acknowledged: dict[str, bytes], measured: set[str]) -> None:
    there = {whole.take.id: whole for whole in store.export_all().takes if whole.take.deleted_at is None}
    if set(there) != set(acknowledged):
        raise LostError(f"{len(acknowledged)} acknowledged, {len(there)} there")
    for take_id, sound in acknowledged.items():
        place = store.sound_of(take_id)
        if place is None or place.read_bytes() != sound:
            raise LostError(f"take {take_id} has lost its recording")
        if (there[take_id].measures is not None) is not (take_id in measured):
            raise LostError(f"take {take_id} is not as far as it was")
    if store.sounds_astray() != Astray():
        raise LostError(f"astray: {store.sounds_astray()}")


def _end(*_: object, **__: object) -> NoReturn:
    """End as the power of the machine would: nothing is tidied up."""
    os._exit(9)


def _end_after(owner: object, name: str) -> None:
    what = getattr(owner, name)

    def then_end(*words: object, **named: object) -> NoReturn:
        what(*words, **named)
        _end()

    setattr(owner, name, then_end)


MOMENTS: dict[str, Callable[[], None]] = {
    "half written": lambda: setattr(os, "fsync", _end),
    "written": lambda: setattr(StagedSound, "settle", _end),
    "named": lambda: _end_after(StagedSound, "settle"),
    "received": lambda: _end_after(Store, "receive_take"),
    "half measured": lambda: _end_after(take_measures, "insert_slurs"),
    "measured": lambda: setattr(Store, "finish_removals", _end),
    "removed": lambda: _end_after(store_takes, "remove_given_up"),
}
"""At which moments a program ends, and how it is brought to."""


def moments(folder: Path, _seed: int, _count: int) -> Answer:
    """End a program at each moment that matters between receiving a take and removing its recording."""
    found: Answer = {}
    for at, (name, prepare) in enumerate(MOMENTS.items()):
        path = folder / str(at) / "store.sqlite3"
        with open_store(path, now=NOW) as store:
            the_horn(store)

        def work(tell: Tell, path: Path = path, prepare: Callable[[], None] = prepare) -> None:
            with open_store(path, now=NOW) as store:
                prepare()
                take = receive(store, 1, keeps=False)
                tell(take.id)
                store.keep_measures(take.id, measures(), now=NOW)
                tell("measured")

        pid, pipe = child(work)
        told(pipe)
        status = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
        if status != 9:
            raise LostError(f"{name}: the program went on to status {status}")
        with open_store(path, now=NOW) as store:
            takes, astray = store.export_all().takes, store.sounds_astray()
            files = len(list((path.parent / "takes").iterdir()))
            states = [whole.take.state.value for whole in takes]
            if any(whole.measures not in (None, measures()) for whole in takes):
                raise LostError(f"{name}: other figures")
        found[name] = [states, files, len(astray.stray), len(astray.unfinished), len(astray.absent)]
    return found


HARDSHIPS = {"killed": killed, "together": together, "full-disk": full_disk, "moments": moments}

if __name__ == "__main__":
    which, where, given_seed, given_count = sys.argv[1:]
    sys.stdout.write(json.dumps(HARDSHIPS[which](Path(where), int(given_seed), int(given_count))) + "\n")

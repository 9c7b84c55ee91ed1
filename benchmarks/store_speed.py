"""How long the store takes beside plain writes to the same disk, in the same run.

Run: ``python benchmarks/store_speed.py``. A thousand readings are added at once and one by one, listed, exported and
imported, and the store is opened. What a disk needs to have a write safely down differs a hundredfold between
machines, so adding is compared with writing and syncing as many bytes to a plain file, the least that any safe store
can do; reading is compared with parsing the same readings as JSON.
"""

import json
import os
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.horn.learnt.values import ToneReading
from slurwright.horn.owned import PlayedTone, Source
from slurwright.pitch import SoundingPitch
from slurwright.store import open_store

COUNT = 1000
NOW = datetime(2026, 1, 9, 18, 30, tzinfo=UTC)


def reading(number: int) -> PlayedTone:
    """One of many readings of a euphonium."""
    sounding = SoundingPitch.from_midi(46 + number % 24)
    tone = ToneReading(sounding, ("0", "1", "2", "1-2")[number % 4], 3, number % 40 - 20.5, "evening", sd_cents=1.0)
    return PlayedTone(tone, date(2026, 1, 9), Source.TYPED)


def timed(work: Callable[[], object], *, times: int = 5) -> float:
    """Shortest of some runs [s]."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def synced(path: Path, data: bytes, *, writes: int) -> float:
    """Time to append so many pieces to a file, each on the disk before the next [s]."""
    with path.open("ab") as stream:
        start = time.perf_counter()
        for _ in range(writes):
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        return time.perf_counter() - start


def main() -> None:
    """Print the figures."""
    readings = [reading(number) for number in range(COUNT)]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "home" / "slurwright.sqlite3"
        plain = Path(folder) / "plain"
        first = timed(lambda: open_store(path, now=NOW).close(), times=1)
        with open_store(path, now=NOW) as store:
            ida = store.add_player("Ida", now=NOW)
            horns = [store.add_horn(ida.id, f"horn {at}", model="euphonium-4c", now=NOW) for at in range(6)]
            waiting = iter(horns)
            together = timed(lambda: store.add_readings(next(waiting).id, readings, now=NOW))
            at_once = min(synced(plain, bytes(300 * COUNT), writes=1) for _ in range(5))
            start = time.perf_counter()
            for at, one in enumerate(readings):
                store.add_readings(horns[5].id, [one], now=NOW + timedelta(seconds=at))
            singly = time.perf_counter() - start
            one_by_one = synced(plain, bytes(300), writes=COUNT)
            listed = timed(lambda: store.readings_of(horns[0].id))
            text = collection_to_json(store.export_all())
            share = json.dumps(json.loads(text)["players"][0]["horns"][0])
            parsed = timed(lambda: json.loads(share))
            exported = timed(lambda: collection_to_json(store.export_all()))
        again = timed(lambda: open_store(path, now=NOW).close())
        size = path.stat().st_size
        numbers = iter(range(5))

        def imported() -> None:
            with open_store(Path(folder) / f"copy{next(numbers)}.sqlite3", now=NOW) as other:
                other.import_all(collection_from_json(text))

        brought_in = timed(imported, times=3)
    print(f"add {COUNT} readings at once: {together * 1e3:.1f} ms, {together / at_once:.1f} × one synced write")
    print(f"add {COUNT} readings one by one: {singly * 1e3:.0f} ms, {singly / one_by_one:.2f} × synced appends")
    print(f"list {COUNT} readings: {listed * 1e3:.1f} ms, {listed / parsed:.1f} × parsing them as JSON")
    print(f"open: first {first * 1e3:.1f} ms; again, {size / 1e6:.1f} MB looked through, {again * 1e3:.1f} ms")
    print(f"{COUNT * 6} readings: export {exported * 1e3:.0f} ms, import {brought_in * 1e3:.0f} ms")


if __name__ == "__main__":
    main()

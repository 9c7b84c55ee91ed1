"""How the store bears a hundred thousand slurs: time, memory, room on the disk, beside plain work in the same run.

Run: ``python benchmarks/take_store_speed.py``. Five hundred takes of two hundred slurs are received and measured,
then listed, looked through, exported, imported, and the store is opened. Keeping a take is compared with writing and
syncing as many bytes to two plain files, the least that a recording and its figures need (on the clock, for it is
the disk that counts); reading with parsing the same slurs as JSON (processor time). "Peak" is of the whole process so
far.
"""

import io
import json
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.formats.store_takes_json import take_fields
from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import (
    AskedFor,
    KeptMeasures,
    KeptNote,
    KeptSlur,
    TakeAbout,
    TakenPart,
    TakenWay,
    WholeTake,
)
from slurwright.listen.measures import NoteMeasure, Reason, SlurMeasure, SlurOutcome, SlurPath
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.store import open_store
from slurwright.store.disk import sync_folder

TAKES, SLURS = 500, 200
NOW = datetime(2026, 1, 9, 18, 30, tzinfo=UTC)
SOUND = bytes(1_000_000)
WAYS = [
    TakenWay(WrittenPitch.named(written), SoundingPitch.named(sounding), fingering, partial)
    for written, sounding, fingering, partial in (
        ("G4", "F3", "0", 3), ("A4", "G3", "1-2", 4), ("B4", "A3", "2", 4), ("C5", "Bb3", "0", 4),
        ("D5", "C4", "1-3", 5), ("E5", "D4", "0", 5), ("F5", "Eb4", "1", 5),
    )
]  # fmt: skip


def figure(value: float) -> Measured:
    """A figure; one in thirteen is hidden."""
    return Hidden(Veil.ROOM) if round(value * 7) % 13 == 0 else Figure(value, value - 0.71, value + 0.83)


def measures(take: int) -> KeptMeasures:
    """What may have been measured in a take."""
    notes, slurs = [], []
    for at in range(SLURS + 1):
        seed = take * 31 + at * 17
        way = WAYS[seed % len(WAYS)]
        cents, level = seed % 397 / 13.7 - 15, -20 - seed % 97 / 7.3
        measure = NoteMeasure(
            at, figure(cents), (at * 0.31, at * 0.31 + 0.25), figure(cents / 9), figure(level / 9),
            figure(level / 5), None, level, figure(3 - level / 31),
        )  # fmt: skip
        notes.append(
            KeptNote(
                at, f"{at // 4}:{at % 4}", way, "plain", 0.0, PlayedAs.ASKED, at * 0.31, at * 0.31 + 0.3, measure
            )
        )
    for at in range(SLURS):
        seed = take * 37 + at * 19
        time_ms = 25 + seed % 611 / 7.7
        slur = SlurMeasure(
            at, at + 1, figure(time_ms), figure(time_ms / 9), figure(time_ms / 3), figure(0.3), figure(time_ms / 4),
            figure(time_ms / 5), SlurPath.DIRECT, None, SlurOutcome.CLEAN if seed % 9 else SlurOutcome.BROKE, 0.97,
            figure(0.9), () if seed % 9 else (Reason.ABRUPT, Reason.SCOOP),
        )  # fmt: skip
        ways = notes[at].way, notes[at + 1].way
        slurs.append(KeptSlur((at, at + 1), notes[at].label, ways, "plain", 0.0, 96.0, 0.31, slur))
    track = [round(440 + (take * 7 + frame * 13) % 1009 / 97, 2) for frame in range(6000)]
    return KeptMeasures(tuple(notes), tuple(slurs), 62.5, "1", json.dumps({"track": track}), 1)


def about(player: str, horn: str, take: int) -> TakeAbout:
    """One of many takes of one part."""
    part = TakenPart("waltz.musicxml", "00ff" * 8, "Waltz of the Ferry", "Euphonium")
    asked = AskedFor(0, SLURS, "", "treble-b", "p", 96.0)
    return TakeAbout(player, horn, "euphonium-4c", None, part, asked, date(2026, 1, 9) + timedelta(days=take // 4))


def seconds(work: Callable[[], object]) -> float:
    """Time of one run [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def work_s(work: Callable[[], object]) -> float:
    """Processor time of one run [s]."""
    start = time.process_time()
    work()
    return time.process_time() - start


def synced(folder: Path, pieces: tuple[int, ...]) -> None:
    """Write files of these sizes, each on the disk with its name before the next."""
    for at, size in enumerate(pieces):
        path = folder / f"plain{at}"
        with path.open("wb") as stream:
            stream.write(bytes(size))
            stream.flush()
            os.fsync(stream.fileno())
        sync_folder(folder)


def peak_mb() -> float:
    """Most memory that this process has held [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)


def main() -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "home" / "slurwright.sqlite3"
        samples = [measures(take) for take in range(8)]
        receiving, keeping, plain = [], [], []
        with open_store(path, now=NOW) as store:
            ida = store.add_player("Ida", now=NOW)
            horn = store.add_horn(ida.id, "old", model="euphonium-4c", now=NOW)
            before = peak_mb()
            for number in range(TAKES):
                what = replace(about(ida.id, horn.id, number), keeps_sound=number < 10)
                start = time.perf_counter()
                take = store.receive_take(what, io.BytesIO(SOUND), called="x", ending="wav", now=NOW)
                received = time.perf_counter()
                store.keep_measures(take.id, samples[number % len(samples)], now=NOW)
                keeping.append(time.perf_counter() - received)
                receiving.append(received - start)
                if number % 10 == 0:
                    plain.append(seconds(lambda: synced(folder, (len(SOUND), 150_000))))
            kept_peak = peak_mb()
            middle = TAKES // 2
            print(f"{TAKES} takes of {SLURS} slurs, {path.stat().st_size / 1e6:.0f} MB; peak {before:.0f} MB before, "
                  f"{kept_peak:.0f} MB after")  # fmt: skip
            one, other = sorted(receiving)[middle], sorted(keeping)[middle]
            print(f"receive 1 MB of sound: {one * 1e3:.1f} ms; keep its figures: {other * 1e3:.1f} ms; both "
                  f"{(one + other) / sorted(plain)[len(plain) // 2]:.1f} × two synced files")  # fmt: skip
            takes = work_s(lambda: store.takes_of(ida.id))
            pair = WAYS[0].sounding, WAYS[3].sounding
            looked = work_s(lambda: store.slurs_of(ida.id, horn_id=horn.id, pair=pair))
            found = len(store.slurs_of(ida.id, horn_id=horn.id, pair=pair))
            print(f"list the takes: {takes * 1e3:.0f} ms; {found} slurs of one pair: {looked * 1e3:.0f} ms")
            print(f"all figures of one take: {work_s(lambda: store.measures_of(take.id)) * 1e3:.1f} ms")
            print(f"back up: {seconds(lambda: store.back_up(now=NOW)):.2f} s on the clock")
            listed = work_s(lambda: store.slurs_of(ida.id))
            slurs = store.slurs_of(ida.id)
            print(f"all {len(slurs)} slurs: {listed:.2f} s; peak {peak_mb():.0f} MB")
            share = json.dumps([take_fields(WholeTake(take, sample)) for sample in samples], default=list)
            parsed = work_s(lambda: json.loads(share)) * TAKES / len(samples)
            print(f"against parsing all of it as JSON: {listed / parsed:.2f} ×")
            del slurs
            out = store.export_all()
            print(f"export: read {work_s(store.export_all):.1f} s, peak {peak_mb():.0f} MB", end="; ")
            start = time.process_time()
            text = collection_to_json(out)
            write = time.process_time() - start
            print(f"write {write:.1f} s, {len(text) / 1e6:.0f} MB, peak {peak_mb():.0f} MB")
        print(f"open again: {seconds(lambda: open_store(path, now=NOW).close()):.2f} s on the clock")
        del out
        with open_store(folder / "copy.sqlite3", now=NOW) as copy:
            start = time.process_time()
            read = collection_from_json(text)
            parsed = time.process_time()
            copy.import_all(read)
            end = time.process_time()
        print(f"import: read {parsed - start:.1f} s, join {end - parsed:.1f} s; peak {peak_mb():.0f} MB")


if __name__ == "__main__":
    main()

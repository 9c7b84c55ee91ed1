"""A hundred thousand attempts of four years in a player's store, for what whole commands cost there.

The works are lines of ``python -m benchmarks``. Half of the attempts are slurs of takes with all their figures, half
were logged by ear, on three horns of one player's own; every one has circumstances of its own. There is a trial that
is going on, and a sheet of today. The other side of each line learns from as many rows.
"""

import io
import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from builders.players import HORNS, Habits, attempts_of, book_of, play_through
from builders.players_worlds import TERRIBLE_PAIRS
from slurwright.devices.clock import today
from slurwright.devices.packaged import demo_part
from slurwright.evidence.attempts import Attempt, Ear, Tried
from slurwright.evidence.kept import EarAttempt
from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import AskedFor, KeptMeasures, KeptNote, KeptSlur, TakeAbout, TakenPart, TakenWay
from slurwright.listen.measures import NoteMeasure, SlurMeasure, SlurOutcome, SlurPath
from slurwright.store import Store, open_store

__all__ = ["HORN", "command_line", "prepare_show_trial", "prepare_store"]

HORN = "euphonium-4c of mine"
TRIAL = "trial.txt"
"""Names the file that holds the id of the trial."""
BOOKS = 10
HABITS = Habits(session=40, days_apart=5.8)
_DAYS = 1461
"""Four years."""
_SURE = 0.5
"""Where an attempt is taken to have spoken [1]."""


def command_line(folder: Path, *words: str) -> tuple[str, ...]:
    """A command line of ours on that store."""
    slurwright = str(Path(sys.executable).with_name("slurwright"))
    return ("/usr/bin/env", f"SLURWRIGHT_HOME={folder / 'practice-load'}", slurwright, *words)


def prepare_store(folder: str, count: str) -> Callable[[], object]:
    """Fill a store with so many attempts; what is there stays."""
    path = Path(folder) / "practice-load" / "slurwright.sqlite3"
    return lambda: None if path.exists() else _fill(path, int(count))


def _fill(path: Path, count: int) -> None:
    _fill_with_attempts(path, count)
    folder = path.parent.parent
    part = folder / "practice-load.musicxml"
    part.write_bytes(demo_part()[1])
    new = ("trial", "new", str(part), "0:3", "--horn", HORN, "--choose", "F3=4", "--seed", "3", "--json")
    trial = str(json.loads(_answer(folder, *new))["id"])
    (folder / "practice-load" / TRIAL).write_text(trial, encoding="utf-8")
    for _ in range(7):
        _answer(folder, "trial", "log", trial, *("good", "rough", "good", "missed") * 2)
    _answer(folder, "today", "plan", str(part), "--horn", HORN, "--minutes", "30", "--json")


def _answer(folder: Path, *words: str) -> str:
    return subprocess.run(command_line(folder, *words), check=True, capture_output=True, text=True).stdout


def prepare_show_trial(folder: str) -> Callable[[], object]:
    """Say how the trial stands, as the command does."""
    trial = (Path(folder) / "practice-load" / TRIAL).read_text("utf-8")
    return lambda: _answer(Path(folder), "trial", "show", trial)


def _fill_with_attempts(path: Path, count: int) -> None:
    start = today() - timedelta(days=_DAYS)
    began = datetime.combine(start, time(8), UTC)
    with open_store(path, now=began) as store:
        player = store.add_player("me", now=began).id
        horns = {model: store.add_horn(player, f"{model} of mine", model=model, now=began).id for model in HORNS}
        for number, (day, attempts) in enumerate(_sessions(count, start)):
            at = datetime.combine(day, time(18), UTC) + timedelta(seconds=number % 7200)
            horn = horns[attempts[0].horn]
            if number % 2:
                store.log_attempts([_by_ear(one, player, horn) for one in attempts], now=at)
            else:
                _keep_take(store, attempts, player, horn, at)


def _sessions(count: int, start: date) -> Iterator[tuple[date, list[Attempt]]]:
    """Sessions of one player at ten parts, in order of days, each on one horn."""
    found: list[Attempt] = []
    for number in range(BOOKS):
        book = book_of(HORNS[number % len(HORNS)], seed=1000 + number)
        rng = np.random.default_rng((number, 7))
        practice = play_through(book, TERRIBLE_PAIRS.draw(book, rng), rng, attempts=count // BOOKS, habits=HABITS)
        found += attempts_of(book, practice)
    first = min(attempt.played_on for attempt in found)
    moved = [
        replace(one, played_on=start + timedelta(days=min(_DAYS, (one.played_on - first).days))) for one in found
    ]
    moved.sort(key=lambda one: one.played_on)
    for (day, _), attempts in groupby(moved, key=lambda one: (one.played_on, one.horn)):
        yield day, list(attempts)


def _part(attempt: Attempt) -> TakenPart:
    return TakenPart(f"{attempt.horn}.musicxml", f"{sum(attempt.horn.encode()):016x}", "The Ferry", attempt.horn)


def _by_ear(attempt: Attempt, player: str, horn: str) -> EarAttempt:
    heard = Ear.GOOD if attempt.spoke >= _SURE else Ear.MISSED
    return EarAttempt(player, horn, attempt.horn, _part(attempt), "12:3", attempt.tried, heard, attempt.played_on)


def _keep_take(store: Store, attempts: Sequence[Attempt], player: str, horn: str, at: datetime) -> None:
    """Keep a session as one take."""
    first = attempts[0]
    asked = AskedFor(0, len(attempts), "", "", None, 100.0)
    about = TakeAbout(player, horn, first.horn, None, _part(first), asked, first.played_on, keeps_sound=False)
    take = store.receive_take(about, io.BytesIO(b"sound"), called="x.wav", ending="wav", now=at)
    notes = tuple(_note(number, one.tried.ways[0], one.tried) for number, one in enumerate(attempts))
    last = _note(len(attempts), attempts[-1].tried.ways[1], attempts[-1].tried)
    slurs = tuple(_slur(number, one) for number, one in enumerate(attempts))
    document = json.dumps({"slurs": len(slurs)})
    store.keep_measures(take.id, KeptMeasures((*notes, last), slurs, 60.0, "1", document, 1), now=at)


def _figure(value: float) -> Measured:
    """A figure; one in thirteen is hidden."""
    return Hidden(Veil.ROOM) if round(value * 7) % 13 == 0 else Figure(value, value - 0.71, value + 0.83)


def _note(at: int, way: TakenWay, tried: Tried) -> KeptNote:
    cents, level = at % 37 / 3.1 - 6, -20 + 4 * tried.dynamic
    measure = NoteMeasure(
        at, _figure(cents), (at * 0.31, at * 0.31 + 0.25), _figure(cents / 9), _figure(level / 9),
        _figure(level / 5), None, level, _figure(3 - level / 31),
    )  # fmt: skip
    onset_s = at * 0.31
    return KeptNote(at, "12:3", way, "plain", tried.dynamic, PlayedAs.ASKED, onset_s, onset_s + 0.3, measure)


def _slur(at: int, attempt: Attempt) -> KeptSlur:
    tried, spoke = attempt.tried, attempt.spoke >= _SURE
    time_ms = 25 + at % 61
    measure = SlurMeasure(
        at, at + 1, _figure(time_ms), _figure(time_ms / 9), _figure(time_ms / 3), _figure(0.3),
        _figure(time_ms / 4), _figure(time_ms / 5), SlurPath.DIRECT, None,
        SlurOutcome.CLEAN if spoke else SlurOutcome.BROKE, max(attempt.spoke, 1 - attempt.spoke), _figure(0.9), (),
    )  # fmt: skip
    return KeptSlur(
        (at, at + 1), "12:3", tried.ways, tried.technique.value, tried.dynamic, tried.tempo_qpm, tried.time_s,
        measure, tried.hold_s,
    )  # fmt: skip

"""How well a horn is learnt from 12, 24 and 48 readings, beside rivals fitted to the same readings.

Run: ``PYTHONPATH=tests python benchmarks/learnt_accuracy.py [horns a case]``
(default 300; some minutes on one core).

Each horn is invented (``tests/builders/horn_worlds.py``, ``tests/builders/bores.py``) and shares no code with the
model. The player sounds long tones on normal ways of the comfortable range, then others, in one session with an
unknown offset; one reading in ten is a slip. Judged are only ways without a reading, as they were in that session.
Columns: root mean square error in cents; then by how much the model's is below each rival's; the share of ways within
their interval for nine cases of ten; slips set aside, true readings set aside.
"""

import statistics
import sys
import time
from dataclasses import replace

import numpy as np

from builders.horn_trials import PRIORS, RIVALS, Drawer, Score, bore_horn, run, world_horn
from builders.horn_worlds import PLAIN, WORLDS, World, draw_horn, sit, useful_ways
from slurwright.devices.packaged import load_horn
from slurwright.horn.learnt import WayKey
from slurwright.horn.learnt.advise import next_notes, steady_ways
from slurwright.horn.learnt.learn import learn, learn_more
from slurwright.horn.learnt.predict import chart, joint

COUNTS = (12, 24, 48)
SEED = 20_240
PART = ("F3", "G3", "A3", "Bb3", "C4", "D4", "Eb4", "E4", "F4", "G4")
"""Notes of an invented part; it also uses two alternates."""


def _line(name: str, count: int, score: Score) -> str:
    errors = "  ".join(f"{score.rms(rival):5.1f}" for rival in ("learnt", "catalogue", *RIVALS))
    below = "  ".join(f"{100 * score.less_than(rival):4.0f}%" for rival in RIVALS)
    slips, good = score.slips, score.good
    return (
        f"{name:52.52s} {count:3d}  {errors}   {below}   {100 * score.coverage:5.1f}%"
        f"   {100 * slips[1] / max(slips[0], 1):3.0f}%  {100 * good[1] / good[0]:4.1f}%"
    )


def accuracy(horns: int) -> None:
    """Print one line for each world, instrument and number of readings."""
    print(f"{'world, instrument':52s}   n  {'learnt':>6s} {'catal.':>6s} {'alike':>6s} {'trust':>6s} {'ridge':>6s}"
          "   below: alike trust ridge  covered  slips  true")  # fmt: skip
    cases: list[tuple[str, Drawer, int]] = []
    for world in WORLDS:
        many = horns if world is PLAIN else max(horns // 3, 1)
        cases += [(f"{world.name}, {name}", _drawer(world, name), many) for name in ("trumpet-b", "euphonium-4c")]
    cases += [
        (f"from a bore, {name}", bore_horn(load_horn(name)), horns // 3) for name in ("trumpet-b", "euphonium-3")
    ]
    for name, draw, many in cases:
        for count in COUNTS:
            score = run(draw, horns=many, count=count, seed=SEED + count, rivals=tuple(RIVALS))
            print(_line(name, count, score), flush=True)


def _drawer(world: World, name: str) -> Drawer:
    return world_horn(load_horn(name), world)


def _part_error(count: int, horns: int, *, advised: bool) -> tuple[float, float]:
    """Root mean square error [cents] and mean interval [cents] of a part's ways after so many readings."""
    horn = load_horn("euphonium-4c")
    ways = useful_ways(horn)
    normal = {note.midi: way[:2] for *way, note in ways if tuple(way[:2]) == horn.normal.get(note.midi)}
    from_names = [(fingering, partial) for fingering, partial, note in ways if str(note) in PART]
    wanted: dict[WayKey, float] = {
        way: 3.0 for way in from_names if way in {tuple(key) for key in normal.values()}
    } | {("3", 4): 1.0, ("4", 4): 1.0}
    steady = steady_ways(horn)
    keys = list(steady)
    rng = np.random.default_rng(SEED)
    advice = next_notes(learn(horn, (), PRIORS), wanted, count=count)
    squares, widths = [], []
    for _ in range(horns):
        true = draw_horn(rng, horn, PLAIN)
        chosen = (
            [(note.fingering, note.partial, note.sounding) for note in advice.notes]
            if advised
            else [(*keys[place], steady[keys[place]]) for place in rng.permutation(len(keys))[:count]]
        )
        sitting = sit(rng, true, chosen)
        found = joint(learn(horn, sitting.readings, PRIORS), list(wanted), at="one")
        truth = np.array([true.heights[way] + sitting.offset(way) for way in wanted])
        squares.append(np.mean((found.height - truth) ** 2))
        widths.append(2 * 1.6448536 * np.mean(np.sqrt(np.diag(found.covariance))))
    return float(np.sqrt(np.mean(squares))), float(np.mean(widths))


def advice(horns: int) -> None:
    """Print what advised notes are worth against as many normal notes by chance, for a part of a dozen ways."""
    print("\nreadings  advised: error, interval   by chance: error, interval   [cents]")
    for count in (4, 6, 8, 10, 12, 16, 20, 24, 30):
        ours, theirs = (_part_error(count, horns, advised=advised) for advised in (True, False))
        print(f"{count:8d}  {ours[0]:15.1f} {ours[1]:9.1f}   {theirs[0]:17.1f} {theirs[1]:9.1f}", flush=True)


def speed() -> None:
    """Print how long learning takes with 1,000 readings of 20 sessions, and one more reading after it."""
    horn = load_horn("euphonium-4c")
    rng = np.random.default_rng(SEED)
    true = draw_horn(rng, horn, replace(PLAIN, slips=0.05))
    ways = useful_ways(horn)
    readings = [
        reading
        for session in range(20)
        for reading in sit(
            rng, true, [ways[place] for place in rng.integers(0, len(ways), 50)], f"session {session}"
        ).readings
    ]
    (one,) = sit(rng, true, [ways[3]], "session 19").readings
    learnt = learn(horn, readings, PRIORS)
    whole, more, table = [], [], []
    for _ in range(7):
        start = time.perf_counter()
        learn(horn, readings, PRIORS)
        whole.append(time.perf_counter() - start)
        start = time.perf_counter()
        learn_more(learnt, [one])
        more.append(time.perf_counter() - start)
        start = time.perf_counter()
        chart(learnt)
        table.append(time.perf_counter() - start)
    names = ("1,000 readings afresh", "one more after 1,000", "chart of all ways after 1,000")
    for name, times in zip(names, (whole, more, table), strict=True):
        print(f"{name:32s} median {1e3 * statistics.median(times):7.1f} ms")


if __name__ == "__main__":
    wanted_horns = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    speed()
    accuracy(wanted_horns)
    advice(max(wanted_horns // 3, 1))

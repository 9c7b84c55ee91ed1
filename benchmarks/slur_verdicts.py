"""How well splits, breaks and tongues are told from clean slurs, room by room, on slurs that nothing was fitted to.

Run: ``PYTHONPATH=tests python -m benchmarks.slur_verdicts [slurs a kind and room] [--write]`` (default 60; some
twenty minutes on one core; ``--write`` puts the table into the README). Slurs of nine kinds, seeds from 1000 up; the
weights were fitted on seeds below 1000 (``fit_slur_weights.py``). The pitch track is the listener's own. Where the
change lies is the truth with a spread of 12 ms, and for every second slur that split or fell back it is where the
other note came in: as far off as the follower is.

Columns: splits of 50 ms and more that were found; clean slurs (good, deep dip, half valve) said to have split; the
same of scoops and overshoots; of the splits found, those whose partial was named right; falls back to the first note
that were found; slurs of all kinds whose outcome was right (clean, tongued or broke), and the share of each of the
three; when the outcome is said to be nine in ten sure or more, how often it is right; processor time of one slur's
verdicts.
"""

import statistics
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from builders.slur_followed import slur_followed
from builders.slur_takes import KINDS, slur_take
from builders.takes import ROOMS, heard
from slurwright.devices.packaged import load_listening
from slurwright.listen.measures import SlurOutcome
from slurwright.listen.room import room_of
from slurwright.listen.slur_window import slur_window
from slurwright.listen.splits import candidates_of, split_of
from slurwright.listen.tongue import touch_traits
from slurwright.listen.tracking import pitch_track
from slurwright.listen.verdict import LIKELY, chances_of, foreign_of, outcome_of

README = Path(__file__).parent / "README.md"
START, END = "<!-- slur verdicts -->", "<!-- end of slur verdicts -->"
FIRST_SEED = 1000
RANGES = {"58 Hz to 1 kHz": (58.0, 1000.0), "29 to 130 Hz": (29.0, 130.0)}
TRUE = {"split": SlurOutcome.BROKE, "fell back": SlurOutcome.BROKE, "broken": SlurOutcome.BROKE}
NAMED_CENTS = 45.0
CLEAN, BENDS = ("good", "dip", "half valve"), ("scoop", "overshoot")
HEADINGS = (
    *(
        "range",
        "room",
        "slurs",
        "splits found",
        "false",
        "false on bends",
        "named right",
        "falls found",
        "outcome right",
    ),
    *("clean", "tongued", "broke", "when sure", "ms"),
)


@dataclass(frozen=True, slots=True)
class Judged:
    """One slur with what was said of it."""

    kind: str
    found: bool
    named: bool
    fell_back: bool
    outcome: SlurOutcome
    chance: float
    time_ms: float

    @property
    def right(self) -> bool:
        return self.outcome is true_outcome(self.kind)


def true_outcome(kind: str) -> SlurOutcome:
    return TRUE.get(kind, SlurOutcome.TONGUED if kind == "tongued" else SlurOutcome.CLEAN)


def judged(kind: str, room: str, seed: int, limits_hz: tuple[float, float]) -> Judged:
    slur = slur_take(kind, room, seed=seed, lowest_hz=limits_hz[0], highest_hz=limits_hz[1])
    sound = heard(slur.take)
    track = pitch_track(sound)
    following = slur_followed(slur, seed=seed)
    room_heard = room_of(sound, track, following)
    start = time.process_time()
    window = slur_window(track, following, first=0, second=1)
    first, second = slur.passage.notes
    split = split_of(sound, window, candidates_of(first, second, window))
    chances = chances_of(split, touch_traits(sound, window, room_heard), load_listening())
    foreign = foreign_of(split, chances)
    outcome, chance = outcome_of(chances, wrong=False)
    taken = 1000.0 * (time.process_time() - start)
    dwells = slur.truth.dwells
    named = bool(foreign and dwells and abs(1200.0 * np.log2(foreign.hz / dwells[0].hz)) < NAMED_CENTS)
    return Judged(kind, foreign is not None, named, chances.fell_back >= LIKELY, outcome, chance, taken)


def share(values: list[bool]) -> str:
    return f"{100.0 * sum(values) / len(values):.1f} %" if values else "–"


def row(name: str, room: str, slurs: list[Judged]) -> tuple[str, ...]:
    split = [slur for slur in slurs if slur.kind == "split"]
    by_outcome = {o: [s.right for s in slurs if true_outcome(s.kind) is o] for o in SlurOutcome}
    return (
        name,
        room,
        str(len(slurs)),
        share([slur.found for slur in split]),
        share([slur.found for slur in slurs if slur.kind in CLEAN]),
        share([slur.found for slur in slurs if slur.kind in BENDS]),
        share([slur.named for slur in split if slur.found]),
        share([slur.fell_back for slur in slurs if slur.kind == "fell back"]),
        share([slur.right for slur in slurs]),
        share(by_outcome[SlurOutcome.CLEAN]),
        share(by_outcome[SlurOutcome.TONGUED]),
        share(by_outcome[SlurOutcome.BROKE]),
        share([slur.right for slur in slurs if slur.chance >= 0.9]),
        f"{statistics.median(slur.time_ms for slur in slurs):.1f}",
    )


def main(count: int, *, write: bool) -> None:
    text = [f"| {' | '.join(HEADINGS)} |", "|" + "---|" * len(HEADINGS)]
    print("\n".join(text), flush=True)
    for name, limits_hz in RANGES.items():
        each = count if name.startswith("58") else max(1, count // 3)
        for room in ROOMS:
            slurs = [judged(kind, room, FIRST_SEED + at, limits_hz) for at in range(each) for kind in KINDS]
            text.append(f"| {' | '.join(row(name, room, slurs))} |")
            print(text[-1], flush=True)
    if write:
        before, _, rest = README.read_text(encoding="utf-8").partition(START)
        body = "\n".join(text)
        README.write_text(f"{before}{START}\n{body}\n{END}{rest.partition(END)[2]}", encoding="utf-8")


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "--write"]
    main(int(words[0]) if words else 60, write="--write" in sys.argv)

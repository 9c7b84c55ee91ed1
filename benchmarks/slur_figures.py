"""How exact are the figures of slurs in four rooms, and do their intervals hold what they promise?

Run: ``PYTHONPATH=tests:. python benchmarks/slur_figures.py [slurs] [first seed]`` (default 40 a register and room,
from seed 1000, to which nothing was fitted; about five minutes).

Slurs of seven kinds (good, with a dip, a scoop, an overshoot, a tongue, a half valve, broken), each in four rooms.
The whole way is gone: pitch track, following, room, slur. Each cell says: median / 95th percentile of the absolute
error over the figures that are shown; share of intervals that hold the truth; share hidden. Of broken slurs only
length and silence are compared. The last line sets the time a slur takes beside that of ``librosa.yin`` on the
same windows.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass

import librosa
import numpy as np

from builders.slur_takes import SlurTake, slur_take
from builders.takes import ROOMS, heard
from slurwright.listen.figure import Figure, Measured
from slurwright.listen.following import follow
from slurwright.listen.room import room_of
from slurwright.listen.slur_figures import SlurFigures, slur_figures
from slurwright.listen.slur_window import SlurWindow, slur_window
from slurwright.listen.tracking import pitch_track

REGISTERS = {"above 240 Hz": (240.0, 1000.0), "95 to 240 Hz": (95.0, 240.0), "below 95 Hz": (40.0, 95.0)}
KINDS = ("good", "dip", "scoop", "overshoot", "tongued", "half valve", "broken", "good", "dip", "scoop")
FIGURES = ("time_ms", "dip_db", "dip_ms", "silence_ms", "scoop_cents", "overshoot_cents")
OF_BROKEN = ("dip_ms", "silence_ms")


@dataclass(frozen=True, slots=True)
class Measurement:
    """One slur, as it was and as it was measured."""

    slur: SlurTake
    figures: SlurFigures
    window: SlurWindow
    taken_s: float


def measured(kind: str, room: str, seed: int, span_hz: tuple[float, float]) -> Measurement | None:
    """Measure one slur; None where the follower does not find both notes."""
    slur = slur_take(kind, room, seed=seed, lowest_hz=span_hz[0], highest_hz=span_hz[1])
    sound = heard(slur.take)
    track = pitch_track(sound)
    following = follow(sound, track, slur.passage)
    places = [next((at for at, note in enumerate(following.played) if note.asked == asked), -1) for asked in (0, 1)]
    if min(places) < 0 or places[0] >= places[1]:
        return None
    window = slur_window(track, following, first=places[0], second=places[1])
    judged = room_of(sound, track, following)
    start = time.process_time()
    figures = slur_figures(sound, window, judged)
    return Measurement(slur, figures, window, time.process_time() - start)


def pairs_of(measurements: list[Measurement], name: str) -> Iterator[tuple[Measured, float]]:
    """Figure and truth, wherever there is a truth."""
    for each in measurements:
        if name in OF_BROKEN or each.slur.kind != "broken":
            yield getattr(each.figures, name), getattr(each.slur.truth, name)


def cell(pairs: list[tuple[Measured, float]]) -> str:
    """One cell of the table."""
    shown = [(figure, truth) for figure, truth in pairs if isinstance(figure, Figure)]
    if not shown:
        return "all hidden"
    off = [abs(figure.value - truth) for figure, truth in shown]
    held = np.mean([figure.low <= truth <= figure.high for figure, truth in shown])
    middle, most = np.percentile(off, (50, 95))
    return f"{middle:.1f} / {most:.1f}; {held:.0%}; {1 - len(shown) / len(pairs):.0%}"


def yin_s(measurements: list[Measurement]) -> float:
    """Processor time of a general pitch tracker on the same windows, a slur [s]."""
    taken = 0.0
    for each in measurements:
        rate = each.slur.take.rate_hz
        low = min(each.window.before_hz, each.window.after_hz)
        begin, end = (round(rate * (each.window.change_s + off)) for off in (-0.12 - 4.0 / low, 0.24 + 5.0 / low))
        samples = each.slur.take.samples[max(0, begin) : end]
        start = time.process_time()
        librosa.yin(
            samples,
            fmin=0.8 * low,
            fmax=2000.0,
            sr=rate,
            frame_length=2 ** int(np.ceil(np.log2(3 * rate / low))),
            hop_length=22,
        )
        taken += time.process_time() - start
    return taken / len(measurements)


def main(count: int, first_seed: int) -> None:
    """Print the table."""
    print(f"| register | room | n | {' | '.join(FIGURES)} |\n|{'---|' * (3 + len(FIGURES))}")
    every = []
    lost = 0
    for register, span_hz in REGISTERS.items():
        for room in ROOMS:
            tried = [measured(KINDS[at % len(KINDS)], room, first_seed + at, span_hz) for at in range(count)]
            found = [each for each in tried if each]
            lost += len(tried) - len(found)
            cells = [cell(list(pairs_of(found, name))) for name in FIGURES]
            print(f"| {register} | {room} | {len(found)} | {' | '.join(cells)} |", flush=True)
            every += found
    ours = float(np.mean([each.taken_s for each in every]))
    theirs = yin_s(every[:: max(1, len(every) // 40)])
    print(f"\n{lost} slurs not followed. {1000 * ours:.0f} ms a slur, {theirs / ours:.2f} of librosa.yin's speed.")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(*(given + [40, 1000][len(given) :]))

"""How well a take is followed through its part, beside general alignment on the same takes in the same run.

Run: ``PYTHONPATH=tests python -m benchmarks.following [--write] [takes a case]`` (default 8; a quarter of an hour on
one core).

Invented tunes of 30 notes, played with stated faults in two simulated rooms (``tests/builders/follower_takes.py``);
seeds from 1000 up, which nothing was set by. The others are given the part as a made-up score at the marked tempo and
say when each asked note starts; they cannot say that a note was wrong, missed or played again, so only onsets are
compared. A note is lost if no onset for it lies within 150 ms. The outside measure is mir_eval: precision, recall and
F of notes by onset (within 20 ms) and pitch (within a quarter tone). Times are of processor, the tracking of pitch or
the features left out on both sides.
"""

import sys
import time
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import librosa
import mir_eval
import numpy as np
from librosa.sequence import dtw
from numpy.typing import NDArray

from builders.follower_takes import CASES, FollowerTake, Score, follower_take, score_of
from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.following import follow

README = Path(__file__).with_name("README.md")
START, END = "<!-- following -->", "<!-- end of following -->"
FIRST_SEED = 1000
ROOMS = ("near", "mid")
BESIDE = ("plain", "two wrong", "two missed", "restarted")
HOP_S = 0.02
TOLERANCE_S = 0.02
CENTS = 50.0
OURS = "Slurwright"

Floats = NDArray[np.float64]


@dataclass(slots=True)
class Tally:
    """What one method did on one case."""

    scores: list[Score] = field(default_factory=list)
    f_measures: list[float] = field(default_factory=list)
    length_s: float = 0.0
    spent_s: float = 0.0

    def add(self, take: FollowerTake, following: Following, spent_s: float) -> None:
        self.scores.append(score_of(take, following))
        self.f_measures.append(f_measure(take, following))
        self.length_s += take.length_s
        self.spent_s += spent_s

    def cells(self, *, joins: str = "") -> tuple[str, ...]:
        pairs = [(e, j) for score in self.scores for e, j in zip(score.errors_s, score.joins, strict=True)]
        errors = np.abs([1000.0 * error for error, join in pairs if join in (joins or join)])
        count = sum(score.count for score in self.scores)
        lost = 100.0 * sum(score.lost for score in self.scores) / count
        return (
            f"{count}",
            f"{np.median(errors):.1f} / {np.percentile(errors, 95):.0f}",
            f"{100.0 * np.mean(errors < 1000.0 * TOLERANCE_S):.1f}",
            f"{lost:.1f}",
            f"{100.0 * np.mean([score.exact for score in self.scores]):.0f}",
            f"{np.mean(self.f_measures):.3f}",
            f"{self.length_s / self.spent_s:.0f}",
        )


def f_measure(take: FollowerTake, following: Following) -> float:
    """Notes right by onset and pitch, as mir_eval counts."""
    if not following.played:
        return 0.0
    true = np.array([(note.onset_s, note.offset_s) for note in take.truth])
    found = np.array([(note.onset_s, max(note.offset_s, note.onset_s + 0.01)) for note in following.played])
    true_hz, found_hz = (np.array([note.hz for note in notes]) for notes in (take.truth, following.played))
    _, _, value, _ = mir_eval.transcription.precision_recall_f1_overlap(
        true, true_hz, found, found_hz, onset_tolerance=TOLERANCE_S, pitch_tolerance=CENTS, offset_ratio=None
    )
    return float(value)


def ours(take: FollowerTake) -> tuple[Following, float]:
    """Ours; time without the track."""
    start = time.process_time()
    following = follow(take.sound, take.track, take.passage)
    return following, time.process_time() - start


def rough_score(take: FollowerTake) -> Floats:
    """The part as it should sound at the marked tempo, for methods that align sound with sound."""
    rate = take.sound.rate_hz
    end_s = take.passage.notes[-1].onset_s + take.passage.notes[-1].length_s
    samples = np.zeros(int((end_s + 0.5) * rate))
    for note in take.passage.notes:
        first = int(note.onset_s * rate)
        times = np.arange(min(int(note.length_s * rate), len(samples) - first)) / rate
        fade = np.minimum(1.0, np.minimum(times, times[-1] - times) / 0.01)
        samples[first : first + len(times)] += (
            0.1 * fade * sum(np.sin(2.0 * np.pi * order * note.hz * times) / order for order in range(1, 9))
        )
    return samples


def warped(take: FollowerTake, part_s: Floats, take_s: Floats) -> Following:
    """Onsets carried over along a path of times."""
    onsets = np.interp([note.onset_s for note in take.passage.notes], part_s, take_s)
    ends = np.append(onsets[1:], take.length_s)
    played = (
        PlayedNote(float(onset), 0.02, float(max(end, onset + 0.01)), note.hz, index, PlayedAs.ASKED)
        for index, (note, onset, end) in enumerate(zip(take.passage.notes, onsets, ends, strict=True))
    )
    return Following(tuple(played), ())


def by_chroma(take: FollowerTake) -> tuple[Following, float]:
    """librosa: dynamic time warping of constant-Q chroma."""
    hop = 2 ** round(np.log2(HOP_S * take.sound.rate_hz))
    sounds = (rough_score(take), take.sound.samples.astype(np.float64))
    part, heard = (
        librosa.feature.chroma_cqt(y=y, sr=take.sound.rate_hz, hop_length=hop, fmin=librosa.note_to_hz("C1"))
        for y in sounds
    )
    start = time.process_time()
    _, path = dtw(part + 1e-6, heard + 1e-6, metric="cosine")
    spent = time.process_time() - start
    step_s = hop / take.sound.rate_hz
    return warped(take, *_rising(path[::-1] * step_s)), spent


def by_pitch(take: FollowerTake) -> tuple[Following, float]:
    """librosa: dynamic time warping of our own pitch track against the asked pitches."""
    every = max(1, round(HOP_S / take.track.step_s))
    hz, step_s = take.track.hz[::every], every * take.track.step_s
    end_s = take.passage.notes[-1].onset_s + take.passage.notes[-1].length_s
    times = np.arange(0.0, end_s, step_s)
    at = np.searchsorted([note.onset_s for note in take.passage.notes], times, side="right") - 1
    asked = 12.0 * np.log2(np.array([take.passage.notes[max(0, index)].hz for index in at]) / 440.0)
    heard = np.where(hz > 0, 12.0 * np.log2(np.maximum(hz, 1.0) / 440.0), 60.0)
    start = time.process_time()
    costs = np.minimum(2.0, np.abs(asked[:, None] - heard[None, :]))
    _, path = dtw(C=costs)
    spent = time.process_time() - start
    return warped(take, *_rising(path[::-1] * step_s)), spent


def by_synctoolbox(take: FollowerTake) -> tuple[Following, float]:
    """synctoolbox: multi-scale warping of chroma with onset features of both sounds."""
    from synctoolbox.dtw.mrmsdtw import sync_via_mrmsdtw  # noqa: PLC0415
    from synctoolbox.feature.chroma import pitch_to_chroma, quantize_chroma  # noqa: PLC0415
    from synctoolbox.feature.dlnco import pitch_onset_features_to_DLNCO  # noqa: PLC0415
    from synctoolbox.feature.pitch import audio_to_pitch_features  # noqa: PLC0415
    from synctoolbox.feature.pitch_onset import audio_to_pitch_onset_features  # noqa: PLC0415

    rate, hertz = 22050, 50
    chroma, onset = [], []
    for samples in (rough_score(take), take.sound.samples.astype(np.float64)):
        pitch = audio_to_pitch_features(f_audio=samples, Fs=rate, feature_rate=hertz, verbose=False)
        chroma.append(quantize_chroma(f_chroma=pitch_to_chroma(f_pitch=pitch)))
        peaks = audio_to_pitch_onset_features(f_audio=samples, Fs=rate, verbose=False)
        onset.append(pitch_onset_features_to_DLNCO(
            f_peaks=peaks, feature_rate=hertz, feature_sequence_length=chroma[-1].shape[1], visualize=False
        ))  # fmt: skip
    start = time.process_time()
    path = sync_via_mrmsdtw(
        f_chroma1=chroma[0], f_onset1=onset[0], f_chroma2=chroma[1], f_onset2=onset[1], input_feature_rate=hertz,
        step_weights=np.array([1.5, 1.5, 2.0]), threshold_rec=10_000, verbose=False,
    )  # fmt: skip
    return warped(take, *_rising(np.asarray(path, np.float64).T / hertz)), time.process_time() - start


def _rising(path: NDArray[np.float64]) -> tuple[Floats, Floats]:
    """Times in the part and in the take, one for each time in the part."""
    part, first = np.unique(path[:, 0], return_index=True)
    return part, path[first, 1]


METHODS: dict[str, Callable[[FollowerTake], tuple[Following, float]]] = {
    OURS: ours,
    "librosa, chroma": by_chroma,
    "librosa, our pitch": by_pitch,
    "synctoolbox": by_synctoolbox,
}
HEADINGS = (
    "notes",
    "onset, ms: median / 95 %",
    "within 20 ms, %",
    "lost, %",
    "sequence exact, %",
    "F, 20 ms",
    "× real time",
)


def table(first: str, rows: Sequence[tuple[str, tuple[str, ...]]]) -> list[str]:
    head = (first, *HEADINGS)
    return [
        f"| {' | '.join(row)} |" for row in (head, ("---",) * len(head), *((name, *cells) for name, cells in rows))
    ]


def own_lines(takes: int) -> list[str]:
    """Ours, case by case and room by room."""
    lines: list[str] = []
    for room in ROOMS:
        rows, every, joins = [], Tally(), ("slur", "tongued", "rest")
        for case in CASES:
            tally = Tally()
            for seed in range(FIRST_SEED, FIRST_SEED + takes):
                take = follower_take(case, seed=seed, room=room)
                following, spent_s = ours(take)
                for each in (tally, every):
                    each.add(take, following, spent_s)
            rows.append((case, tally.cells()))
        rows.append(("all", every.cells()))
        honest = np.mean([inside for score in every.scores for inside in score.honest])
        by_join = "; ".join(
            f"{join} {every.cells(joins=join)[1]} ms, {every.cells(joins=join)[2]} %" for join in joins
        )
        lines += [f"Room: {room}.", "", *table("case", rows), ""]
        lines += [
            f"By how a note starts (median / 95 %, within 20 ms): {by_join}. "
            f"90 % intervals hold {100 * honest:.0f} %.",
            "",
        ]
    return lines


def beside_lines(takes: int) -> list[str]:
    """Ours beside the others, room near."""
    lines: list[str] = []
    for case in BESIDE:
        tallies = {name: Tally() for name in METHODS}
        for seed in range(FIRST_SEED, FIRST_SEED + takes):
            take = follower_take(case, seed=seed, room=ROOMS[0])
            for name, method in METHODS.items():
                tallies[name].add(take, *method(take))
        lines += [
            f"{case.capitalize()}, room near.",
            "",
            *table("method", [(n, t.cells()) for n, t in tallies.items()]),
            "",
        ]
    return lines


def main(takes: int, *, write: bool) -> None:
    """Print everything; write it where it is kept."""
    warnings.simplefilter("ignore")
    lines = [*own_lines(takes), *beside_lines(max(3, takes // 3))]
    print("\n".join(lines))
    if write:
        before, _, rest = README.read_text(encoding="utf-8").partition(START)
        _, _, after = rest.partition(END)
        text = "\n".join(lines)
        README.write_text(f"{before}{START}\n{text}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "--write"]
    main(int(words[0]) if words else 8, write="--write" in sys.argv)

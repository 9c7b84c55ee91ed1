"""How exactly the pitch of a note is found, beside general-purpose trackers on the same sound in the same run.

Run: ``PYTHONPATH=tests python -m benchmarks.note_pitch [--write] [takes a note]`` (default 2, one of each player;
some minutes on one core).

Twenty-five notes from 29 Hz to 1.4 kHz in the four conditions of ``tests/builders/takes.py``, played by a steady and
by an unsteady player; seeds from 1000 up, which nothing was fitted to. Every tracker is given only the note with a
tenth of a second around it and may look from 26 to 1,650 Hz; its pitch of the note is the median of its frames in the
steady part, in the vibrato condition over whole cycles at the true rate. Ours is given the whole take and does not
know the rate. librosa.pyin, some fifty times slower than the others, hears every seventh take. A gross error is a
frame more than a quarter tone off.
"""

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import librosa
import numpy as np
import parselmouth
from numpy.typing import NDArray

from benchmarks.pitch_speed import HIGHEST_HZ, LOWEST_HZ, TAKE_S, prepare_praat, prepare_track
from builders.takes import CONDITIONS, NOTES_HZ, heard, lone_note
from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.listen.notes import measure_note
from slurwright.listen.sound import HeldSound
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Player
from slurwright.synth.rendering import RenderedTake

README = Path(__file__).with_name("README.md")
START, END = "<!-- pitch of notes -->", "<!-- end of pitch of notes -->"
FIRST_SEED = 1000
LENGTH_S = 1.2
AROUND_S = 0.1
PYIN_EVERY = 7
REGISTERS_HZ = ((28.0, 60.0), (60.0, 120.0), (120.0, 240.0), (240.0, 480.0), (480.0, 1450.0))
OURS = "Slurwright"

Floats = NDArray[np.float64]
Frames = tuple[Floats, Floats]
"""Times and pitches of a tracker's frames."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One note as one tracker heard it."""

    tracker: str
    condition: str
    player: str
    hz: float
    error_cents: float
    gross_share: float
    inside: bool | None = None
    """The truth lies in the interval; None where there is no interval."""


def praat(samples: NDArray[np.float32], rate_hz: float) -> Frames:
    """Boersma's autocorrelation."""
    sound = parselmouth.Sound(samples.astype(np.float64), rate_hz)
    pitch = sound.to_pitch_ac(time_step=0.01, pitch_floor=LOWEST_HZ, pitch_ceiling=HIGHEST_HZ)
    return np.asarray(pitch.xs()), np.asarray(pitch.selected_array["frequency"])


def yin(samples: NDArray[np.float32], rate_hz: float) -> Frames:
    """Yin, its window wide enough for 26 Hz."""
    hop = 256
    hz = librosa.yin(samples, fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=rate_hz, frame_length=4096, hop_length=hop)
    return np.arange(len(hz)) * hop / rate_hz, hz


def pyin(samples: NDArray[np.float32], rate_hz: float) -> Frames:
    """Probabilistic yin."""
    hop = 256
    hz, voiced, _ = librosa.pyin(
        samples, fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=rate_hz, frame_length=4096, hop_length=hop
    )
    return np.arange(len(hz)) * hop / rate_hz, np.where(voiced, hz, 0.0)


RIVALS: dict[str, Callable[[NDArray[np.float32], float], Frames]] = {
    "parselmouth to_pitch_ac": praat,
    "librosa.yin": yin,
    "librosa.pyin": pyin,
}


def unsteady(rng: np.random.Generator) -> Player:
    """A player whose pitch wanders."""
    return Player(
        wander_cents=rng.uniform(0.5, 3.0),
        wander_hz=rng.uniform(2.0, 5.0),
        jitter_cents=rng.uniform(0.2, 1.0),
        shimmer_db=0.4,
        breath_db=-45.0,
    )


def takes(per_note: int) -> Iterator[tuple[str, str, RenderedTake, np.random.Generator]]:
    """All takes: condition, player, take, and chance for what follows."""
    seed = FIRST_SEED
    for condition in CONDITIONS:
        for hz in NOTES_HZ:
            for count in range(per_note):
                seed += 1
                rng = np.random.default_rng(seed)
                name = "steady" if count % 2 == 0 else "unsteady"
                player = Player() if name == "steady" else unsteady(rng)
                drift = 0.0 if name == "steady" else float(rng.normal(0.0, 3.0))
                pitch = hz * 2 ** (rng.uniform(-40, 40) / 1200)
                take = lone_note(pitch, condition, seed=seed, length_s=LENGTH_S, player=player, drift_cents_s=drift)
                yield condition, name, take, rng


def trials(per_note: int) -> Iterator[Trial]:
    """Let every tracker hear every take."""
    for index, (condition, player, take, rng) in enumerate(takes(per_note)):
        yield ours(condition, player, take, rng)
        for name, tracker in RIVALS.items():
            if tracker is not pyin or index % PYIN_EVERY == 0:
                yield theirs(name, tracker, condition, player, take)


def ours(condition: str, player: str, take: RenderedTake, rng: np.random.Generator) -> Trial:
    """Track the take and measure its note; onset and end as well as following finds them."""
    truth = take.truth.notes[0]
    sound = heard(take)
    track = pitch_track(sound)
    coarse = truth.hz * 2 ** (rng.uniform(-20, 20) / 1200)
    onset, offset = truth.onset_s + rng.normal(0, 0.005), truth.offset_s + rng.normal(0, 0.01)
    played = PlayedNote(onset, 0.005, offset, coarse, 0, PlayedAs.ASKED)
    measure = measure_note(sound, track, played, played_index=0, target_hz=truth.hz)
    frames = track.hz[track.frame_at(truth.steady_s[0]) : track.frame_at(truth.steady_s[1]) + 1]
    gross = float(np.mean(np.abs(cents(frames, truth.hz)) > 50))
    if not isinstance(measure.cents, Figure):
        return Trial(OURS, condition, player, truth.hz, 1200.0, gross, inside=False)
    figure = measure.cents
    return Trial(OURS, condition, player, truth.hz, figure.value, gross, inside=figure.low <= 0 <= figure.high)


def theirs(
    name: str,
    tracker: Callable[[NDArray[np.float32], float], Frames],
    condition: str,
    player: str,
    take: RenderedTake,
) -> Trial:
    """Let one tracker hear the note."""
    truth = take.truth.notes[0]
    start = max(0, round((truth.onset_s - AROUND_S) * take.rate_hz))
    stop = round((truth.offset_s + AROUND_S) * take.rate_hz)
    times, hz = tracker(take.samples[start:stop], take.rate_hz)
    times = times + start / take.rate_hz
    first, last = truth.steady_s
    if truth.vibrato:
        cycle = 1 / truth.vibrato.rate_hz
        first = max(first, truth.onset_s + truth.vibrato.delay_s + 0.06)
        last = first + cycle * int((last - first) / cycle)
    inside = (times >= first) & (times <= last)
    off = cents(hz[inside], truth.hz)
    heard_frames = off[np.abs(off) <= 50]
    error = float(np.median(heard_frames)) if len(heard_frames) else 1200.0
    return Trial(name, condition, player, truth.hz, error, float(np.mean(np.abs(off) > 50)))


def cents(hz: NDArray[np.floating], target_hz: float) -> Floats:
    """Distance; a frame without pitch is far away."""
    return np.asarray(1200 * np.log2(np.maximum(hz, 1.0) / target_hz), np.float64)


def table(done: list[Trial]) -> Iterator[str]:
    """Median / 95th percentile of the error's size, in cents."""
    names = (OURS, *RIVALS)
    yield "| condition, player | " + " | ".join(names) + " | ours is best | in our 90 % interval |"
    yield "|---" * (len(names) + 3) + "|"
    for condition in CONDITIONS:
        for player in ("steady", "unsteady"):
            yield _row(f"{condition}, {player}", [t for t in done if (t.condition, t.player) == (condition, player)])
    for low, high in REGISTERS_HZ:
        yield _row(f"{low:.0f} to {high:.0f} Hz, all", [t for t in done if low <= t.hz < high])
    yield _row("all", done)


def _row(what: str, some: list[Trial]) -> str:
    cells, scores = [], []
    for name in (OURS, *RIVALS):
        errors = [abs(t.error_cents) for t in some if t.tracker == name]
        if not errors:
            cells.append("")
            continue
        scores.append((float(np.median(errors)), float(np.percentile(errors, 95))))
        gross = float(np.mean([t.gross_share for t in some if t.tracker == name]))
        cells.append(f"{scores[-1][0]:.3f} / {scores[-1][1]:.2f}" + (f", gross {100 * gross:.1f} %" if gross else ""))
    best = all(scores[0][at] <= min(score[at] for score in scores) for at in (0, 1))
    mine = [t.inside for t in some if t.inside is not None]
    covered = f"{100 * float(np.mean(mine)):.0f} % of {len(mine)}"
    return f"| {what} | {' | '.join(cells)} | {'yes' if best else 'NO'} | {covered} |"


def bound_lines() -> Iterator[str]:
    """Steady tones in white noise: how near the error is to the Cramér-Rao bound."""
    yield "| tone | noise | bound, cents | our error, cents rms | ratio |"
    yield "|---|---|---|---|---|"
    for hz in (58.0, 116.0, 233.0, 466.0, 932.0):
        for noise_db in (40.0, 20.0):
            bound, error = _against_bound(hz, noise_db)
            yield f"| {hz:.0f} Hz, 0.9 s | {noise_db:.0f} dB | {bound:.4f} | {error:.4f} | {error / bound:.2f} |"


def _against_bound(hz: float, noise_db: float, *, count: int = 24, rate_hz: float = 22050.0) -> tuple[float, float]:
    """Bound of a harmonic tone's pitch and our error, both in cents; the span is that which is measured."""
    errors = []
    seconds = 1.0
    time_s = np.arange(round((seconds + 0.6) * rate_hz)) / rate_hz
    orders = np.arange(1, max(2, int(6000 / hz)))
    sizes = 1 / (1 + (orders * hz / 800.0) ** 2)
    sizes *= 0.1 * np.sqrt(2) / np.sqrt(np.sum(sizes**2))
    sigma = 0.1 * 10 ** (-noise_db / 20)
    for seed in range(FIRST_SEED, FIRST_SEED + count):
        rng = np.random.default_rng(seed)
        true_hz = hz * 2 ** (rng.uniform(-50, 50) / 1200)
        tone = sum(
            a * np.cos(2 * np.pi * n * true_hz * time_s + rng.uniform(0, 6.3))
            for n, a in zip(orders, sizes, strict=True)
        )
        tone = np.where((time_s > 0.3) & (time_s < 0.3 + seconds), tone, 0.0) + sigma * rng.standard_normal(
            len(time_s)
        )
        sound = HeldSound(tone.astype(np.float32), rate_hz)
        played = PlayedNote(0.3, 0.005, 0.3 + seconds, true_hz, 0, PlayedAs.ASKED)
        note = measure_note(sound, pitch_track(sound), played, played_index=0, target_hz=true_hz)
        if isinstance(note.cents, Figure):
            errors.append(note.cents.value)
            span = note.steady_s[1] - note.steady_s[0]
    samples = span * rate_hz
    variance = 24 * sigma**2 / (np.sum((orders * sizes) ** 2) * samples**3)
    bound_hz = np.sqrt(variance) * rate_hz / (2 * np.pi)
    return float(1200 / np.log(2) * bound_hz / hz), float(np.sqrt(np.mean(np.square(errors))))


def speed_line() -> str:
    """Track of a minute, ours and to_pitch_ac's, by turns; processor time."""
    works = prepare_track(), prepare_praat()
    pairs = []
    for _ in range(3):
        times = [time.process_time()]
        for work in works:
            work()
            times.append(time.process_time())
        pairs.append(np.diff(times))
    mine, other = np.median(pairs, axis=0)
    return (
        f"Track of {TAKE_S:.0f} s: ours {TAKE_S / mine:.0f} times real time, to_pitch_ac {TAKE_S / other:.0f} times; "
        f"{other / mine:.1f} times faster."
    )


def main(per_note: int, *, write: bool) -> None:
    """Print everything; write it where it is kept."""
    done = list(trials(per_note))
    lines = [
        "Size of the error of a note's pitch, cents: median / 95th percentile.",
        "",
        *table(done),
        "",
        "Steady tones in white noise against the Cramér-Rao bound for a harmonic tone.",
        "",
        *bound_lines(),
        "",
        speed_line(),
    ]
    print("\n".join(lines))
    if write:
        before, _, rest = README.read_text(encoding="utf-8").partition(START)
        _, _, after = rest.partition(END)
        text = "\n".join(lines)
        README.write_text(f"{before}{START}\n{text}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "--write"]
    main(int(words[0]) if words else 2, write="--write" in sys.argv)

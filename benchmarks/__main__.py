"""``python -m benchmarks [--write] [WORD]...``: one table of how long work takes beside general-purpose libraries.

With WORDs only the lines that hold one of them are measured. ``--write`` puts the table into this folder's README.
An aim that is missed is said in its line; the status is 1 only if something could not be measured.
"""

import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from pathlib import Path

from benchmarks.common import Comparison, Run, compared, medians, runs_of

README = Path(__file__).with_name("README.md")
START, END = "<!-- measured -->", "<!-- end of measured -->"
LIBRARIES = (
    *("librosa", "lxml", "music21", "networkx", "numpy", "rich", "scikit-learn", "scipy", "soundfile"),
    *("typst", "verovio"),
)
LOADED = "100,000 attempts"
HEADINGS = (
    "work",
    "time, s",
    "processor, s",
    "peak, MB",
    "beside",
    "processor, s",
    "peak, MB",
    "times faster",
    "aim",
)


def comparisons(folder: Path) -> tuple[Comparison, ...]:
    """Everything that is measured."""
    pages, long, out = (str(folder / name) for name in ("two-pages.musicxml", "long.musicxml", "out"))
    slurwright = str(Path(sys.executable).with_name("slurwright"))
    part = (slurwright, "part", pages, "--horn", "euphonium-4c")
    cold, works, large = "benchmarks.cold_part", "benchmarks.works", "benchmarks.large_score"
    sounds = "benchmarks.sound_reading"
    horn = "euphonium-4c"
    parse = (f"{cold}:prepare_music21", str(folder / "large.musicxml"))
    music21 = "music21 parses the same file"
    return (
        Comparison(
            "whole command `slurwright --help`",
            (slurwright, "--help"),
            "`pip --version`",
            (sys.executable, "-m", "pip", "--version"),
            rounds=9,
        ),
        Comparison(
            "whole command `slurwright part`, two pages, report",
            part,
            "command that parses the same file with music21",
            (sys.executable, "-c", f"import music21; music21.converter.parse({pages!r}, forceSource=True)"),
            aim="under 1 s of processor",
            most_s=1.0,
            rounds=9,
        ),
        Comparison(
            "whole command, two pages, with pages as SVG",
            (*part, "--pages", f"{out}.svg"),
            "verovio draws the part as it is",
            (f"{cold}:prepare_verovio", pages),
        ),
        Comparison(
            "whole command, two pages, with pages, ladder and choices as PDF",
            (*part, "--pages", f"{out}.pdf"),
            "verovio and typst print the part as it is",
            (f"{cold}:prepare_verovio_pdf", pages),
        ),
        Comparison(
            "read and study 1,400 notes: 3 plans, every slur, choices",
            (f"{cold}:prepare_study", long),
            music21,
            (f"{cold}:prepare_music21", long),
        ),
        Comparison(
            "ladder of 1,400 notes, studied, as SVG",
            (f"{cold}:prepare_ladder", long),
            "verovio draws the same notes",
            (f"{cold}:prepare_verovio", long),
        ),
        Comparison(
            "plan 1,400 notes, best 5",
            (f"{works}:prepare_plan", horn, "5"),
            "networkx, best path alone, on the finished graph",
            (f"{works}:prepare_dijkstra", horn, "1400"),
            aim="under 0.1 s of processor",
            most_s=0.1,
            repeats=3,
        ),
        Comparison(
            "search the best of 1,400 notes, costs known",
            (f"{works}:prepare_search", horn, "1400", "1"),
            "networkx `dijkstra_path`, same graph, same cost",
            (f"{works}:prepare_dijkstra", horn, "1400"),
            aim="50 times",
            least_ratio=50.0,
            repeats=3,
        ),
        Comparison(
            "lay out and search the best of 1,400 notes, costs known",
            (f"{works}:prepare_search", horn, "1400", "1"),
            "networkx: same graph built, then `dijkstra_path`",
            (f"{works}:prepare_graph", horn, "1400"),
            repeats=3,
            rounds=3,
        ),
        Comparison(
            "search the best 5 of 200 notes, costs known",
            (f"{works}:prepare_search", horn, "200", "5"),
            "networkx `shortest_simple_paths`, same graph, same costs",
            (f"{works}:prepare_simple_paths", horn, "200", "5"),
            aim="50 times",
            least_ratio=50.0,
            rounds=3,
        ),
        Comparison(
            "36 parts, 23 MB: read all of them",
            (f"{large}:prepare_read", str(folder)),
            music21,
            parse,
            rounds=3,
        ),
        Comparison(
            "36 parts, 23 MB: read and plan all of them",
            (f"{large}:prepare_plan", str(folder)),
            music21,
            parse,
            aim="3 times",
            least_ratio=3.0,
            rounds=5,
        ),
        Comparison(
            "mark one part of 36, 26 MB",
            (f"{works}:prepare_mark_part",),
            "lxml parses and writes the file",
            (f"{works}:prepare_lxml",),
            repeats=3,
            rounds=3,
        ),
        Comparison(
            "mark all 86,400 notes of it",
            (f"{works}:prepare_mark_every_note",),
            "lxml parses and writes the file",
            (f"{works}:prepare_lxml",),
            rounds=3,
        ),
        Comparison(
            "measure the demo's take: 47 s, 43 notes, 22 slurs",
            ("benchmarks.take_speed:prepare_take",),
            "librosa tracks its pitch with pYIN",
            ("benchmarks.take_speed:prepare_pyin",),
            aim="20 times real time",
            most_s=2.35,
            repeats=2,
            rounds=2,
        ),
        Comparison(
            "pitch track of a minute of sound, every 5 ms",
            ("benchmarks.pitch_speed:prepare_track",),
            "parselmouth `to_pitch_ac`, every 10 ms",
            ("benchmarks.pitch_speed:prepare_praat",),
            repeats=3,
            rounds=3,
        ),
        Comparison(
            "learn from 100,000 attempts of five years, with every covariance",
            ("benchmarks.attempts_speed:prepare_learn", "100000"),
            "scikit-learn `LogisticRegression`, same columns, ready and sparse, one penalty, no intervals",
            ("benchmarks.attempts_speed:prepare_regression", "100000"),
            aim="under 4 s of processor",
            most_s=4.0,
            rounds=3,
        ),
        *_loaded(folder),
        Comparison(
            "take all those marks out again",
            (f"{works}:prepare_unmark",),
            "lxml parses and writes the file",
            (f"{works}:prepare_lxml",),
            rounds=3,
        ),
        Comparison(
            "open a WAV of 60 s, at the working rate, by way of a child process",
            (f"{sounds}:prepare_open", "minute", str(folder)),
            "librosa loads it at half its rate, in this process",
            (f"{sounds}:prepare_librosa", "minute", str(folder)),
            aim="under 0.35 s of processor",
            most_s=0.35,
            repeats=3,
        ),
        Comparison(
            "open a stereo WAV of 2 h, 1.3 GB, and read it to its end",
            (f"{sounds}:prepare_open", "long", str(folder)),
            "soundfile only reads its blocks, in this process",
            (f"{sounds}:prepare_soundfile", "long", str(folder)),
            rounds=1,
        ),
    )


def _loaded(folder: Path) -> Iterator[Comparison]:
    """Whole commands where 100,000 attempts of four years are kept."""
    load = "benchmarks.practice_load"
    start = ("/usr/bin/env", f"SLURWRIGHT_HOME={folder / 'practice-load'}")
    slurwright = str(Path(sys.executable).with_name("slurwright"))
    part, horn = str(folder / "practice-load.musicxml"), ("--horn", "euphonium-4c of mine")
    fit = "scikit-learn `LogisticRegression` on 100,000 rows, fit alone"
    for what, words, most_s in (
        ("part", ("part", part, *horn), 5.0),
        ("today plan", ("today", "plan", part, *horn, "--minutes", "30"), 5.0),
        ("progress", ("progress",), 0.0),
        ("tried list", ("tried", "list"), 0.0),
        ("book export", ("book", "export", str(folder / "practice-load.json")), 0.0),
    ):
        yield Comparison(
            f"whole command `slurwright {what}` where {LOADED} are kept",
            (*start, slurwright, *words),
            fit,
            ("benchmarks.attempts_speed:prepare_regression", "100000"),
            aim=f"under {most_s:g} s of processor" if most_s else "",
            most_s=most_s,
            rounds=3,
        )
    yield Comparison(
        f"whole command `slurwright trial show` where {LOADED} are kept",
        (f"{load}:prepare_show_trial", str(folder)),
        fit,
        ("benchmarks.attempts_speed:prepare_regression", "100000"),
        aim="under 1 s of processor",
        most_s=1.0,
        rounds=3,
    )


def head() -> Iterator[str]:
    """Say when, on what and with which versions."""
    yield f"Measured {time.strftime('%Y-%m-%d %H:%M', time.gmtime())} UTC on {_processor()}, {platform.system()}, "
    load = ", ".join(f"{value:.1f}" for value in _load())
    yield f"load before the first run {load}. Python {platform.python_version()}; "
    yield ", ".join(f"{name} {version(name)}" for name in LIBRARIES) + "."


def _processor() -> str:
    info = Path("/proc/cpuinfo")
    lines = info.read_text(encoding="utf-8").splitlines() if info.exists() else []
    model = next((line.partition(":")[2].strip() for line in lines if line.startswith("model name")), "")
    return f"{os.cpu_count()} cores of {model or platform.machine()}"


def _load() -> tuple[float, float, float]:
    return os.getloadavg()


def row(comparison: Comparison, ours: Sequence[Run], theirs: Sequence[Run]) -> tuple[str, ...]:
    """One line of the table."""
    pairs = zip(ours, theirs, strict=True)
    ratios = [other.processor_s / max(own.processor_s, 1e-4) for own, other in pairs]
    met = statistics.median(ratios) >= comparison.least_ratio
    met &= not comparison.most_s or statistics.median(run.processor_s for run in ours) <= comparison.most_s
    verdict = f"{comparison.aim}: {'met' if met else 'MISSED'}" if comparison.aim else ""
    return (
        comparison.what,
        medians([run.wall_s for run in ours]),
        medians([run.processor_s for run in ours]),
        f"{max(run.peak_mb for run in ours):.0f}",
        comparison.other,
        medians([run.processor_s for run in theirs]),
        f"{max(run.peak_mb for run in theirs):.0f}",
        medians(ratios),
        verdict,
    )


def measured(comparison: Comparison, folder: Path) -> str:
    """Measure one line of the table; empty if a side fails, which is told."""
    try:
        # First runs compile and fill the system's file cache; they are not counted.
        runs_of(comparison.ours, folder)
        if "/" in comparison.theirs[0]:
            runs_of(comparison.theirs, folder)
        cells = row(comparison, *compared(comparison, folder))
    except RuntimeError as failure:
        print(failure, file=sys.stderr)
        return ""
    return f"| {' | '.join(cells)} |"


def main(words: Sequence[str], *, write: bool) -> int:
    """Measure, print the table, say whether all could be measured."""
    text = ["".join(head()), "", f"| {' | '.join(HEADINGS)} |", "|" + "---|" * len(HEADINGS)]
    print("\n".join(text), flush=True)
    every = True
    with tempfile.TemporaryDirectory(prefix="slurwright-bench-") as name:
        folder = Path(name)
        runs_of(("benchmarks.cold_part:prepare_parts", name), folder)
        wanted = [c for c in comparisons(folder) if not words or any(word in c.what for word in words)]
        if any(name in comparison.theirs[-1] and "large" in comparison.theirs[-1] for comparison in wanted):
            runs_of(("benchmarks.large_score:prepare_file", name), folder)
        if any(LOADED in comparison.what for comparison in wanted if "kept" in comparison.what):
            runs_of(("benchmarks.practice_load:prepare_store", name, "100000"), folder)
        for comparison in wanted:
            line = measured(comparison, folder)
            text.append(line or f"| {comparison.what} | failed{' |' * (len(HEADINGS) - 1)}")
            print(text[-1], flush=True)
            every &= bool(line)
    if write:
        before, _, rest = README.read_text(encoding="utf-8").partition(START)
        body = "\n".join(text)
        README.write_text(f"{before}{START}\n{body}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    return int(not every)


if __name__ == "__main__":
    arguments = sys.argv[1:]
    sys.exit(main([word for word in arguments if word != "--write"], write="--write" in arguments))

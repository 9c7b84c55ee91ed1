"""A studied part as people read it in a terminal: how it was read, every fingering, weak slurs, what to do next.

Meaning is never told by colour alone: what departs from the normal fingering has a star, a weak slur its number.
Note names are ASCII, as the command takes them.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import groupby

from rich.console import Console
from rich.text import Text

from slurwright.cli.console import columns, hang, heading, item, people_console
from slurwright.cli.learnt_report import print_learnt
from slurwright.cli.plan_report import difference, print_trade_offs
from slurwright.cli.slur_report import print_weak_slurs
from slurwright.horn import HornKind
from slurwright.jobs.words import (
    CAUTIONS,
    note_name,
    part_name,
    percent,
    place_of,
    provenance_of,
    slips_text,
    title_of,
)
from slurwright.plan import Technique
from slurwright.plan.study import Study

__all__ = ["print_study"]

_CHANGED = "*"
_MANY = 3
_SEVERAL = re.compile(r"\d+x ")
_SENTENCES = re.compile(r"(?<=\.) ")
_TECHNIQUES = {Technique.LEGATO_TONGUE: "<t>", Technique.HALF_VALVE: "<h>"}


def print_study(study: Study, *, console: Console | None = None) -> None:
    """Print a study for people.

    Args:
        study: the studied part.
        console: where to; None for standard output.

    """
    console = console or people_console()
    _header(study, console)
    _fingerings(study, console)
    _changes(study, console)
    print_weak_slurs(study, console)
    print_learnt(study, console)
    _chances(study, console)
    print_trade_offs(study, console)
    _next(study, console)


def _header(study: Study, console: Console) -> None:
    part, horn = study.part, study.horn
    console.print(Text(title_of(study), style="bold"))
    tuning = f", slides: {horn.tuning}" if horn.kind is HornKind.VALVES else ""
    whose = f"Part: {part_name(study)}. " if part_name(study) else ""
    hang("", f"{whose}Horn: {horn.name} ({horn.id}){tuning}".split(" "), console)
    slurred = f"{_counted(len(study.reports), 'slurred move')}, {len(study.weak)} of them weak"
    upbeat = part.measures[0].duration_quarter < part.measures[0].time.length_quarter
    size = f"{_counted(len(part.measures) - upbeat, 'bar')}, {_counted(len(study.line.sounds), 'note')}, {slurred}"
    hang("", f"Read in {study.reading.name}: {size}".split(" "), console)
    for notice in study.notices:
        item(f"note: {notice}", console)


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _fingerings(study: Study, console: Console) -> None:
    what = _what_is_held(study)
    heading(f"{what.capitalize()}s", console)
    bars = [(number, _gathered(notes)) for number, notes in _bars(study)]
    several = any(_SEVERAL.match(note) for _, notes in bars for note in notes)
    signs = [
        f"each note and its {what}",
        *(["3x three times the same"] if several else []),
        "( ) a slur",
        *(["<S1> weak slur 1"] if study.weak else []),
        *(
            f"{sign} {technique.value.replace('-', ' ')}"
            for technique, sign in _TECHNIQUES.items()
            if technique in study.plan.techniques
        ),
        "| a bar line",
        "3) the row begins with bar 3",
    ]
    item("; ".join(signs), console)
    room = max(40, console.width - 8)
    row: list[list[str]] = []
    first = ""
    for number, notes in bars:
        if row and len(" | ".join("  ".join(bar) for bar in [*row, notes])) > room:
            _print_row(first, row, console)
            row = []
        first = number if not row else first
        row.append(notes)
    _print_row(first, row, console)


def _gathered(notes: Sequence[str]) -> list[str]:
    """Say a note once that comes several times in a row with nothing else to say about it."""
    runs = [(note, len(list(run))) for note, run in groupby(notes)]
    return [
        word
        for note, times in runs
        for word in ([f"{times}x {note}"] if times >= _MANY and not set(note) & set("()<") else [note] * times)
    ]


def _what_is_held(study: Study) -> str:
    return "position" if study.horn.kind is HornKind.SLIDE else "fingering"


def _print_row(number: str, bars: Sequence[Sequence[str]], console: Console) -> None:
    """Print bars on a line; one that is longer than the line goes on under itself, broken between notes."""
    pieces: list[str] = []
    for place, notes in enumerate(bars):
        pieces += ["|"] if place else []
        pieces += [*(f"{note} " for note in notes[:-1]), notes[-1]]
    hang(f"{f'{number})' if number else '':>6} ", pieces, console, bold=r"\S+\*|<S\d+>")


def _bars(study: Study) -> Iterator[tuple[str, list[str]]]:
    """Each bar in which a note begins: its number, and each of its notes in words."""
    slurred = {(move.source, move.target) for move in study.line.moves if move.slurred}
    sources, targets = {source for source, _ in slurred}, {target for _, target in slurred}
    signs = {
        move.source: f" {_TECHNIQUES[technique]}"
        for move, technique in zip(study.line.moves, study.plan.techniques, strict=True)
        if technique in _TECHNIQUES
    }
    for number, report in enumerate(study.weak, start=1):
        source = study.line.moves[report.move].source
        signs[source] = f" <S{number}>{signs.get(source, '')}"
    bar = -1
    words: list[str] = []
    for sound, way in zip(study.line.sounds, study.plan.ways, strict=True):
        measure = study.part.notes[sound.notes[0]].measure
        if measure != bar and words:
            yield study.part.measures[bar].number, words
            words = []
        bar = measure
        opens = "(" if sound.index in sources and sound.index not in targets else ""
        closes = ")" if sound.index in targets and sound.index not in sources else ""
        changed = "" if way.normal else _CHANGED
        words.append(
            f"{opens}{note_name(study, sound.index)} {way.fingering}{changed}{closes}{signs.get(sound.index, '')}"
        )
    if words:
        yield study.part.measures[bar].number, words


def _changes(study: Study, console: Console) -> None:
    changed = [index for index, way in enumerate(study.plan.ways) if not way.normal]
    if not changed:
        console.print(Text(f"  All of them are the normal {_what_is_held(study)}s."))
        return
    console.print(Text(f"  {_CHANGED} changed from the normal {_what_is_held(study)}, because it pays here:"))
    for index in changed:
        normal = next((way.fingering for way in study.ways[index] if way.normal), "none")
        item(f"{place_of(study, index)} {study.plan.ways[index].fingering} (normal: {normal})", console)


def _chances(study: Study, console: Console) -> None:
    plan = study.plan
    heading("Chance of a clean performance, once through", console)
    factors = (
        ("in tune and even", plan.chance_in_tune),
        ("slurs speak", plan.chance_slurs),
        (f"{'slide makes' if study.horn.kind is HornKind.SLIDE else 'fingers make'} it", plan.chance_fingers),
        ("all of it clean", plan.chance_clean),
    )
    rows = [(name, percent(chance), f"{slips_text(chance):>15}") for name, chance in factors]
    columns([("", "chance", "slips to expect"), *rows], console, right={1}, bold=len(factors))
    item(f"The three chances multiply, repeats counted. {_resting_on(study)}", console)
    for number, other in enumerate(study.plans[1:], start=2):
        clean = f"clean {percent(other.chance_clean)}, slips to expect {slips_text(other.chance_clean)}"
        item(f"plan {number}: {clean}; {difference(study, other)}", console)


def _resting_on(study: Study) -> str:
    if study.learnt_from is None:
        return "Prior: not yet learnt from your playing."
    if study.priors_only:
        return "Priors alone, as you asked."
    return "Slurs and fingers: learnt from your attempts as far as they reach; all else is prior."


def _next(study: Study, console: Console) -> None:
    heading("What to do next", console)
    told: dict[str, None] = {}
    for advice in dict.fromkeys(report.advice for report in study.weak):
        new = [sentence for sentence in _SENTENCES.split(advice) if sentence not in told]
        told.update(dict.fromkeys(new))
        if any(new):
            item(" ".join(new), console)
    if not study.weak:
        shown = "positions" if study.horn.kind is HornKind.SLIDE else "fingerings"
        item(f"No slur is above your limit. Practise the part with the {shown} shown, slurs first, slowly.", console)
    if any(technique is not Technique.PLAIN for technique in study.plan.techniques):
        item("This plan uses a technique in some slurs: look for the signs among the notes above.", console)
    for caution in CAUTIONS if not told else CAUTIONS[:1]:
        item(caution, console)
    heading("Where the figures come from", console)
    for words in provenance_of(study):
        item(words, console)

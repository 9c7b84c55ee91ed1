"""A studied part as people read it in a terminal: how it was read, every fingering, weak slurs, what to do next.

Meaning is never told by colour alone: what departs from the normal fingering has a star, a weak slur its number.
Note names are ASCII, as the command takes them.
"""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table
from rich.text import Text

from slurwright.cli.console import heading, item, people_console
from slurwright.cli.slur_report import print_weak_slurs
from slurwright.horn import HornKind
from slurwright.jobs.words import CAUTIONS, note_name, percent, provenance_of, slips_text
from slurwright.plan import Plan, Technique
from slurwright.plan.study import Study

__all__ = ["print_study"]

_CHANGED = "*"
_MOST_TOLD = 3
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
    _chances(study, console)
    _next(study, console)


def _header(study: Study, console: Console) -> None:
    part, horn = study.part, study.horn
    console.print(Text(part.title or part.name, style="bold"))
    tuning = f", slides set: {horn.tuning}" if horn.kind is HornKind.VALVES else ""
    console.print(Text(f"Part: {part.name}. Horn: {horn.name} ({horn.id}){tuning}"))
    slurred = f"{len(study.reports)} slurred moves, {len(study.weak)} of them weak"
    upbeat = part.measures[0].duration_quarter < part.measures[0].time.length_quarter
    size = f"{len(part.measures) - upbeat} bars, {len(study.line.sounds)} notes, {slurred}"
    console.print(Text(f"Read in {study.reading.name}: {size}"))
    for notice in study.notices:
        item(f"note: {notice}", console)


def _fingerings(study: Study, console: Console) -> None:
    what = _what_is_held(study)
    heading(f"{what.capitalize()}s", console)
    signs = ", ".join(
        f"{sign} {technique.value.replace('-', ' ')}"
        for technique, sign in _TECHNIQUES.items()
        if technique in study.plan.techniques
    )
    item(
        f"each note and its {what}; ( ) a slur, <S1> weak slur 1{', ' if signs else ''}{signs}; | a bar line; "
        "3) the row begins with bar 3",
        console,
    )
    room = max(40, console.width - 8)
    row: list[str] = []
    first = ""
    for number, words in _bars(study):
        if row and len(" | ".join([*row, words])) > room:
            _print_row(first, row, console)
            row = []
        first = number if not row else first
        row.append(words)
    _print_row(first, row, console)


def _what_is_held(study: Study) -> str:
    return "position" if study.horn.kind is HornKind.SLIDE else "fingering"


def _print_row(number: str, bars: list[str], console: Console) -> None:
    grid = Table.grid(padding=(0, 1))
    grid.add_column(justify="right", width=6)
    grid.add_column()
    words = Text(" | ".join(bars))
    words.highlight_regex(r"\S+\*", style="bold")
    words.highlight_regex(r"<S\d+>", style="bold")
    grid.add_row(Text(f"{number})" if number else ""), words)
    console.print(grid)


def _bars(study: Study) -> Iterator[tuple[str, str]]:
    """Each bar in which a note begins: its number, and its notes in words."""
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
            yield study.part.measures[bar].number, "  ".join(words)
            words = []
        bar = measure
        opens = "(" if sound.index in sources and sound.index not in targets else ""
        closes = ")" if sound.index in targets and sound.index not in sources else ""
        changed = "" if way.normal else _CHANGED
        words.append(
            f"{opens}{note_name(study, sound.index)} {way.fingering}{changed}{closes}{signs.get(sound.index, '')}"
        )
    if words:
        yield study.part.measures[bar].number, "  ".join(words)


def _changes(study: Study, console: Console) -> None:
    changed = [index for index, way in enumerate(study.plan.ways) if not way.normal]
    if not changed:
        console.print(Text(f"  All of them are the normal {_what_is_held(study)}s."))
        return
    console.print(Text(f"  {_CHANGED} changed from the normal {_what_is_held(study)}, because it pays here:"))
    for index in changed:
        normal = next((way.fingering for way in study.ways[index] if way.normal), "none")
        item(f"{_place(study, index)} {study.plan.ways[index].fingering} (normal: {normal})", console)


def _place(study: Study, sound: int) -> str:
    """Name a note with its place: ``bar 3, beat 1: F3``."""
    note = study.part.notes[study.line.sounds[sound].notes[0]]
    return f"bar {study.part.measure_of(note).number}, beat {_beat(study, sound)}: {note_name(study, sound)}"


def _beat(study: Study, sound: int) -> str:
    beat = study.part.beat_of(study.part.notes[study.line.sounds[sound].notes[0]])
    whole, rest = divmod(beat, 1)
    return f"{whole}" if not rest else f"{float(beat):g}"


def _chances(study: Study, console: Console) -> None:
    plan = study.plan
    heading("Chance of a clean performance, once through", console)
    table = Table(box=None, padding=(0, 2), pad_edge=True)
    table.add_column("")
    table.add_column("chance", justify="right")
    table.add_column("slips to expect", justify="right")
    for name, chance in (
        ("in tune and even", plan.chance_in_tune),
        ("slurs speak", plan.chance_slurs),
        ("fingers make it", plan.chance_fingers),
        ("all of it clean", plan.chance_clean),
    ):
        table.add_row(name, percent(chance), slips_text(chance), style="bold" if chance == plan.chance_clean else "")
    console.print(table)
    item("The three chances multiply, repeats counted. Prior: not yet learnt from your playing.", console)
    for number, other in enumerate(study.plans[1:], start=2):
        clean = f"clean {percent(other.chance_clean)}, slips to expect {slips_text(other.chance_clean)}"
        item(f"plan {number}: {clean}; {_difference(study, other)}", console)


def _difference(study: Study, other: Plan) -> str:
    """Say where another plan departs from the one that is shown."""
    found = [
        f"{_place(study, index)} {there.fingering} instead of {here.fingering}"
        for index, (here, there) in enumerate(zip(study.plan.ways, other.ways, strict=True))
        if here != there
    ]
    more = f"; and {len(found) - _MOST_TOLD} more" if len(found) > _MOST_TOLD else ""
    return "; ".join(found[:_MOST_TOLD]) + more if found else "the same fingerings, other techniques"


def _next(study: Study, console: Console) -> None:
    heading("What to do next", console)
    for advice in dict.fromkeys(report.advice for report in study.weak if report.advice):
        item(advice, console)
    if not study.weak:
        item(
            "No slur is above your limit. Practise the part with the fingerings shown, slurs first, slowly.", console
        )
    if any(technique is not Technique.PLAIN for technique in study.plan.techniques):
        item("This plan uses a technique in some slurs: look for the signs among the notes above.", console)
    for caution in CAUTIONS:
        item(caution, console)
    heading("Where the figures come from", console)
    for words in provenance_of(study.horn):
        item(words, console)

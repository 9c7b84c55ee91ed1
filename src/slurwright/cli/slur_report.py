"""The weak slurs of a studied part in a terminal: each with its numbered choices, equal ones gathered."""

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from slurwright.cli.console import heading, item
from slurwright.jobs.words import cents_text, percent, slur_notes
from slurwright.plan import Choice, SlurKind, SlurReport
from slurwright.plan.study import Study

__all__ = ["print_weak_slurs"]

_KINDS = {SlurKind.LIP: "lip slur", SlurKind.VALVE: "valve slur", SlurKind.BOTH: "lips and valves together"}
_KINDS_ON_SLIDE = {SlurKind.LIP: "lip slur", SlurKind.VALVE: "smear", SlurKind.BOTH: "lips and slide together"}


def print_weak_slurs(study: Study, console: Console) -> None:
    """Print every weak slur with its choices; slurs that are alike in notes, risk and choices share one table."""
    heading("Weak slurs and what to do about each", console)
    if not study.weak:
        console.print(Text("  None is above your limit."))
        return
    alike: dict[tuple[object, ...], list[tuple[int, SlurReport]]] = {}
    for number, report in enumerate(study.weak, start=1):
        alike.setdefault(_likeness(study, report), []).append((number, report))
    told: dict[tuple[str, str, str], str] = {}
    for group in alike.values():
        _print_group(study, group, told, console)
    _print_reasons(study, console)


def _likeness(study: Study, report: SlurReport) -> tuple[object, ...]:
    """What must agree, as printed, for two slurs to share a table."""
    return (
        slur_notes(study, report),
        report.kind,
        percent(report.break_risk),
        *((choice.name, percent(choice.break_risk), *map(cents_text, choice.cents)) for choice in report.choices),
    )


def _print_group(
    study: Study, group: Sequence[tuple[int, SlurReport]], told: dict[tuple[str, str, str], str], console: Console
) -> None:
    """Print slurs that are alike; what was told of the same choice before is not told again."""
    report = group[0][1]
    signs = ", ".join(f"S{number}" for number, _ in group)
    bars = list(dict.fromkeys(_bar(study, report) for _, report in group))
    place = f"bar {bars[0]}" if len(bars) == 1 else f"bars {', '.join(bars)}"
    console.print()
    console.print(Text.assemble((signs, "bold"), f"  {place}: {slur_notes(study, report)}, {_what(study, report)}"))
    table = Table(box=None, padding=(0, 1), pad_edge=True)
    table.add_column("", justify="right", width=3)
    table.add_column("breaks", no_wrap=True)
    table.add_column("cents", justify="right", no_wrap=True)
    table.add_column("choice, fingers, and why")
    for number, choice in enumerate(report.choices, start=1):
        before, after = percent(report.break_risk), percent(choice.break_risk)
        risk = before if number == 1 else f"{before} to {after}"
        key = (slur_notes(study, report), choice.name, choice.fingers)
        words = _said(choice, report, first=number == 1)
        words = f"{choice.name}, as for {told[key]}" if key in told and number > 1 else words
        told.setdefault(key, f"S{group[0][0]}")
        table.add_row(f"{number}", risk, ", ".join(map(cents_text, choice.cents)), words)
    if report.choices:
        console.print(table)


def _said(choice: Choice, report: SlurReport, *, first: bool) -> str:
    """A choice in words: a technique and what it asks, or other fingerings and why they help."""
    if choice.ways != report.choices[0].ways:
        return ". ".join(text.rstrip(".") for text in (choice.fingers, choice.why) if text) + "."
    return choice.name if first or not choice.fingers else f"{choice.name}: {choice.fingers}"


def _bar(study: Study, report: SlurReport) -> str:
    note = study.part.notes[study.line.sounds[study.line.moves[report.move].source].notes[-1]]
    return study.part.measure_of(note).number


def _what(study: Study, report: SlurReport) -> str:
    slide = any(way.setting.slide_position is not None for way in study.plan.ways)
    kind = (_KINDS_ON_SLIDE if slide else _KINDS)[report.kind]
    direction = "" if report.direction == "same" else f" {report.direction}"
    if not report.crossings:
        return f"{kind} on one partial"
    return f"{kind}{direction}, the lips cross {report.gap_cents:.0f} cents"


def _print_reasons(study: Study, console: Console) -> None:
    """Say once what holds for every slur alike: why it is hard as it stands, and why a technique helps."""
    reasons = dict.fromkeys(
        (choice.name, choice.why)
        for report in study.weak
        for choice in report.choices
        if choice.ways == report.choices[0].ways and choice.why
    )
    if reasons:
        console.print()
    for name, why in reasons:
        item(f"{name}: {why}", console)

"""The weak slurs of a studied part in a terminal: each with its numbered choices, equal ones gathered."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console
from rich.text import Text

from slurwright.cli.console import columns, hang, heading, item
from slurwright.cli.learnt_report import risk_cells, risk_heads, risk_legend
from slurwright.jobs.words import bar_of, cents_text, percent, slur_notes
from slurwright.plan import Choice, SlurKind, SlurReport, Technique
from slurwright.plan.study import Study

__all__ = ["print_weak_slurs"]

_KINDS = {SlurKind.LIP: "lip slur", SlurKind.VALVE: "valve slur", SlurKind.BOTH: "lips and valves together"}
_MOST_TABLES, _MOST_LINES, _MOST_SIGNS = 8, 10, 4
"""More would not be read (ours) [1]."""
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_KINDS_ON_SLIDE = {SlurKind.LIP: "lip slur", SlurKind.VALVE: "smear", SlurKind.BOTH: "lips and slide together"}


def print_weak_slurs(study: Study, console: Console) -> None:
    """Print the weak slurs with their choices; slurs that are alike in notes, risk and choices share one table.

    Where there are many, the hardest have tables, more of them a line each, and the rest is counted.
    """
    heading("Weak slurs and what to do about each", console)
    if not study.weak:
        console.print(Text("  None is above your limit."))
        return
    alike: dict[tuple[object, ...], list[tuple[int, SlurReport]]] = {}
    for number, report in enumerate(study.weak, start=1):
        alike.setdefault(_likeness(study, report), []).append((number, report))
    hardest = sorted(alike.values(), key=lambda group: -group[0][1].break_risk)[:_MOST_TABLES]
    full = [group for group in alike.values() if group in hardest]
    told = _Told({}, {})
    for group in full:
        _print_group(study, group, told, console)
    _print_others(study, [one for group in alike.values() if group not in full for one in group], console)
    _print_reasons([report for group in full for _, report in group], told, console)
    for words in risk_legend(study):
        item(words, console)


@dataclass(frozen=True, slots=True)
class _Told:
    """What has been said already, so that it is not said again."""

    choices: dict[tuple[str, ...], str]
    """What a choice asks -> the slur at which it was told."""
    reasons: dict[str, str]
    """Why a fingering helps -> the letter that stands for it."""

    def letter(self, reason: str) -> str:
        """Give the letter that stands for a reason, a new one for a new reason."""
        return self.reasons.setdefault(reason, f"({_LETTERS[len(self.reasons) % len(_LETTERS)]})")


def _likeness(study: Study, report: SlurReport) -> tuple[object, ...]:
    """What must agree, as printed, for two slurs to share a table."""
    return (
        slur_notes(study, report),
        report.kind,
        risk_cells(study, report),
        *sorted(
            (choice.name, *risk_cells(study, choice), *map(cents_text, choice.cents)) for choice in report.choices
        ),
    )


def _print_group(study: Study, group: Sequence[tuple[int, SlurReport]], told: _Told, console: Console) -> None:
    """Print slurs that are alike; what was told of the same choice before is not told again."""
    report = group[0][1]
    signs = ", ".join(f"S{number}" for number, _ in group)
    bars = list(dict.fromkeys(bar_of(study, report) for _, report in group))
    place = f"bar {bars[0]}" if len(bars) == 1 else f"bars {', '.join(bars)}"
    console.print()
    words = f"{signs}  {place}: {slur_notes(study, report)}, {_what(study, report)}"
    hang("", words.split(" "), console, bold=r"^S\d+(, S\d+)*")
    known = {key: told.choices.get(key) for key in _keys(report, slur_notes(study, report))}
    if known and all(known.values()):
        before = ", ".join(dict.fromkeys(filter(None, known.values())))
        stands = f"breaks {percent(report.break_risk)} as it stands"
        risks = [f"{choice.name} {percent(choice.break_risk)}" for choice in report.choices[1:]]
        hang("      ", f"{'; '.join([stands, *risks])}; choices as for {before}".split(" "), console)
        return
    rows = []
    for number, choice in enumerate(report.choices, start=1):
        cents = ", ".join(map(cents_text, choice.cents))
        words = _said(
            choice, report, told, first=number == 1, here=f"S{group[0][0]}", notes=slur_notes(study, report)
        )
        risk = risk_cells(study, report if number == 1 else choice)
        rows.append((f"  {number}", *risk, cents, words))
    if rows:
        heads = risk_heads(study)
        right = set(range(len(heads) + 2))
        columns([("", *heads, "cents", "choice"), *rows], console, right=right)


def _key(choice: Choice, report: SlurReport, notes: str) -> tuple[str, ...]:
    """What a choice asks, whatever the dynamic; a refingering asks it of these two notes."""
    return (choice.name, choice.fingers, notes if choice.ways != report.choices[0].ways else "")


def _keys(report: SlurReport, notes: str) -> list[tuple[str, ...]]:
    return [_key(choice, report, notes) for choice in report.choices[1:]]


def _said(choice: Choice, report: SlurReport, told: _Told, *, first: bool, here: str, notes: str) -> str:
    """A choice in words: what it asks of tongue and fingers, and by a letter why a fingering helps."""
    if first:
        return _named(choice)
    refingers = choice.ways != report.choices[0].ways
    key = _key(choice, report, notes)
    if key in told.choices:
        return f"{choice.name}, as for {told.choices[key]}"
    told.choices[key] = here
    if not refingers:
        return f"{choice.name}: {choice.fingers}" if choice.fingers else choice.name
    reason = choice.why.partition(";")[0].rstrip(".")
    return f"{choice.fingers} {told.letter(reason)}" if reason else choice.fingers


def _print_others(study: Study, others: Sequence[tuple[int, SlurReport]], console: Console) -> None:
    """Print the less hard slurs a line for each pair of notes, the hardest first, and count what is left."""
    pairs: dict[str, list[tuple[int, SlurReport]]] = {}
    for number, report in sorted(others, key=lambda one: -one[1].break_risk):
        pairs.setdefault(slur_notes(study, report), []).append((number, report))
    if others:
        console.print()
        console.print(Text("Less hard than these:"))
    for notes, slurs in list(pairs.items())[:_MOST_LINES]:
        numbers = sorted(number for number, _ in slurs)
        signs = ", ".join(f"S{number}" for number in numbers[:_MOST_SIGNS])
        more = f" and {len(numbers) - _MOST_SIGNS} more" if len(numbers) > _MOST_SIGNS else ""
        words = f"{signs}{more}: {notes} breaks {_span([report.break_risk for _, report in slurs])}"
        helps = [min(report.choices, key=lambda choice: choice.break_risk) for _, report in slurs if report.choices]
        names = {choice.name for choice in helps}
        if len(names) == 1 and helps[0].break_risk < slurs[0][1].break_risk:
            words += f", {helps[0].name} {_span([choice.break_risk for choice in helps])}"
        item(words, console)
    left = sum(len(slurs) for slurs in list(pairs.values())[_MOST_LINES:])
    if left:
        item(f"and {left} more slurs, which stand in the table of --pages and in --json", console)


def _span(risks: Sequence[float]) -> str:
    """Say from where to where risks reach."""
    low, high = percent(min(risks)), percent(max(risks))
    return low if low == high else f"{low.removesuffix(' %')} to {high}"


def _what(study: Study, report: SlurReport) -> str:
    slide = any(way.setting.slide_position is not None for way in study.plan.ways)
    kind = (_KINDS_ON_SLIDE if slide else _KINDS)[report.kind]
    direction = "" if report.direction == "same" else f" {report.direction}"
    if not report.crossings:
        return f"{kind} on one partial"
    return f"{kind}{direction}, the lips cross {report.gap_cents:.0f} cents"


def _print_reasons(reports: Sequence[SlurReport], told: _Told, console: Console) -> None:
    """Say once what holds for every slur alike: why it is hard as it stands, and why the choices help."""
    reasons = dict.fromkeys(
        (_named(choice), choice.why)
        for report in reports
        for choice in report.choices
        if choice.ways == report.choices[0].ways and choice.why
    )
    if reasons or told.reasons:
        console.print()
    for name, why in reasons:
        item(f"{name}: {why}", console)
    for reason, letter in told.reasons.items():
        item(f"{letter} {reason}.", console)


def _named(choice: Choice) -> str:
    """Name a choice; one that stands as planned tells the technique that was planned."""
    technique = choice.technique.value.replace("-", " ")
    planned = choice.technique is not Technique.PLAIN and technique not in choice.name.replace("-", " ")
    return f"{choice.name}, {technique}" if planned else choice.name

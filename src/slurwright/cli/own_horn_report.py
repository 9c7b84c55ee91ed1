"""A player's own horn in a terminal: the list, the chart, the tones, what to measure next.

Where a figure comes from is told in words, and in the strip by its sign, never by colour alone.
"""

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from slurwright.cli.console import heading, item, people_console
from slurwright.horn import Horn, HornKind
from slurwright.horn.learnt.advise import Advice
from slurwright.jobs.horn_chart import usual_ways
from slurwright.jobs.own_horn import HornOverview, OwnHorn
from slurwright.jobs.tone_list import ToldTone
from slurwright.jobs.words import cents_text, tones_text
from slurwright.pitch import Reading, SoundingPitch
from slurwright.plan.charted import ChartedWay, Knowledge
from slurwright.wiring.own_horn import ShownHorn

__all__ = ["print_advice", "print_chart", "print_own_horns", "print_tones"]

_SIGNS = {Knowledge.MEASURED: "@", Knowledge.INFERRED: "o", Knowledge.PRIOR: "?"}
_HALF_STRIP = 10
_CENTS_A_LETTER = 5.0


def print_own_horns(found: Sequence[HornOverview], *, console: Console | None = None) -> None:
    """Print whose horns there are.

    Args:
        found: the horns.
        console: where to; None for standard output.
    """
    console = console or people_console()
    if not found:
        console.print(Text("No horn has been added yet: slurwright horn add NAME --model ID"))
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for name in ("horn", "player", "model", "slides set"):
        table.add_column(name, overflow="fold")
    table.add_column("tones", justify="right")
    for one in found:
        tones = f"{one.readings}" + (f" (and {one.withdrawn} withdrawn)" if one.withdrawn else "")
        owned = one.owned
        table.add_row(
            Text(owned.name), Text(one.player.name), Text(owned.model), Text(owned.tuning or "as usual"), Text(tones)
        )
    console.print(table)


def print_chart(shown: ShownHorn, reading: Reading, *, every: bool, console: Console | None = None) -> None:
    """Print where every note of a horn sits, highest first as on a staff.

    Args:
        shown: the horn and its notes.
        reading: how the player reads.
        every: every way of each note; otherwise the normal one, usual alternates, and what was measured.
        console: where to; None for standard output.
    """
    console = console or people_console()
    _chart_head(shown, reading, console)
    table = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False, header_style="bold")
    for name in ("note", f"{_held(shown.horn)} on partial", "cents", "nine in ten", _strip_head(), "known from"):
        table.add_column(name, justify="right" if name == "cents" else "left", no_wrap=name != "known from")
    for note in reversed(shown.notes if every else usual_ways(shown.notes, shown.horn)):
        for place, way in enumerate(note.ways):
            _way_row(table, str(reading.transposition.to_written(note.sounding)) if not place else "", way)
    console.print(table)
    console.print()
    for words in _chart_words(shown):
        item(words, console)
    _set_aside(shown, console)


def _chart_head(shown: ShownHorn, reading: Reading, console: Console) -> None:
    console.print(Text(shown.horn.name, style="bold"))
    tuning = f" Slides set: {shown.horn.tuning}." if shown.horn.kind is HornKind.VALVES else ""
    count, aside = len(shown.learnt.readings), len(shown.learnt.rejected)
    learnt = f"Learnt from {tones_text(count - aside)}" if count else "No tone measured yet: all of this is prior"
    left = f", {aside} set aside" if aside else ""
    console.print(Text(f"{learnt}{left}.{tuning} Notes as read in {reading.name}."))


def _held(horn: Horn) -> str:
    return "position" if horn.kind is HornKind.SLIDE else "fingering"


def _way_row(table: Table, name: str, charted: ChartedWay) -> None:
    way, tendency = charted.way, charted.tendency
    readings = f", {tendency.readings}" if tendency.readings else ""
    table.add_row(
        Text(name),
        Text(f"{way.fingering} on {way.partial}{' normal' if way.normal else ''}"),
        cents_text(tendency.mean_cents),
        f"{cents_text(tendency.low_cents):>3} to {cents_text(tendency.high_cents)}",
        Text(_strip(charted)),
        Text(f"{charted.knowledge.value}{readings}"),
        style="bold" if way.normal else "",
    )


def _strip_head() -> str:
    reach = f"{_HALF_STRIP * _CENTS_A_LETTER:.0f}"
    return f"-{reach}".ljust(_HALF_STRIP) + "|" + f"+{reach}".rjust(_HALF_STRIP)


def _strip(charted: ChartedWay) -> str:
    """Draw an interval in one line of letters: the bar is the interval, the sign its middle."""
    tendency = charted.tendency
    low, mean, high = (
        round(cents / _CENTS_A_LETTER) for cents in (tendency.low_cents, tendency.mean_cents, tendency.high_cents)
    )
    letters = []
    for place in range(-_HALF_STRIP, _HALF_STRIP + 1):
        if place == max(-_HALF_STRIP, min(_HALF_STRIP, mean)):
            letters.append(_SIGNS[charted.knowledge])
        elif low <= place <= high:
            letters.append("-")
        else:
            letters.append("|" if place == 0 else " ")
    return "".join(letters)


def _chart_words(shown: ShownHorn) -> list[str]:
    words = [
        "cents: against equal temperament at A4 = 440 Hz, + sharp, with the main slide where the normal notes of the "
        "comfortable range are in tune on average; nine in ten: the interval that holds it in nine cases of ten",
        "@ measured on this way, with the number of tones; o inferred, because the way shares tube and partials with "
        "measured ones; ? prior: little more is known than of any horn of this model",
    ]
    if shown.horn.kind is HornKind.SLIDE:
        words.append("on a slide the cents hold for the usual place of the position; move the slide to meet them")
    return words


def _set_aside(shown: ShownHorn, console: Console) -> None:
    if not shown.learnt.rejected:
        return
    heading("Tones that were set aside", console)
    for verdict in shown.learnt.rejected:
        item(verdict.reason, console)


def print_tones(own: OwnHorn, told: Sequence[ToldTone], *, console: Console | None = None) -> None:
    """Print the tones of a horn with their numbers.

    Args:
        own: the horn.
        told: its tones.
        console: where to; None for standard output.
    """
    console = console or people_console()
    console.print(Text(f"{own.owned.name}, {own.model.name}", style="bold"))
    if not told:
        console.print(Text('No tone yet: slurwright tone add HORN "F3 4 -12"'))
        return
    table = Table(box=None, padding=(0, 1), pad_edge=True, header_style="bold")
    for name, justify in (("no.", "right"), ("sounding", "left"), ("fingering", "left"), ("partial", "right")):
        table.add_column(name, justify=justify, no_wrap=True)  # type: ignore[arg-type]
    table.add_column("cents", justify="right", no_wrap=True)
    table.add_column("sitting", overflow="fold")
    table.add_column("and", overflow="fold")
    for one in told:
        tone = one.kept.played.tone
        table.add_row(
            str(one.number),
            str(tone.sounding),
            Text(tone.fingering),
            str(tone.partial),
            f"{tone.cents:+g}",
            Text(tone.session),
            Text(_beside(one)),
            style="" if one.used else "dim",
        )
    console.print(table)


def _beside(told: ToldTone) -> str:
    """What else is to be said of a tone, shortest first."""
    played = told.kept.played
    said = [f"{played.tone.temperature_c:g} °C"] if played.tone.temperature_c is not None else []
    if played.tone.dynamic:
        said.append(f"{played.tone.dynamic:+g} from mf")
    if played.tone.sd_cents:
        said.append(f"± {played.tone.sd_cents:g}")
    if played.written is not None:
        said.append(f"read as {played.written}")
    if played.note:
        said.append(played.note)
    if not told.used:
        said.append(told.reason if told.reason == "withdrawn" else f"set aside: {told.reason}")
    return "; ".join(said)


def print_advice(own: OwnHorn, advice: Advice, reading: Reading, *, console: Console | None = None) -> None:
    """Print which notes to measure next.

    Args:
        own: the horn.
        advice: the notes.
        reading: how the player reads.
        console: where to; None for standard output.
    """
    console = console or people_console()
    console.print(Text(f"What to measure next on {own.owned.name}", style="bold"))
    console.print(
        Text(
            f"The intervals are {advice.width_now_cents:.1f} cents wide on average now and about "
            f"{advice.width_then_cents:.1f} after these notes."
        )
    )
    table = Table(box=None, padding=(0, 1), pad_edge=True, header_style="bold")
    table.add_column("", justify="right")
    for name in ("note", "sounding", _held(own.model), "partial", "then wide", "narrower by"):
        table.add_column(name, no_wrap=True)
    for number, note in enumerate(advice.notes, start=1):
        table.add_row(
            str(number),
            _written(note.sounding, reading),
            str(note.sounding),
            Text(note.fingering),
            str(note.partial),
            f"{note.width_after_cents:.1f} cents",
            f"{note.width_before_cents - note.width_after_cents:.1f}",
        )
    console.print(table)
    console.print()
    item("play each as a steady tone at mf, warmed up, four seconds, without lipping it in tune", console)
    example = advice.notes[0] if advice.notes else None
    if example is not None:
        item(f'then: slurwright tone add HORN "{example.sounding} {example.fingering} CENTS" …', console)
    item("rest as long as you play", console)


def _written(sounding: SoundingPitch, reading: Reading) -> str:
    return str(reading.transposition.to_written(sounding))

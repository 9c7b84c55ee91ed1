"""Takes that are kept, in a terminal."""

import json
from collections.abc import Collection, Mapping, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from slurwright.cli.console import heading, item, people_console
from slurwright.listen.kept import KeptMeasures, KeptTake, TakeState

__all__ = ["print_kept_take", "print_takes"]

_STATES = {
    TakeState.RECEIVED: "not measured yet",
    TakeState.MEASURED: "measured",
    TakeState.FAILED: "could not be measured",
}


def print_takes(
    found: Sequence[KeptTake],
    horns: Mapping[str, str],
    *,
    missing: Collection[str] = (),
    console: Console | None = None,
) -> None:
    """Print a list of takes.

    Args:
        found: the takes, oldest first.
        horns: names of the player's horns by their ids.
        missing: ids of the takes whose recordings are not on this machine.
        console: where to; None for standard output.
    """
    console = console or people_console()
    if not found:
        console.print(Text("No take is kept: slurwright take measure RECORDING FILE --horn NAME"))
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for name in ("take", "played on", "what", "bars", "horn", "state", "recording"):
        table.add_column(name, overflow="fold")
    for take in found:
        about = take.about
        table.add_row(
            take.id[:8],
            about.played_on.isoformat(),
            Text(about.part.title or about.part.file),
            Text(about.asked.bars or "all"),
            Text(horns.get(about.horn_id or "", about.model)),
            _STATES[take.state],
            "not kept" if take.sound is None else "elsewhere" if take.id in missing else "kept",
        )
    console.print(table)
    for take in found:
        if take.failure:
            item(f"take {take.id[:8]}: {take.failure}", console)


def print_kept_take(kept: KeptTake, measures: KeptMeasures, *, console: Console | None = None) -> None:
    """Print what was measured in a take, in the words that were said then.

    Args:
        kept: the take.
        measures: what was measured in it.
        console: where to; None for standard output.
    """
    console = console or people_console()
    about = kept.about
    document = json.loads(measures.measures_json)
    console.print(Text(f"{about.part.title or about.part.file}, take of {about.played_on}", style="bold"))
    if about.note:
        item(about.note, console)
    heading("The take", console)
    for sentence in document["summary"]["said"]:
        item(sentence, console)
    for name, key in (("Slurs", "slurs"), ("Notes", "notes")):
        if document[key]:
            heading(name, console)
        for one in document[key]:
            item(one["said"], console)

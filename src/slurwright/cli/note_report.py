"""Every way of one note as people read it in a terminal."""

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from slurwright.cli.console import columns, item, people_console
from slurwright.horn import Horn, HornKind
from slurwright.jobs.words import cents_text, percent
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Way
from slurwright.plan.values import AtHand
from slurwright.plan.ways import tie_groups

__all__ = ["print_note"]


def print_note(
    sounding: SoundingPitch,
    written: WrittenPitch,
    horn: Horn,
    ways: Sequence[Way],
    *,
    at_hand: Sequence[AtHand] = (),
    console: Console | None = None,
) -> None:
    """Print every way of a note: fingering, partial, tendency, whether it is the normal one, and why.

    Args:
        sounding: the note at concert pitch.
        written: the note as the player reads it.
        horn: the instrument.
        ways: best first, at least one.
        at_hand: what is known of the player's fingers at each; empty where nothing is.
        console: where to; None for standard output.

    """
    console = console or people_console()
    both = str(written) if str(written) == str(sounding) else f"written {written}, sounding {sounding}"
    console.print(Text(f"{both} on {horn.name} ({horn.id})", style="bold"))
    rows = _rows(ways, at_hand, "position" if horn.kind is HornKind.SLIDE else "fingering")
    normal = next((place for place, way in enumerate(ways, start=1) if way.normal), -1)
    columns(rows, console, right={1, 2, 4, 5} if at_hand else {1, 2, 4}, bold=normal)
    console.print()
    item(
        "cents: predicted against equal temperament, + sharp; ± one standard deviation, as well as this horn is "
        "known",
        console,
    )
    item(
        "tie: ways with the same letter differ by less than a listener notices in a melody, so choose by feel",
        console,
    )
    item("known: chance that the fingers have it without practice (prior, common practice)", console)
    if at_hand:
        item(
            "yours: chance that your fingers have it when it comes, learnt from how often its note came in your "
            "attempts; empty where you have not tried it",
            console,
        )


def _rows(ways: Sequence[Way], at_hand: Sequence[AtHand], what: str) -> list[tuple[str, ...]]:
    letters = _tie_letters(ways)
    spreads = [f"± {way.spread_cents:.0f}" for way in ways]
    wide = max(map(len, spreads))
    yours: list[tuple[str, ...]] = [(percent(one.learnt) if one.learnt != one.prior else "",) for one in at_hand]
    return [
        (what, "partial", "cents", "tie", "known", *(("yours",) if at_hand else ()), "why"),
        *(
            (
                f"{way.fingering} normal" if way.normal else way.fingering,
                str(way.partial),
                f"{cents_text(way.cents)} {spread:<{wide}}",
                letters.get((way.fingering, way.partial), ""),
                percent(way.usual),
                *mine,
                way.why,
            )
            for way, spread, mine in zip(ways, spreads, yours or [()] * len(ways), strict=True)
        ),
    ]


def _tie_letters(ways: Sequence[Way]) -> dict[tuple[str, int], str]:
    """A letter for each way that ties with another, by fingering and partial."""
    groups = [group for group in tie_groups(ways) if len(group) > 1]
    return {
        (way.fingering, way.partial): "abcdefghijklmnopqrstuvwxyz"[place % 26]
        for place, group in enumerate(groups)
        for way in group
    }

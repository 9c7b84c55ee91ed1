"""Plans beside the best one as people read them: where they differ, and what can be had for what."""

from collections import Counter
from collections.abc import Sequence

from rich.console import Console

from slurwright.cli.console import columns, heading, item
from slurwright.horn import HornKind
from slurwright.jobs.words import note_name, percent, place_of, slips_text
from slurwright.plan import Plan
from slurwright.plan.study import Study

__all__ = ["difference", "print_trade_offs"]

_MOST_TOLD = 3
_SMALL = 0.05
"""Where all chances of a kind lie below, the slips to expect tell more (ours) [1]."""


def print_trade_offs(study: Study, console: Console) -> None:
    """Print the plans between which only taste can choose, from the smoothest on; nothing unless asked for."""
    plans = study.trade_offs
    if not plans:
        return
    heading("Between smooth, in tune and familiar", console)
    on_slide = study.horn.kind is HornKind.SLIDE
    chances = (
        _beside_each_other([plan.chance_slurs for plan in plans]),
        _beside_each_other([plan.chance_in_tune for plan in plans]),
        _beside_each_other([plan.chance_fingers for plan in plans]),
    )
    rows = [(*cells, str(plan.changes), _told(study, plan)) for *cells, plan in zip(*chances, plans, strict=True)]
    head = ("slurs", "in tune", "slide" if on_slide else "fingers", "changes", "differs from the best plan")
    columns([head, *rows], console, right={0, 1, 2, 3})
    words = f"chance of each; changes: notes off the normal {'position' if on_slide else 'fingering'}"
    slips = any(cell.endswith("slips") for column in chances for cell in column)
    item(words + ("; slips to expect where every chance is small" if slips else ""), console)


def _beside_each_other(chances: Sequence[float]) -> list[str]:
    """Say chances so that they can be compared: where all are small, by the slips that they mean."""
    if max(chances) >= _SMALL:
        return [percent(chance) for chance in chances]
    return [f"{slips_text(chance)} slips" for chance in chances]


def _told(study: Study, plan: Plan) -> str:
    same = (plan.ways, plan.techniques) == (study.plan.ways, study.plan.techniques)
    return "the best plan" if same else _gathered(study, plan)


def _gathered(study: Study, other: Plan) -> str:
    """Say in how many places another plan takes which fingering, the commonest first."""
    found = Counter(
        f"{note_name(study, index)} {there.fingering} instead of {here.fingering}"
        for index, (here, there) in enumerate(zip(study.plan.ways, other.ways, strict=True))
        if here != there
    )
    told = [f"{times}x {words}" if times > 1 else words for words, times in found.most_common(_MOST_TOLD)]
    rest = sum(found.values()) - sum(times for _, times in found.most_common(_MOST_TOLD))
    return ", ".join([*told, *([f"and {rest} more"] if rest else [])]) or "the same fingerings, other techniques"


def difference(study: Study, other: Plan) -> str:
    """Say where another plan departs from the one that is shown."""
    found = [
        f"{place_of(study, index)} {there.fingering} instead of {here.fingering}"
        for index, (here, there) in enumerate(zip(study.plan.ways, other.ways, strict=True))
        if here != there
    ]
    more = f"; and {len(found) - _MOST_TOLD} more" if len(found) > _MOST_TOLD else ""
    return "; ".join(found[:_MOST_TOLD]) + more if found else "the same fingerings, other techniques"

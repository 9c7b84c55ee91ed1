"""How the tries of a sheet become items: easy before hard, alone before the passage, and a rest after each.

The hardest soft high work comes early, while the lips are fresh, but never first; easier work stands between two
pieces of it. Passages come last, the same bars once. Rest is at least as long as play, longer in soft high work.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain, zip_longest
from math import ceil

from numpy.random import Generator

from slurwright.evidence.attempts import Tried
from slurwright.practice.sheet.allotting import Allotted, is_soft_high, rest_each, try_s
from slurwright.practice.sheet.table import PracticeTable
from slurwright.practice.sheet.targets import Target
from slurwright.practice.sheet.values import ItemKind, SheetItem

__all__ = ["Laid", "easier", "lay_out", "with_rest"]

_SEEDS = 2**31


@dataclass(frozen=True, slots=True)
class Laid:
    """The items of the slurs, and the slurs in the order in which they come."""

    items: tuple[SheetItem, ...]
    targets: tuple[Target, ...]


def lay_out(slurs: Sequence[Allotted], *, rescues: Sequence[bool], table: PracticeTable, rng: Generator) -> Laid:
    """Lay out the tries of slurs in the order in which they are played.

    Args:
        slurs: what each gets, what saves most first.
        rescues: for each, whether its rescue is practised too.
        table: how a sheet is shaped.
        rng: for the seeds of exercises.

    """
    order = _order(slurs, table)
    targets = tuple(slurs[index].target for index in order)
    alone: list[SheetItem] = []
    passages: list[tuple[tuple[int, int], list[SheetItem]]] = []
    played: set[tuple[int, str | int]] = set()
    for place, index in enumerate(order):
        one = slurs[index]
        bars = _bars(one.target)
        in_passage = 0 if bars in played else _passage_tries(one, table)
        alone += _alone(one, place, one.tries - in_passage, rescue=rescues[index], table=table, rng=rng)
        if in_passage:
            played.add(bars)
            where = (one.target.part, one.target.move)
            passages.append((where, _passage(one.target, place, in_passage, table=table, rng=rng)))
    last = chain.from_iterable(items for _, items in sorted(passages, key=lambda one: one[0]))
    return Laid((*alone, *last), targets)


def with_rest(item: SheetItem, *, each: float, parts: int, table: PracticeTable) -> list[SheetItem]:
    """Add the rests to an item: between its parts, and a rest of its own behind it.

    Args:
        item: what is played; its rest is worked out here.
        each: rest for each second of play [1].
        parts: how many parts there are between which is rested [1].
        table: how short a rest may be.

    """
    one_s = item.play_s * each / parts
    after = SheetItem(ItemKind.REST, 0.0, float(ceil(max(one_s, table.time.rest_least_s))))
    return [replace(item, rest_s=one_s * (parts - 1)), after]


def easier(tried: Tried, table: PracticeTable) -> Tried:
    """Make a try easier: slower, and louder up to mf where it is soft.

    Args:
        tried: as the part asks for it.
        table: how much.

    """
    louder = max(tried.dynamic, min(0.0, tried.dynamic + table.shape.ease_steps))
    slow = table.shape.ease_tempo
    return replace(
        tried,
        dynamic=louder,
        tempo_qpm=tried.tempo_qpm * slow,
        time_s=tried.time_s / slow,
        hold_s=tried.hold_s / slow,
    )


def _order(slurs: Sequence[Allotted], table: PracticeTable) -> list[int]:
    """Alternate soft high work with other work, each the most worth first."""
    hard = [index for index, one in enumerate(slurs) if is_soft_high(one.target, table)]
    other = [index for index in range(len(slurs)) if index not in set(hard)]
    return [index for pair in zip_longest(hard, other) for index in pair if index is not None]


def _bars(target: Target) -> tuple[int, str | int]:
    """Name the bars around a slur, so that they are not played again for another slur in them."""
    return target.part, target.bars or target.move


def _passage_tries(one: Allotted, table: PracticeTable) -> int:
    """How many tries of a slur are played in its passage: a whole set where there are several, if it is ready."""
    size = int(table.shape.set_tries)
    sets = round(one.tries / size * table.shape.passage_share)
    ready = one.target.risk <= table.shape.passage_below and one.tries > size
    return size * min(1, sets) if ready else 0


def _alone(
    one: Allotted, place: int, tries: int, *, rescue: bool, table: PracticeTable, rng: Generator
) -> list[SheetItem]:
    """A slur alone: made easy first where it breaks often, then as asked, then its rescue."""
    asked = one.target.tried
    easy = easier(asked, table)
    size = int(table.shape.set_tries)
    made_easy = tries // size // 2 * size if one.target.risk > table.shape.ease_above and easy != asked else 0
    items = []
    for kind, count, tried in (
        (ItemKind.EASE, made_easy, easy),
        (ItemKind.SLUR, tries - made_easy, asked),
    ):
        items += _tries(one.target, place, kind, count, tried, table=table, rng=rng)
    if rescue and one.target.rescue is not None:
        count = int(table.shape.set_tries)
        items += _tries(one.target, place, ItemKind.RESCUE, count, one.target.rescue.tried, table=table, rng=rng)
    return items


def _tries(
    target: Target, place: int, kind: ItemKind, count: int, tried: Tried, *, table: PracticeTable, rng: Generator
) -> list[SheetItem]:
    if not count:
        return []
    size = int(table.shape.set_tries)
    play_s = count * try_s(replace(target, tried=tried), table)
    item = SheetItem(kind, play_s, 0.0, count, size, place, tried, seed=int(rng.integers(_SEEDS)))
    return with_rest(item, each=rest_each(target, table), parts=ceil(count / size), table=table)


def _passage(target: Target, place: int, count: int, *, table: PracticeTable, rng: Generator) -> list[SheetItem]:
    """The bars around, with a rest after each time."""
    play_s = count * max(target.passage_s, try_s(target, table))
    seed = int(rng.integers(_SEEDS))
    item = SheetItem(ItemKind.PASSAGE, play_s, 0.0, count, 1, place, target.tried, seed=seed)
    return with_rest(item, each=rest_each(target, table), parts=count, table=table)

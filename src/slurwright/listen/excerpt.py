"""What was played of some notes of a longer passage, where the player played more than was asked for."""

from dataclasses import replace
from itertools import pairwise

from slurwright.listen.followed import Following

__all__ = ["excerpt_of"]


def excerpt_of(following: Following, *, first: int, last: int) -> Following:
    """Keep what belongs to some notes of a passage, and count the asked notes from the first of them.

    What nobody asked for is kept where it lies between two notes that are.

    Args:
        following: of the longer passage.
        first: index of the first asked note that is wanted.
        last: index of the last one.
    """
    wanted = range(first, last + 1)
    inside = [at for at, note in enumerate(following.played) if note.asked in wanted]
    kept = set(inside)
    for before, after in pairwise(inside):
        between = range(before + 1, after)
        if all(following.played[at].asked is None for at in between):
            kept.update(between)
    order = sorted(kept)
    place = {at: index for index, at in enumerate(order)}
    played = []
    for at in order:
        note = following.played[at]
        asked = None if note.asked is None else note.asked - first
        played.append(replace(note, asked=asked, joined_to_next=note.joined_to_next and at + 1 in kept))
    went_out = {after for before, after in pairwise(order) if after != before + 1}
    restarts = {at for at in following.restarts if at in place} | went_out
    return Following(
        played=tuple(played),
        missed=tuple(asked - first for asked in following.missed if asked in wanted),
        restarts=tuple(sorted(place[at] for at in restarts)),
    )

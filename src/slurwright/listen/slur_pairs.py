"""Which sounds of a take are the two notes of an asked slur; which slurs never reached their second note."""

from itertools import pairwise

from slurwright.listen.followed import Following
from slurwright.listen.passage import Passage

__all__ = ["slur_pairs", "unspoken_slurs"]

_LEAST_MISSED_S = 0.2
"""A shorter note that did not sound may have been left out on purpose, or was not heard (ours) [s]."""


def slur_pairs(following: Following, passage: Passage) -> tuple[tuple[int, int], ...]:
    """List what was played of the asked slurs, each as often as it was tried.

    A pair is the two notes of a slur, played one after the other. Between them may lie sounds that nobody asked for,
    as a split leaves them, and silence: the slur then broke. Where the second note never came, or the player went
    back before it, there is no pair.

    Args:
        following: what was played.
        passage: what was asked.

    Returns:
        Indices into ``following.played``, in order of time.
    """
    asked = [index for index, note in enumerate(following.played) if note.asked is not None]
    joined = set(passage.joined())
    restarts = set(following.restarts)
    return tuple(
        (first, second)
        for first, second in pairwise(asked)
        if second not in restarts and (following.played[first].asked, following.played[second].asked) in joined
    )


def unspoken_slurs(following: Following, passage: Passage) -> tuple[tuple[int, int], ...]:
    """List the asked slurs whose second note never came although the player went on.

    Where the player stopped or went back there, nothing is known of the slur: there may have been other reasons.
    Grace notes and other very short ones are passed over.

    Args:
        following: what was played.
        passage: what was asked.

    Returns:
        (index into ``following.played`` of the first note, index into ``passage.notes`` of the one that did not
        sound), in order of time.
    """
    asked = [index for index, note in enumerate(following.played) if note.asked is not None]
    joined = dict(passage.joined())
    restarts = set(following.restarts)
    missed = {at for at in following.missed if passage.notes[at].length_s >= _LEAST_MISSED_S}
    found = []
    for first, after in pairwise(asked):
        here, there = following.played[first].asked, following.played[after].asked
        silent = joined.get(here) if here is not None else None
        if silent in missed and after not in restarts and there is not None and there > silent:
            found.append((first, silent))
    return tuple(found)

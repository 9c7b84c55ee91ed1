"""Which sounds of a take are the two notes of an asked slur? Pairs, in order of time."""

from itertools import pairwise

from slurwright.listen.followed import Following
from slurwright.listen.passage import Passage

__all__ = ["slur_pairs"]


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

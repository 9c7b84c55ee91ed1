"""How many beams join which notes: all levels, worked out from the first one and the notes' flags."""

from collections.abc import Sequence

from slurwright.score import Beam, Note

__all__ = ["beam_levels"]

_FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6, "512th": 7, "1024th": 8}


def beam_levels(notes: Sequence[Note]) -> dict[int, tuple[str, ...]]:
    """Say for each beamed note what every beam does at it, the first beam first; by note index."""
    levels: dict[int, tuple[str, ...]] = {}
    for graces in (False, True):
        group: list[Note] = []
        for note in (note for note in notes if note.grace is graces):
            if note.beam is Beam.BEGIN:
                levels.update(_of_group(group))
                group = []
            if note.beam is not Beam.NONE:
                group.append(note)
        levels.update(_of_group(group))
    return levels


def _of_group(group: Sequence[Note]) -> dict[int, tuple[str, ...]]:
    flags = [_FLAGS.get(note.value.type, 1) for note in group]
    return {
        note.index: (note.beam.value, *(_at(flags, place, level) for level in range(2, flags[place] + 1)))
        for place, note in enumerate(group)
    }


def _at(flags: Sequence[int], place: int, level: int) -> str:
    before = place > 0 and flags[place - 1] >= level
    after = place + 1 < len(flags) and flags[place + 1] >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if place > 0 else "forward hook"

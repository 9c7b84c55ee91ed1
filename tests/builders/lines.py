"""Lines typed as note names, and random ones, for tests of the plan."""

import random
from collections.abc import Iterable, Sequence
from fractions import Fraction

from slurwright.horn import Horn
from slurwright.pitch import SoundingPitch
from slurwright.score import Line, Move, Sound

__all__ = ["PP", "random_line", "typed_line"]

PP = -3.0
"""[steps from mf]"""


def typed_line(
    names: str,
    *,
    dynamic: float = 0.0,
    seconds: float = 0.6,
    slurred: bool = True,
    jumps: Iterable[tuple[int, int]] = (),
) -> Line:
    """Make a line of sounding note names; ``jumps`` adds moves, each of which is made once.

    Args:
        names: parted by blanks.
        dynamic: of every note [steps from mf].
        seconds: length of every note [s].
        slurred: whether the moves of the chain are.
        jumps: (source, target) of slurred moves that do not lead to the written neighbour.

    """
    midis = [SoundingPitch.named(name).midi for name in names.split()]
    return _line(midis, [seconds] * len(midis), [dynamic] * len(midis), [slurred] * len(midis), list(jumps))


def random_line(
    horn: Horn, size: int, *, seed: int, dynamic: float | None = None, jumps: Iterable[tuple[int, int]] = ()
) -> Line:
    """Make a line of small steps and some leaps within a horn's comfortable range.

    Args:
        horn: gives the range.
        size: how many notes.
        seed: the same one gives the same line.
        dynamic: of every note; None for changing ones [steps from mf].
        jumps: (source, target) of further moves.

    """
    rng = random.Random(seed)
    low, high = (pitch.midi for pitch in horn.comfortable)
    playable = [midi for midi in range(low, high + 1) if midi in horn.normal]
    place = len(playable) // 2
    midis, seconds, dynamics = [], [], []
    level = 0.0
    for index in range(size):
        if index % 40 == 0:
            level = float(rng.choice([-3, -2, -1, 0, 0, 1, 2])) if dynamic is None else dynamic
        midis.append(playable[place])
        seconds.append(rng.choice([0.2, 0.3, 0.4, 0.6, 1.2]))
        dynamics.append(level)
        place = min(len(playable) - 1, max(0, place + rng.choice([-5, -4, -3, -2, -2, -1, -1, 1, 1, 2, 2, 3, 4, 5])))
    slurred = [rng.random() < 0.5 for _ in range(size)]
    return _line(midis, seconds, dynamics, slurred, list(jumps))


def _line(
    midis: Sequence[int],
    seconds: Sequence[float],
    dynamics: Sequence[float],
    slurred: Sequence[bool],
    jumps: Sequence[tuple[int, int]],
) -> Line:
    incoming = [target for _, target in jumps]
    sounds = tuple(
        Sound(
            index=index,
            notes=(index,),
            sounding=SoundingPitch.from_midi(midi),
            onset_quarter=Fraction(index),
            duration_quarter=Fraction(1),
            duration_s=seconds[index],
            dynamic=dynamics[index],
            times=1 + incoming.count(index),
        )
        for index, midi in enumerate(midis)
    )
    steps = [(index, index + 1, slurred[index]) for index in range(len(midis) - 1)]
    steps += [(source, target, True) for source, target in jumps]
    moves = tuple(
        Move(
            source=source,
            target=target,
            slurred=joined and midis[source] != midis[target],
            time_s=seconds[source],
            gap_s=0.0,
            dynamic=dynamics[target],
        )
        for source, target, joined in sorted(steps)
    )
    return Line(sounds, moves)

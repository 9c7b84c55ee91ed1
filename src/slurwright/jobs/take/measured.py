"""A measured take beside its part: all that reports, pages and files of a take are made from."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from slurwright.listen.take import TakeMeasure
from slurwright.pitch import A4_HZ
from slurwright.plan import Technique
from slurwright.plan.study import Study

__all__ = ["MeasuredTake"]


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredTake:
    """A take together with the part it is of."""

    study: Study
    """Of the part written out as it is played; its plan says which fingerings were asked for."""
    measure: TakeMeasure
    sounds: tuple[int, ...]
    """For each note of the passage its index into ``Line.sounds``."""
    techniques: Mapping[int, Technique] = field(default_factory=dict)
    """First note of a slur, as an index into the passage -> the technique tried there, as said or as planned; plain
    elsewhere."""
    a4_hz: float = A4_HZ
    """What the cents are counted from [Hz]."""

    def technique_at(self, first: int) -> Technique:
        """Say which technique was tried at a slur.

        Args:
            first: index of its first note into the passage [1].
        """
        return self.techniques.get(first, Technique.PLAIN)

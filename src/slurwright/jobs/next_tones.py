"""Which few notes a player should measure next, for all of their playing or for some parts."""

from collections import Counter
from collections.abc import Mapping, Sequence

from slurwright.horn.learnt import WayKey
from slurwright.horn.learnt.advise import Advice, next_notes, steady_ways
from slurwright.horn.learnt.learn import LearntHorn
from slurwright.plan.study import Study

__all__ = ["next_tones", "ways_of_studies"]


def ways_of_studies(studies: Sequence[Study]) -> Mapping[WayKey, float]:
    """Say which ways some parts use and how much each matters: once for each time that a note is played on it.

    What a weak slur could be refingered to matters too, half as much, because it is the next thing to be tried.

    Args:
        studies: the studied parts.
    """
    counted: Counter[WayKey] = Counter()
    for study in studies:
        for sound, way in zip(study.line.sounds, study.plan.ways, strict=True):
            counted[way.fingering, way.partial] += 2 * max(1, sound.times)
        for report in study.weak:
            for choice in report.choices:
                for way in choice.ways:
                    counted[way.fingering, way.partial] += 1
    return {way: count / 2 for way, count in sorted(counted.items())}


def next_tones(learnt: LearntHorn, studies: Sequence[Study], *, count: int) -> Advice:
    """Say which notes to measure next.

    Args:
        learnt: the horn as it is known now.
        studies: parts that it is to be known for; none takes every normal way of the comfortable range alike.
        count: how many notes [1].

    Raises:
        RequestError: there is nothing to choose from.
    """
    wanted = ways_of_studies(studies) if studies else dict.fromkeys(steady_ways(learnt.horn), 1.0)
    return next_notes(learnt, wanted, count=count)

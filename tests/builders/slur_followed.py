"""One slur as a follower hears it: two notes, the change some milliseconds off, or where another note came in."""

import numpy as np

from builders.slur_takes import SlurTake
from slurwright.listen.followed import Following, PlayedAs, PlayedNote

__all__ = ["slur_followed"]

_ONSET_SD_S = 0.012


def slur_followed(slur: SlurTake, *, seed: int) -> Following:
    """Follow a slur from its truth; where other notes sound between, every second change is set to the first of them.

    Args:
        slur: as it was played.
        seed: for how far the follower is off.
    """
    rng = np.random.default_rng([seed, 77])
    first, second = slur.take.truth.notes
    change = second.onset_s + float(rng.normal(0.0, _ONSET_SD_S))
    dwells = slur.truth.dwells
    if dwells and rng.random() < 0.5:
        change -= sum(dwell.length_s for dwell in dwells)
    return Following(
        (
            PlayedNote(first.onset_s, _ONSET_SD_S, change, first.hz, 0, PlayedAs.ASKED, joined_to_next=True),
            PlayedNote(change, _ONSET_SD_S, second.offset_s, second.hz, 1, PlayedAs.ASKED),
        ),
        (),
    )

"""The table of what practice is believed to do, and how a sheet is shaped; only values live here.

Each figure's place of origin stands beside it in the packaged table ``practice.toml``, the one source of the numbers.
"""

from dataclasses import dataclass

__all__ = ["GainTable", "PracticeTable", "ReturnTable", "ShapeTable", "TimeTable"]


@dataclass(frozen=True, slots=True)
class GainTable:
    """What tries do to a slur; logits are of the chance that it breaks."""

    each: float
    """What the first try of a day takes off while all is still to be gained [logit]."""
    most: float
    """What practice can take off altogether [logit]."""
    again: float
    """What each further try of the same day is worth beside the one before it [1]."""
    kept: float
    """Share of a day's gain that is still there on the next day [1]."""
    half_life_days: float
    """After how long half of what was kept is gone [d]."""
    differ: float
    """SD of the natural log of a slur's own pace [1]."""
    spread: float
    """How far a player's own slur lies from its prior, before anything is learnt of them: SD [logit]."""
    away_days: float
    """How far the concert is taken to be where no date is set [d]."""


@dataclass(frozen=True, slots=True)
class ReturnTable:
    """When a slur that holds comes back."""

    longest_days: float
    """It comes back after so long at the latest [d]."""
    share: float
    """Most that returns may take of the time for slurs [1]."""
    good_from: float
    """Share of good tries from which a day went well [1]."""
    rough_counts: float
    """What a rough try counts beside a good one [1]."""


@dataclass(frozen=True, slots=True)
class TimeTable:
    """What playing and resting take."""

    try_least_s: float
    """A single try takes at least so long [s]."""
    settle_s: float
    """Finding the place and reading it, before each slur [s]."""
    rest_each: float
    """Rest for each second of play [1]."""
    soft_high_rest_each: float
    """The same in soft high work [1]."""
    rest_least_s: float
    """No rest between two pieces of work is shorter [s]."""
    warm_up_share: float
    """Of the time there is [1]."""
    warm_up_least_s: float
    """Rest counted [s]."""
    warm_up_most_s: float
    lip_slurs_share: float
    """Of the time there is [1]."""
    lip_slurs_least_s: float
    """Rest counted [s]."""
    lip_slurs_most_s: float
    day_most_play_s: float
    """Playing beyond this on one day is spoken of [s]."""


@dataclass(frozen=True, slots=True)
class ShapeTable:
    """What goes on a sheet."""

    set_tries: float
    """Tries between two rests [1]."""
    most_tries: float
    """Of one slur on one day [1]."""
    most_slurs: float
    """Different slurs on one sheet [1]."""
    another_s: float
    """On a longer sheet one more for each so much time for slurs [s]."""
    least_risk: float
    """A slur below this is not practised for its own sake, 0..1 [1]."""
    soft_to: float
    """At this dynamic and below work is soft [steps from mf]."""
    high_from: float
    """From this height in the comfortable range work is high, 0..1 [1]."""
    ease_above: float
    """A slur whose risk is above this is tried louder and slower first, 0..1 [1]."""
    ease_tempo: float
    """How slow that is, beside the tempo asked for [1]."""
    ease_steps: float
    """How much louder that is at most [steps]."""
    passage_share: float
    """Share of the tries that are played in the passage [1]."""
    passage_below: float
    """A slur whose risk is above this is not yet played in its passage, 0..1 [1]."""
    rescue_above: float
    """A slur whose risk is above this has its rescue practised too, 0..1 [1]."""
    rescue_days: float
    """So near the concert and nearer rescues are practised [d]."""
    stuck_tries: float
    """After so many tries without getting better a slur is said to be stuck [1]."""
    stuck_pace: float
    """A slur whose pace is likely below this is said to be stuck [1]."""


@dataclass(frozen=True, slots=True)
class PracticeTable:
    """All of it."""

    gain: GainTable
    returns: ReturnTable
    time: TimeTable
    shape: ShapeTable

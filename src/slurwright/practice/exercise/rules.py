"""Figures by which exercises are made: tempos, how long to rest, how far the chain goes.

The packaged table ``exercises.toml`` holds the same numbers with their provenance beside them, and a test keeps the
two equal; a caller that has read the table passes it in.
"""

from dataclasses import dataclass

__all__ = ["ExerciseRules"]


@dataclass(frozen=True, slots=True)
class ExerciseRules:
    """What exercises are made by."""

    easy_qpm: float = 60.0
    """Tempo of the easiest lip slurs [quarters per minute]."""
    usual_qpm: float = 72.0
    """Tempo of those that move over more rungs [quarters per minute]."""
    slowest_qpm: float = 40.0
    """No tempo is slower than this [quarters per minute]."""
    quickest_qpm: float = 120.0
    """No lip slurs over the chain are quicker than this [quarters per minute]."""
    slow_share: float = 0.6
    """Part of its tempo at which a passage is practised first [1]."""
    links: float = 7.0
    """How many fingerings of the chain are played, the open one included [1]."""
    stray_cents: float = 20.0
    """Partials further from a semitone than this are passed over unless the slur itself lies on them [cents]."""
    soft_steps: float = -2.0
    """How soft the soft ones are at least: p [steps from mf]."""
    high_share: float = 0.75
    """Above this part of the range a note counts as high [1]."""
    rest_share: float = 1.0
    """How long to rest for every second played [1]."""
    tiring_rest_share: float = 1.5
    """The same after what is soft and high [1]."""
    least_rest_s: float = 15.0
    """No rest is shorter than this [s]."""
    two_notes_times: float = 4.0
    """How often the slur stands in an exercise on its two notes alone [1]."""
    passage_times: float = 2.0
    """How often the bars around the slur are played [1]."""

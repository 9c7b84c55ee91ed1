"""Slides: how far to draw each tuning slide, kick or hand slide, so that a set of notes is best in tune.

The values stand here. The verbs stand in their modules, because they need scipy and most commands do not:
`tune.slide_notes`, `tune.best_pulls`, `tune.cents_after`, and, without scipy, `moves.kicks`, `moves.hand_slide`.
"""

from slurwright.horn.slides.values import Aim, Kick, NoteChange, Pull, SlideAnswer, SlideMove, SlideNote, Summary

__all__ = ["Aim", "Kick", "NoteChange", "Pull", "SlideAnswer", "SlideMove", "SlideNote", "Summary"]

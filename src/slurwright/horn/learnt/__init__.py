"""Learnt: the player's own horn, from a catalogue model and a few steady tones.

The values stand here. The verbs stand in their modules, because they need numpy and most commands do not:
`learn.learn`, `learn.learn_more`, `predict.predict`, `predict.chart`, `predict.as_horn`, `advise.next_notes`.
"""

from slurwright.horn.learnt.values import Priors, Shares, Tendency, ToneReading, Verdict, WayKey

__all__ = ["Priors", "Shares", "Tendency", "ToneReading", "Verdict", "WayKey"]

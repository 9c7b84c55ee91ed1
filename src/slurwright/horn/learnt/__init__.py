"""Learnt: the player's own horn, from a catalogue model and a few steady tones."""

from slurwright.horn.learnt.learn import LearntHorn, Session, learn, learn_more
from slurwright.horn.learnt.predict import Joint, as_horn, joint, playable_ways, predict, tuning_ways
from slurwright.horn.learnt.values import Priors, Shares, Tendency, ToneReading, Verdict, WayKey

__all__ = [
    "Joint",
    "LearntHorn",
    "Priors",
    "Session",
    "Shares",
    "Tendency",
    "ToneReading",
    "Verdict",
    "WayKey",
    "as_horn",
    "joint",
    "learn",
    "learn_more",
    "playable_ways",
    "predict",
    "tuning_ways",
]

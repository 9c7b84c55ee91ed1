"""Synth: made-up takes with exact truth; knows nothing of how the listening is done.

The values of a script stand here; what needs arrays is imported from its module: ``rendering.render``,
``performing.perform``.
"""

from slurwright.synth.places import Colour, Place, Room
from slurwright.synth.script import (
    Attack,
    Breath,
    Choke,
    Dwell,
    Join,
    Note,
    Player,
    Rest,
    Retongue,
    Script,
    Shape,
    Slur,
    Standing,
    Tongue,
    Vibrato,
)
from slurwright.synth.voices import EUPHONIUM, FRENCH_HORN, TROMBONE, TRUMPET, TUBA, VOICES, Ripple, Voice

__all__ = [
    "EUPHONIUM",
    "FRENCH_HORN",
    "TROMBONE",
    "TRUMPET",
    "TUBA",
    "VOICES",
    "Attack",
    "Breath",
    "Choke",
    "Colour",
    "Dwell",
    "Join",
    "Note",
    "Place",
    "Player",
    "Rest",
    "Retongue",
    "Ripple",
    "Room",
    "Script",
    "Shape",
    "Slur",
    "Standing",
    "Tongue",
    "Vibrato",
    "Voice",
]

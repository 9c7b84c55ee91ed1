"""Horn: from what the player holds down down to the length of the tube and the pitches that it gives."""

from slurwright.horn.build import HornPlan, build_horn, fingerings_of, retuned, with_tendencies
from slurwright.horn.gaps import why_no_fingering
from slurwright.horn.model import Horn, HornKind, MovableSlide
from slurwright.horn.resonances import Reach, Resonance, settings_near
from slurwright.horn.setting import Setting

__all__ = [
    "Horn",
    "HornKind",
    "HornPlan",
    "MovableSlide",
    "Reach",
    "Resonance",
    "Setting",
    "build_horn",
    "fingerings_of",
    "retuned",
    "settings_near",
    "why_no_fingering",
    "with_tendencies",
]

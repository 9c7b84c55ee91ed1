"""How far a kick slide or a hand slide has to move to put one note right."""

from collections.abc import Mapping

from slurwright.errors import FingeringError
from slurwright.horn.model import Horn, HornKind
from slurwright.horn.pulls import cents_of_pull, pull_m
from slurwright.horn.setting import Setting
from slurwright.horn.slides.values import Kick, SlideMove

__all__ = ["acts_on", "hand_slide", "kicks"]

_CENTIMETRE = 0.01


def acts_on(slide: str, setting: Setting) -> bool:
    """Say whether a setting's air goes through a slide; the main slide is in all of them."""
    return slide == "main" or any(name == slide for name, _ in setting.pieces)


def _setting(horn: Horn, fingering: str) -> Setting:
    for setting in horn.settings:
        if setting.fingering == fingering:
            return setting
    allowed = ", ".join(setting.fingering for setting in horn.settings)
    raise FingeringError(f"no such fingering on {horn.name}", got=repr(fingering), allowed=allowed)


def kicks(horn: Horn, fingering: str, *, cents: float, set_mm: Mapping[str, float] | None = None) -> tuple[Kick, ...]:
    """Say what each kick slide in a setting can do for a note that is out of tune, most helpful first.

    Args:
        horn: the instrument.
        fingering: how the note is played.
        cents: how sharp the note is with the slides as they are set [cents].
        set_mm: how far slides were drawn before; None where they are at rest [mm].

    Raises:
        FingeringError: this horn has no such fingering.

    """
    setting = _setting(horn, fingering)
    drawn = set_mm or {}
    found = []
    for slide in horn.slides:
        if not slide.kick or not acts_on(slide.name, setting):
            continue
        at_m = drawn.get(slide.name, 0.0) / 1000.0
        wanted_m = pull_m(horn, setting, cents=cents)
        moved_m = min(max(wanted_m, -slide.in_m - at_m), slide.out_m - at_m)
        left = cents - cents_of_pull(horn, setting, drawn_m=moved_m)
        found.append(Kick(slide.name, 1000.0 * moved_m, left))
    return tuple(sorted(found, key=lambda kick: (round(abs(kick.left_cents), 6), abs(kick.drawn_mm))))


def hand_slide(horn: Horn, setting: Setting, *, cents: float) -> SlideMove:
    """Say how far a hand slide has to move for a note that is out of tune.

    Args:
        horn: an instrument with a hand slide.
        setting: where the slide is now.
        cents: how sharp the note is there [cents].

    Raises:
        FingeringError: this horn has no hand slide.

    """
    if horn.kind is not HornKind.SLIDE:
        raise FingeringError(f"no hand slide on {horn.name}", got=setting.fingering, allowed="its valves")
    wanted_m = pull_m(horn, setting, cents=cents)
    moved_m = min(max(wanted_m, -setting.slide_m), horn.longest_slide_m - setting.slide_m)
    each = cents_of_pull(horn, setting, drawn_m=_CENTIMETRE)
    return SlideMove(100.0 * moved_m, each, cents - cents_of_pull(horn, setting, drawn_m=moved_m))

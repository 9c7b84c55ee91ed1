"""Say in one plain sentence why a way lies where it lies, from the parts of its figure."""

import math
from collections.abc import Sequence

from slurwright.horn import Horn, HornKind, Resonance, Setting
from slurwright.horn.resonances import partial_cents
from slurwright.horn.tubing import Valve

__all__ = ["ordinal", "why_of"]

_NEGLIGIBLE_CENTS = 0.05
_HALF_WAY_CENTS = 60.0
"""How far a partial may lie from a semitone that it serves for; beyond it serves for the next one [cents]."""
_OFF_POSITION = 0.15
"""From how far off a whole position players speak of a raised or lowered one (common practice) [positions]."""
_SCHEME_WORDS = {
    "third-long-23": "third slide long so that 2-3 is right",
    "third-long-13": "third slide long so that 1-3 is right",
    "least-squares": "slides set for the least squared error",
    "minimax": "slides set for the least greatest error",
}


def ordinal(number: int) -> str:
    """Write a number as an ordinal: 1st, 2nd, 3rd, 4th.

    Args:
        number: from 1 [1].

    """
    tail = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{tail}"


def why_of(found: Resonance, horn: Horn) -> str:
    """Explain one way of sounding a note.

    Args:
        found: the way.
        horn: its tuning and what is known of it.

    """
    parts = _slide_parts(found) if horn.kind is HornKind.SLIDE else _valve_parts(found, horn)
    known = horn.tendencies.get((found.setting.fingering, found.partial), 0.0)
    if known:
        parts.append(f"this horn: {_off(known)}")
    return "; ".join(parts)


def _off(cents: float) -> str:
    """Write a deviation in words."""
    if abs(cents) < _NEGLIGIBLE_CENTS:
        return "in tune"
    return f"{abs(cents):.1f} cents {'sharp' if cents > 0 else 'flat'}"


def _partial_part(partial: int, cents: float) -> str:
    return f"{ordinal(partial)} partial: {_off(cents)}"


def _split(found: Resonance) -> tuple[float, float]:
    """Part a figure into the valves' cents and the partial's.

    Partials 11 and 13 lie near the middle between two semitones and serve for either, so the note decides: the
    semitone is taken that leaves the valves least out.
    """
    partial = partial_cents(found.partial)
    splits = [(found.cents_exact - cents, cents) for cents in (partial, partial - 100.0, partial + 100.0)]
    return min((split for split in splits if abs(split[1]) < _HALF_WAY_CENTS), key=lambda split: abs(split[0]))


def _valve_parts(found: Resonance, horn: Horn) -> list[str]:
    """Tell the valves' part, the slides' setting, and the partial's."""
    setting = found.setting
    valves_cents, partials_cents = _split(found)
    parts = []
    if setting.pressed - {setting.side}:
        parts.append(_valves_part(setting, horn, valves_cents))
    else:
        parts.append("open, thumb side" if setting.side else "open")
    known = horn.tendencies.get((setting.fingering, found.partial), 0.0)
    tuned = found.cents - known - found.cents_exact
    if abs(tuned) >= _NEGLIGIBLE_CENTS:
        words = _SCHEME_WORDS.get(horn.tuning, f"slides set {horn.tuning}")
        parts.append(f"{words}: {abs(tuned):.1f} {'higher' if tuned > 0 else 'lower'}")
    parts.append(_partial_part(found.partial, partials_cents))
    return parts


def _valves_part(setting: Setting, horn: Horn, cents: float) -> str:
    """Tell what the valves do, and the reason."""
    valves = [valve for valve in horn.tubing.valves if valve.name in setting.pressed]
    said = f"{setting.fingering} {'together' if len(valves) > 1 else 'alone'}: {_off(cents)}"
    reason = _reason(valves, horn, cents)
    return f"{said}, {reason}" if reason else said


def _reason(valves: Sequence[Valve], horn: Horn, cents: float) -> str:
    """Give the reason why valves are in tune together or are not; empty where there is nothing to say."""
    names = {valve.name for valve in valves}
    fitted = [valve for valve in valves if valve.cut_with]
    compensation = horn.tubing.compensation
    looped = compensation is not None and compensation.master in names and bool(names & set(compensation.through))
    in_tune = abs(cents) < _NEGLIGIBLE_CENTS
    if len(valves) == 1:
        return f"because it is cut to go with {fitted[0].cut_with}" if fitted and not in_tune else ""
    if in_tune:
        if looped:
            return "because the second loops make up the length"
        return f"because {fitted[0].name} is cut to go with {fitted[0].cut_with}" if fitted else ""
    if looped and compensation is not None:
        return f"because the second loops make up for valve {compensation.master} only"
    if cents > 0 and not fitted:
        return "because each slide was cut for the open horn"
    return f"because their tubes add up to {'less' if cents > 0 else 'more'} than this note needs"


def _slide_parts(found: Resonance) -> list[str]:
    """Tell where the slide is, what is left over, and the partial's part."""
    setting = found.setting
    if not found.at_slide_end:
        tuned = "in tune there"
    elif setting.slide_m > 0.0:
        tuned = f"{_off(found.cents)}, because the slide ends there"
    else:
        tuned = f"{_off(found.cents)}, because the slide cannot come in further"
    place = setting.fingering if found.at_slide_end else _place_words(setting)
    return [f"{place}: {tuned}", _partial_part(found.partial, partial_cents(found.partial))]


def _place_words(setting: Setting) -> str:
    """Name the place in positions of its own side; where it is well off a whole one say so: "raised 3, 2.8 cm in"."""
    closed = sum(length for name, length in setting.pieces if name != "hand slide")
    own = 1.0 + 12.0 * math.log2(setting.ratio / closed)
    whole = int(setting.fingering.removeprefix(setting.side))
    if abs(own - whole) <= _OFF_POSITION or setting.ratio == closed:
        return setting.fingering
    at_whole_m = setting.slide_m * (2.0 ** ((whole - 1) / 12.0) - 1.0) / (setting.ratio / closed - 1.0)
    moved_cm = abs(at_whole_m - setting.slide_m) * 100.0
    if own < whole:
        return f"raised {setting.fingering}, {moved_cm:.1f} cm in"
    return f"lowered {setting.fingering}, {moved_cm:.1f} cm out"

"""Which way of a note players are taught first, as far as a rule gives it.

Valves (derived; gives the fingering charts of three and four valves row by row): of the open partials of the
rule choose the one that the note lies least below, never with valve 3 without valve 1 or 2, and of the
fingerings that lower by that much the one least out of tune, flat counting double because a note is bent down
more easily than up. Below the 2-4 note of a four-valve horn without compensation this arithmetic leads by itself
to "one fingering further on", and leaves out the note for which the horn has no tube.

Hand slide (derived): the shortest slide that is in tune on any partial; a rotor only where the plain slide would
have to go to 6th position or beyond, or cannot play the note at all.

Where common practice departs from the rule the catalogue lists the note, and the list wins.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from slurwright.horn.setting import Setting
from slurwright.horn.slide import ClosedSide, slide_label
from slurwright.pitch import cents_of_ratio

__all__ = ["NormalRule", "normal_on_slide", "normal_on_valves"]

_SAME_CENTS = 1e-6
_NEAR_FLAT_CENTS = 20.0
_NEAR_SHARP_CENTS = 1.0
"""In tune enough on a slide to be taught: a 5th partial at the closed end is, a 7th is not (common practice)."""


@dataclass(frozen=True, slots=True)
class NormalRule:
    """What the rule may use, and what is listed beside it."""

    partials: tuple[int, ...] = (1, 2, 3, 4, 5, 6, 8, 10, 12, 16)
    """Open partials that notes are reached from."""
    among: tuple[str, ...] = ()
    """Valves that the rule may press; empty for all."""
    needs_company: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Valve -> valves of which one must be down with it."""
    most_sharp_cents: float = 90.0
    """A normal fingering may be so sharp, to be bent down or pulled [cents]."""
    most_flat_cents: float = 50.0
    """and so flat [cents]."""
    rotor_from_position: float = 5.5
    """On a slide, from where on a rotor saves the arm; 5.5 begins sixth position [1]."""
    listed: Mapping[int, tuple[str, int]] = field(default_factory=dict)
    """Sounding MIDI number -> (fingering, partial) where common practice departs from the rule."""


def normal_on_valves(
    settings: Sequence[Setting], rule: NormalRule, *, open_midi: int, midis: range
) -> dict[int, tuple[str, int]]:
    """Find the normal way of each note that has one.

    Args:
        settings: all settings of the horn; the rule itself uses the main side only, and exact lengths.
        rule: what may be used, and the exceptions.
        open_midi: key number of the open horn's first partial [semitones].
        midis: notes to look at [semitones].

    Returns:
        Sounding MIDI number to (fingering, partial); notes that nothing plays are left out.

    """
    lowered_by = [
        (setting, cents_of_ratio(setting.exact_ratio))
        for setting in settings
        if not setting.side and _allowed(setting, rule)
    ]
    normal: dict[int, tuple[str, int]] = {}
    for midi in midis:
        for partial, lowered in _from_nearest(rule.partials, midi - open_midi):
            best = _lowering(lowered_by, rule, lowered)
            if best is not None:
                normal[midi] = best.fingering, partial
                break
    return normal | {midi: way for midi, way in rule.listed.items() if midi in midis}


def _allowed(setting: Setting, rule: NormalRule) -> bool:
    """Say whether the rule may press these valves together."""
    if rule.among and not setting.pressed <= set(rule.among):
        return False
    return all(
        any(other in setting.pressed for other in company)
        for valve, company in rule.needs_company.items()
        if valve in setting.pressed
    )


def _from_nearest(partials: tuple[int, ...], above_open: int) -> Iterator[tuple[int, int]]:
    """Yield (partial, semitones to lower it by) from the least change on; lowering before raising."""
    lowered = [(partial, round(cents_of_ratio(partial) / 100.0) - above_open) for partial in partials]
    yield from sorted(lowered, key=lambda pair: (abs(pair[1]), pair[1] < 0))


def _lowering(lowered_by: Sequence[tuple[Setting, float]], rule: NormalRule, semitones: int) -> Setting | None:
    """Choose the setting that lowers by so many semitones least out of tune; None if none is near enough."""
    best: tuple[float, Setting] | None = None
    for setting, lowered_cents in lowered_by:
        sharp = 100.0 * semitones - lowered_cents
        if -rule.most_flat_cents <= sharp <= rule.most_sharp_cents:
            fault = sharp if sharp >= 0.0 else -2.0 * sharp
            if best is None or fault < best[0] - _SAME_CENTS:
                best = fault, setting
    return best[1] if best else None


def normal_on_slide(
    sides: Sequence[ClosedSide], rule: NormalRule, *, travel: float, open_midi: int, midis: range
) -> dict[int, tuple[str, int]]:
    """Find the normal way of each note on a hand slide that has one.

    Args:
        sides: every state of the rotors with the slide closed.
        rule: tolerances, and the exceptions.
        travel: tube that the slide adds at most, in open lengths [1].
        open_midi: key number of the plain tube's first partial [semitones].
        midis: notes to look at [semitones].

    Returns:
        Sounding MIDI number to (fingering, partial); notes that nothing plays are left out.

    """
    normal: dict[int, tuple[str, int]] = {}
    for midi in midis:
        places = tuple(_places(sides, rule, travel=travel, period=2.0 ** ((open_midi - midi) / 12.0)))
        near = [place for place in places if -_NEAR_FLAT_CENTS <= place.cents <= _NEAR_SHARP_CENTS] or places
        if near:
            normal[midi] = min(near, key=lambda place: _slide_order(place, rule)).way
    return normal | {midi: way for midi, way in rule.listed.items() if midi in midis}


@dataclass(frozen=True, slots=True)
class _Place:
    """A place of the slide that sounds a note, as far as the rule needs it."""

    way: tuple[str, int]
    position: float
    rotors: int
    cents: float


def _places(sides: Sequence[ClosedSide], rule: NormalRule, *, travel: float, period: float) -> Iterator[_Place]:
    """Yield each place that sounds a note of so many times the open horn's period within the rule's tolerance."""
    sharpest, flattest = 2.0 ** (-rule.most_sharp_cents / 1200.0), 2.0 ** (rule.most_flat_cents / 1200.0)
    for side in sides:
        shortest, longest = side.ratio / flattest, (side.ratio + travel) / sharpest
        for partial in rule.partials:
            wanted = partial * period
            if shortest <= wanted <= longest:
                added = min(max(wanted - side.ratio, 0.0), travel)
                position = 1.0 + 12.0 * math.log2(1.0 + added)
                cents = cents_of_ratio(wanted / (side.ratio + added))
                yield _Place((slide_label(side, added), partial), position, len(side.rotors), cents)


def _slide_order(place: _Place, rule: NormalRule) -> tuple[int, float, int]:
    """Order of places: plain and near first, then with rotors, then plain and far; the shortest slide in each."""
    plain = 2 if place.position >= rule.rotor_from_position else 0
    tier = 1 if place.rotors else plain
    return tier, round(place.position, 6), place.way[1]

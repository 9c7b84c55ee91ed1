"""Where a hand slide has to be for a length, and what the trade calls that place.

A slide that is out by e metres adds 2 e of tube. Position p of an open tube of effective length L lowers by
p - 1 semitones: e(p) = L (2^((p-1)/12) - 1) / 2 (derived). Each rotor makes the tube longer and so has longer
positions of its own: the F side of a tenor trombone counts its own 2nd where the first side counts 2.32.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from slurwright.horn.setting import Setting
from slurwright.horn.tubing import Tubing, exact_lengths, pieces_of, pressable, ratio_of

__all__ = [
    "LAST_POSITION",
    "ClosedSide",
    "closed_sides",
    "extension_m",
    "position_of",
    "slide_label",
    "slide_setting",
    "slide_settings",
]

LAST_POSITION = 7
"""Positions that the trade counts (common practice)."""


@dataclass(frozen=True, slots=True)
class ClosedSide:
    """One state of the rotors, with the slide closed."""

    rotors: frozenset[str]
    label: str
    """"" for the plain tube, "T" for the F side of a tenor."""
    pieces: tuple[tuple[str, float], ...]
    """Tubes as they are tuned, in open lengths [1]."""
    ratio: float
    """Length of all of them, in open lengths [1]."""
    exact_ratio: float
    """The same with every rotor exact [1]."""


def extension_m(position: float, tube_m: float) -> float:
    """How far the slide is out at a position [m].

    Args:
        position: real number from 1, closed, in positions of that tube [1].
        tube_m: effective length of the tube with the slide closed [m].

    """
    return float(0.5 * tube_m * (2.0 ** ((position - 1.0) / 12.0) - 1.0))


def position_of(extended_m: float, tube_m: float) -> float:
    """What position a slide is in, a real number from 1 [1].

    Args:
        extended_m: how far the slide is out of its closed position [m].
        tube_m: effective length of the tube with the slide closed [m].

    """
    return 1.0 + 12.0 * math.log2(1.0 + 2.0 * extended_m / tube_m)


def closed_sides(tubing: Tubing, lengths: Mapping[str, float]) -> tuple[ClosedSide, ...]:
    """Every state of the rotors with the slide closed, plain tube first.

    Args:
        tubing: the rotors, as valves.
        lengths: added length of each rotor as it is tuned, in open lengths [1].

    """
    exact = exact_lengths(tubing)
    sides = []
    for pressed in pressable(tubing):
        label = "".join(valve.name for valve in tubing.valves if valve.name in pressed)
        pieces = pieces_of(tubing, pressed, lengths=lengths)
        exact_ratio = ratio_of(pieces_of(tubing, pressed, lengths=exact))
        sides.append(ClosedSide(pressed, label, pieces, ratio_of(pieces), exact_ratio))
    return tuple(sides)


def slide_label(side: ClosedSide, added: float) -> str:
    """Name a place of the slide by the nearest whole position of its own side: "3", "T3".

    Args:
        side: state of the rotors.
        added: tube that the slide adds, in open lengths [1].

    """
    whole = 1 + round(12.0 * math.log2(1.0 + added / side.ratio))
    return f"{side.label}{min(whole, LAST_POSITION)}"


def slide_setting(side: ClosedSide, extended_m: float, open_length_m: float) -> Setting:
    """Say what a slide makes at a place.

    Args:
        side: state of the rotors.
        extended_m: how far the slide is out of its closed position [m].
        open_length_m: effective length of the plain tube, slide closed [m].

    """
    added = 2.0 * extended_m / open_length_m
    pieces = side.pieces if added == 0.0 else (*side.pieces, ("hand slide", added))
    return Setting(
        fingering=slide_label(side, added),
        pressed=side.rotors,
        ratio=side.ratio + added,
        exact_ratio=side.exact_ratio + added,
        slide_m=extended_m,
        slide_position=position_of(extended_m, open_length_m),
        side=side.label,
        pieces=pieces,
    )


def slide_settings(
    tubing: Tubing, lengths: Mapping[str, float], *, open_length_m: float, travel_m: float
) -> tuple[Setting, ...]:
    """Every whole position of every state of the rotors, as far as the slide goes.

    Args:
        tubing: the rotors, as valves.
        lengths: added length of each rotor as it is tuned, in open lengths [1].
        open_length_m: effective length of the plain tube, slide closed [m].
        travel_m: how far the slide goes out [m].

    """
    settings: dict[str, Setting] = {}
    for side in closed_sides(tubing, lengths):
        for position in range(1, LAST_POSITION + 1):
            place_m = min(extension_m(position, side.ratio * open_length_m), travel_m)
            setting = slide_setting(side, place_m, open_length_m)
            settings.setdefault(setting.fingering, setting)
    return tuple(settings.values())

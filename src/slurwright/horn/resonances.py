"""Which air columns sound a note, on which partial, and how far out.

Partial n of a column whose length is R open lengths sounds n f1 / R; f1 is the open horn's first partial at
its nominal pitch in equal temperament, so that every figure is that of an ideal horn in tune with A4 plus what
is known of single ways. On a slide the place is computed that tunes the partial exactly; where the slide
cannot go so far the nearest end is taken and the cents that are left over are told.
"""

from dataclasses import dataclass

from slurwright.horn.model import Horn, HornKind
from slurwright.horn.setting import Setting
from slurwright.horn.slide import closed_sides, slide_setting
from slurwright.horn.tunings import tuned_lengths
from slurwright.pitch import A4_HZ, cents_of_ratio, hz_of_midi

__all__ = ["Reach", "Resonance", "every_place", "partial_cents", "resonance_cents", "series_hz", "settings_near"]


_PLACES = 9
"""Decimal places of a cent that are kept, so that a note in tune reads 0 and not a rounding error."""
_FAR_CENTS = 200.0
"""Nothing further out than two semitones is looked at [cents]."""
_FAR = 2.0 ** (-_FAR_CENTS / 1200.0)
"""The same as a ratio [1]."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far from its place a way may lie to be thought of at all.

    Common practice: the lips bend a note about a semitone down and much less up, but little more than half of that
    is of use in playing, so ways further out are left away. The way that is normal for a note is always kept. Nothing
    further out than two semitones is ever looked at.
    """

    highest_partial: int = 16
    """[1]"""
    sharp_cents: float = 60.0
    """How sharp a way may be, to be lipped down [cents]."""
    flat_cents: float = 50.0
    """How flat a way may be, to be lipped up [cents]."""


@dataclass(frozen=True, slots=True)
class Resonance:
    """One air column on one partial, near a wanted note."""

    setting: Setting
    partial: int
    cents: float
    """As this horn is tuned, with what is known of this way, + sharp [cents]."""
    cents_exact: float
    """With every valve exact alone and nothing known of the horn, + sharp [cents]."""
    at_slide_end: bool = False
    """True if a hand slide cannot go where this note would be in tune."""


def partial_cents(partial: int) -> float:
    """How far a partial lies from the nearest semitone above the first partial [cents].

    Args:
        partial: number, from 1 [1].

    """
    cents = cents_of_ratio(partial)
    return cents - 100.0 * round(cents / 100.0)


def resonance_cents(horn: Horn, ratio: float, *, partial: int, midi: float) -> float:
    """How far a partial of an air column lies from a note, + sharp [cents].

    Args:
        horn: gives the open horn's pitch.
        ratio: length of the column in open lengths [1].
        partial: number, from 1 [1].
        midi: wanted note at concert pitch [semitones].

    """
    return _cents_above(100.0 * (horn.open_pitch.midi - midi), partial / ratio)


def _cents_above(pedal_cents: float, ratio: float) -> float:
    """Cents of a resonance, given those of the open horn's first partial and how many times higher it sounds."""
    return round(cents_of_ratio(ratio) + pedal_cents, _PLACES) + 0.0


def settings_near(horn: Horn, midi: int, reach: Reach) -> tuple[Resonance, ...]:
    """Find every (setting, partial) that sounds a note within reach, the normal one always.

    Args:
        horn: the instrument.
        midi: wanted note at concert pitch [semitones].
        reach: how far out a way may lie.

    """
    normal = horn.normal.get(midi)
    highest = max(reach.highest_partial, normal[1] if normal else 1)
    return tuple(
        found
        for found in every_place(horn, midi, highest)
        if (-reach.flat_cents <= found.cents <= reach.sharp_cents and found.partial <= reach.highest_partial)
        or (found.setting.fingering, found.partial) == normal
    )


def every_place(horn: Horn, midi: int, highest_partial: int) -> tuple[Resonance, ...]:
    """Find every (setting, partial) that comes within two semitones of a note.

    Args:
        horn: the instrument.
        midi: wanted note at concert pitch [semitones].
        highest_partial: where to stop [1].

    """
    find = _on_slide if horn.kind is HornKind.SLIDE else _on_valves
    return tuple(find(horn, midi, highest_partial))


def _on_valves(horn: Horn, midi: int, highest: int) -> list[Resonance]:
    """Compute all partials of all settings around a note."""
    found = []
    pedal_cents = 100.0 * (horn.open_pitch.midi - midi)
    wanted = 2.0 ** (-pedal_cents / 1200.0)
    for setting in horn.settings:
        nearest = round(setting.ratio * wanted)
        for partial in range(max(1, nearest - 1), min(highest, nearest + 1) + 1):
            cents = _cents_above(pedal_cents, partial / setting.ratio)
            cents += horn.tendencies.get((setting.fingering, partial), 0.0)
            if abs(cents) > _FAR_CENTS:
                continue
            found.append(Resonance(setting, partial, cents, _cents_above(pedal_cents, partial / setting.exact_ratio)))
    return found


def _on_slide(horn: Horn, midi: int, highest: int) -> list[Resonance]:
    """Place the slide for every partial of every state of the rotors."""
    found = []
    travel = 2.0 * horn.longest_slide_m / horn.open_length_m
    for side in closed_sides(horn.tubing, tuned_lengths(horn.tubing, horn.tuning)):
        closed = side.ratio
        for partial in range(1, highest + 1):
            wanted = partial * 2.0 ** ((horn.open_pitch.midi - midi) / 12.0)
            if not closed * _FAR <= wanted <= (closed + travel) / _FAR:
                continue
            place_m = _placed(horn, wanted - closed)
            known = horn.tendencies.get((slide_setting(side, place_m, horn.open_length_m).fingering, partial), 0.0)
            if known:
                place_m = _placed(horn, wanted * 2.0 ** (known / 1200.0) - closed)
            setting = slide_setting(side, place_m, horn.open_length_m)
            cents = resonance_cents(horn, setting.ratio, partial=partial, midi=midi) + known
            exact = resonance_cents(horn, setting.exact_ratio, partial=partial, midi=midi)
            at_end = abs(cents) > 1e-9
            found.append(Resonance(setting, partial, cents if at_end else 0.0, exact, at_slide_end=at_end))
    return found


def _placed(horn: Horn, added: float) -> float:
    """Where a slide has to be for an added length in open lengths, as far as it can go [m]."""
    return min(max(0.5 * added * horn.open_length_m, 0.0), horn.longest_slide_m)


def series_hz(horn: Horn, setting: Setting, *, highest_partial: int = 16, a4_hz: float = A4_HZ) -> tuple[float, ...]:
    """Say what an air column sounds, partial 1 first, with what is known of this horn.

    Args:
        horn: the instrument.
        setting: one of its settings.
        highest_partial: where to stop [1].
        a4_hz: to what the horn is tuned [Hz].

    Returns:
        One frequency a partial [Hz].
    """
    open_hz = hz_of_midi(horn.open_pitch.midi, a4_hz)
    return tuple(
        open_hz * partial / setting.ratio * 2.0 ** (horn.tendencies.get((setting.fingering, partial), 0.0) / 1200.0)
        for partial in range(1, highest_partial + 1)
    )

"""Why no fingering of a horn plays a note, in plain words."""

from slurwright.horn.model import Horn, HornKind
from slurwright.pitch import SoundingPitch, cents_of_ratio

__all__ = ["why_no_fingering"]


def why_no_fingering(horn: Horn, sounding: SoundingPitch) -> str:
    """Explain why a note cannot be had from any fingering.

    Args:
        horn: the instrument.
        sounding: a note at concert pitch that it has no way for.

    """
    low, high = horn.possible
    if sounding.midi > high.midi:
        return f"{sounding} lies above {high}, the highest note taken as possible on {horn.name}"
    if sounding.midi < low.midi:
        return f"{sounding} lies below {low}, the lowest note taken as possible on {horn.name}"
    return _gap(horn, sounding)


def _gap(horn: Horn, sounding: SoundingPitch) -> str:
    """Explain a gap between two neighbouring partials of the open horn."""
    longest = max(setting.exact_ratio for setting in horn.settings)
    lowered = cents_of_ratio(longest) / 100.0
    above = sounding.midi - horn.open_pitch.midi
    partial = next(n for n in range(1, 33) if cents_of_ratio(n) / 100.0 > above)
    wanted = cents_of_ratio(partial) / 100.0 - above
    device = "the slide with all its rotors lowers" if horn.tubing.valves else "the slide lowers"
    device = device if horn.kind is HornKind.SLIDE else "all the valves together lower"
    said = f"{sounding} lies {wanted:.1f} semitones below partial {partial} of the open horn"
    if wanted > lowered:
        return f"{said}, but {device} it by {lowered:.1f} at most; partial {partial - 1} lies below the note"
    return f"{said}, and no combination of tubes comes near enough to it"

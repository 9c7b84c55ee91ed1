"""Make a horn from its description, tune it otherwise, or add what is known of single ways."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from slurwright.errors import FingeringError
from slurwright.horn.model import Horn, HornKind, MovableSlide
from slurwright.horn.normal import NormalRule, SlidePlace, normal_on_slide, normal_on_valves
from slurwright.horn.resonances import every_place
from slurwright.horn.setting import Setting
from slurwright.horn.slide import slide_settings
from slurwright.horn.tubing import Tubing, valved_settings
from slurwright.horn.tunings import tuned_lengths
from slurwright.pitch import Reading, SoundingPitch, hz_of_midi

__all__ = ["HornPlan", "build_horn", "fingerings_of", "retuned", "with_tendencies"]


@dataclass(frozen=True, slots=True)
class HornPlan:
    """All that a catalogue says about one model."""

    id: str
    name: str
    kind: HornKind
    open_pitch: SoundingPitch
    air_m_s: float
    """Speed of sound for which lengths are worked out [m/s]."""
    tubing: Tubing
    rule: NormalRule
    readings: tuple[Reading, ...]
    comfortable: tuple[SoundingPitch, SoundingPitch]
    possible: tuple[SoundingPitch, SoundingPitch]
    tuning: str
    travel_m: float = 0.0
    """How far a hand slide goes out [m]."""
    slides: tuple[MovableSlide, ...] = field(default=())


def build_horn(plan: HornPlan, *, tuning: str | None = None) -> Horn:
    """Make the horn that a catalogue describes.

    Args:
        plan: the description.
        tuning: scheme of the valve slides; None takes the usual one.

    Raises:
        HornError: no such scheme, or it does not suit this horn.

    """
    open_midi = plan.open_pitch.midi
    scheme = tuning or plan.tuning
    length_m = plan.air_m_s / (2.0 * hz_of_midi(open_midi))
    midis = range(plan.possible[0].midi, plan.possible[1].midi + 1)
    horn = Horn(
        id=plan.id,
        name=plan.name,
        kind=plan.kind,
        open_pitch=plan.open_pitch,
        open_length_m=length_m,
        settings=_settings(plan.kind, plan.tubing, scheme=scheme, length_m=length_m, travel_m=plan.travel_m),
        normal={},
        readings=plan.readings,
        comfortable=plan.comfortable,
        possible=plan.possible,
        tuning=scheme,
        longest_slide_m=plan.travel_m,
        tubing=plan.tubing,
        slides=plan.slides,
    )
    if plan.kind is HornKind.SLIDE:
        normal = normal_on_slide(plan.rule, {midi: _places(horn, plan.rule, midi) for midi in midis})
    else:
        normal = normal_on_valves(plan.tubing, plan.rule, open_midi=open_midi, midis=midis)
    gaps = tuple(midi for midi in midis if midi not in normal)
    return replace(horn, normal=dict(sorted(normal.items())), gaps=gaps)


def _settings(
    kind: HornKind, tubing: Tubing, *, scheme: str, length_m: float, travel_m: float
) -> tuple[Setting, ...]:
    """Make the settings of either kind of horn."""
    lengths = tuned_lengths(tubing, scheme)
    if kind is HornKind.SLIDE:
        return slide_settings(tubing, lengths, open_length_m=length_m, travel_m=travel_m)
    return valved_settings(tubing, lengths)


def _places(horn: Horn, rule: NormalRule, midi: int) -> tuple[SlidePlace, ...]:
    """List where a slide sounds a note, for the rule of normal ways."""
    return tuple(
        SlidePlace(
            (found.setting.fingering, found.partial),
            found.setting.slide_position or 1.0,
            len(found.setting.pressed),
            found.cents,
        )
        for found in every_place(horn, midi, max(rule.partials))
        if found.partial in rule.partials
    )


def retuned(horn: Horn, scheme: str) -> Horn:
    """Set the valve slides of a horn by another scheme.

    Args:
        horn: stays as it is; a new one is given.
        scheme: one of `tunings.SCHEMES`.

    Raises:
        HornError: no such scheme, or it does not suit this horn.

    """
    settings = _settings(
        horn.kind, horn.tubing, scheme=scheme, length_m=horn.open_length_m, travel_m=horn.longest_slide_m
    )
    return replace(horn, settings=settings, tuning=scheme)


def fingerings_of(horn: Horn) -> tuple[str, ...]:
    """List the labels of all fingerings (or whole positions) of a horn."""
    return tuple(setting.fingering for setting in horn.settings)


def with_tendencies(
    horn: Horn,
    tendencies: Mapping[tuple[str, int], float],
    *,
    spreads: Mapping[tuple[str, int], float] | None = None,
) -> Horn:
    """Add what is known of single ways, beyond what the lengths say.

    Args:
        horn: stays as it is; a new one is given.
        tendencies: (fingering, partial) -> cents to be added; replaces what was known of the same way [cents].
        spreads: (fingering, partial) -> standard deviation of what is known; None leaves the priors [cents].

    Raises:
        FingeringError: a fingering that this horn does not have.

    """
    known = set(fingerings_of(horn))
    for fingering, _ in (*tendencies, *(spreads or {})):
        if fingering not in known:
            raise FingeringError(
                f"no such fingering on {horn.name}", got=repr(fingering), allowed=", ".join(fingerings_of(horn))
            )
    return replace(
        horn,
        tendencies={**horn.tendencies, **tendencies},
        spreads={**horn.spreads, **(spreads or {})},
    )

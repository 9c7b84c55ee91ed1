"""Make a horn from its description, tune it otherwise, or add what is known of single ways."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from slurwright.errors import Fault, FingeringError, HornError
from slurwright.horn.model import Horn, HornKind, MovableSlide
from slurwright.horn.normal import NormalRule, normal_on_slide, normal_on_valves
from slurwright.horn.resonances import resonance_cents
from slurwright.horn.setting import Setting
from slurwright.horn.slide import closed_sides, slide_settings
from slurwright.horn.tubing import Tubing, exact_lengths, valved_settings
from slurwright.horn.tunings import tuned_lengths
from slurwright.pitch import Reading, SoundingPitch, hz_of_midi

__all__ = ["AlternateRule", "HornPlan", "build_horn", "fingerings_of", "retuned", "with_tendencies"]

_SEMITONE_CENTS = 100.0


@dataclass(frozen=True, slots=True)
class AlternateRule:
    """Which alternates players learn first, by the normal way that they stand in for."""

    same_partial: tuple[tuple[str, str], ...] = ()
    """(normal fingering, alternate), whatever the partial."""
    other_partial: tuple[tuple[tuple[str, int], tuple[str, int]], ...] = ()
    """(normal way, alternate way), each (fingering, partial)."""
    listed: Mapping[int, tuple[tuple[str, int], ...]] = field(default_factory=dict)
    """Sounding MIDI number -> alternate ways of that note alone."""


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
    slides: tuple[MovableSlide, ...] = ()
    alternates: AlternateRule = field(default_factory=AlternateRule)


def build_horn(plan: HornPlan, *, tuning: str | None = None) -> Horn:
    """Make the horn that a catalogue describes.

    Args:
        plan: the description.
        tuning: scheme of the valve slides; None takes the usual one.

    Raises:
        HornError: no such scheme, it does not suit this horn, or the description contradicts itself.

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
        sides = closed_sides(plan.tubing, exact_lengths(plan.tubing))
        travel = 2.0 * plan.travel_m / length_m
        normal = normal_on_slide(sides, plan.rule, travel=travel, open_midi=open_midi, midis=midis)
    else:
        normal = normal_on_valves(horn.settings, plan.rule, open_midi=open_midi, midis=midis)
    horn = replace(
        horn,
        normal=dict(sorted(normal.items())),
        alternates=_alternates(normal, plan.alternates),
        gaps=tuple(midi for midi in midis if midi not in normal),
    )
    faults = _contradictions(horn, plan)
    if faults:
        raise HornError(faults=faults)
    return horn


def _settings(
    kind: HornKind, tubing: Tubing, *, scheme: str, length_m: float, travel_m: float
) -> tuple[Setting, ...]:
    """Make the settings of either kind of horn."""
    lengths = tuned_lengths(tubing, scheme)
    if kind is HornKind.SLIDE:
        return slide_settings(tubing, lengths, open_length_m=length_m, travel_m=travel_m)
    return valved_settings(tubing, lengths)


def _alternates(normal: Mapping[int, tuple[str, int]], rule: AlternateRule) -> dict[int, tuple[tuple[str, int], ...]]:
    """Apply the rule of alternates to each normal way."""
    alternates: dict[int, tuple[tuple[str, int], ...]] = {}
    for midi, way in normal.items():
        same = tuple((other, way[1]) for fingering, other in rule.same_partial if fingering == way[0])
        moved = tuple(other for taught, other in rule.other_partial if taught == way)
        known = same + moved + rule.listed.get(midi, ())
        if known:
            alternates[midi] = known
    return alternates


def _contradictions(horn: Horn, plan: HornPlan) -> tuple[Fault, ...]:
    """Check that everything listed exists on this horn and sounds what it is listed for."""
    faults = []
    ratios = {setting.fingering: setting.exact_ratio for setting in horn.settings}
    listed = [(midi, way) for midi, way in plan.rule.listed.items()]
    listed += [(midi, way) for midi, ways in plan.alternates.listed.items() for way in ways]
    for midi, (fingering, partial) in listed:
        where = f"{horn.id}, {SoundingPitch.from_midi(midi)}"
        if fingering not in ratios:
            faults.append(Fault("a listed fingering that this horn lacks", got=fingering, where=where))
        elif abs(resonance_cents(horn, ratios[fingering], partial=partial, midi=midi)) >= _SEMITONE_CENTS:
            faults.append(
                Fault("a listed way that sounds another note", got=f"{fingering} on {partial}", where=where)
            )
    tubes = {"main"} | {name for setting in horn.settings for name, _ in setting.pieces}
    faults += [
        Fault("a tuning slide on a tube that this horn lacks", got=slide.name, where=horn.id)
        for slide in horn.slides
        if slide.name not in tubes
    ]
    return tuple(faults)


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

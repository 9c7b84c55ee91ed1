"""What goes in and what comes out when a horn is learnt: readings, priors, verdicts and tendencies as values."""

from dataclasses import dataclass
from typing import TypeAlias

from slurwright.pitch import SoundingPitch

__all__ = ["Priors", "Shares", "Tendency", "ToneReading", "Verdict", "WayKey"]

WayKey: TypeAlias = tuple[str, int]
"""A way as this room names it: (fingering, partial)."""


@dataclass(frozen=True, slots=True)
class ToneReading:
    """One steady tone as it was measured on the player's horn."""

    sounding: SoundingPitch
    """The note that was meant, at concert pitch."""
    fingering: str
    partial: int
    cents: float
    """Where it sounded against equal temperament, + sharp [cents]."""
    session: str
    """Which sitting it belongs to: readings of one session share the air and the main slide."""
    dynamic: float = 0.0
    """How loud it was played [steps from mf]."""
    temperature_c: float | None = None
    """Temperature of the air in the horn where it is known [degC]."""
    sd_cents: float = 0.0
    """What the measurement itself is unsure of, beside the player's own scatter [cents]."""


@dataclass(frozen=True, slots=True)
class Priors:
    """What is believed of any horn before a note of it is heard; standard deviations unless named otherwise.

    The sizes of most parts are themselves uncertain: each is learnt along with the horn, from `trust` on.
    """

    smooth_sd_cents: float
    """Slow part of the residual length, as cents on the open horn [cents]."""
    smooth_octaves: float
    """Distance over which the slow part forgets itself [octaves]."""
    fine_sd_cents: float
    """Fine part of the residual length, as cents on the open horn [cents]."""
    fine_partials: float
    """Distance over which the fine part forgets itself, in steps of the open horn's series [partials]."""
    number_sd_cents: float
    """Part of a partial's tendency that stays with its number whatever the length [cents]."""
    piece_sd_cents: float
    """A valve's own length, as cents when it is used alone [cents]."""
    loop_sd_cents: float
    """A compensating loop's own length, as cents when its valves are used together [cents]."""
    side_sd_cents: float
    """Tuning of the second side of a double horn, of a rotor, against the main side [cents]."""
    stretch_sd: float
    """All added tube alike longer or shorter than the catalogue says [1]."""
    wall_sd: float
    """How much longer added tube acts low down than high up, from friction at its wall [1]."""
    setting_sd_cents: float
    """What a combination of valves does beyond its lengths, in all its partials alike [cents]."""
    position_sd_cents: float
    """How well a position of a hand slide is placed [cents]."""
    way_sd_cents: float
    """What is left for each way alone [cents]."""
    pedal_sd_cents: float
    """What is left for each way on partial 1, where no resonance stands at the pitch [cents]."""
    air_sd_cents: float
    """A session's air, the same in all ways, where its temperature is not known [cents]."""
    known_air_sd_cents: float
    """The same where the temperature is known [cents]."""
    main_slide_sd_cents: float
    """A session's main slide, as cents on the open horn [cents]."""
    dynamic_sd_cents: float
    """This player's rise or fall with loudness [cents per step]."""
    reading_sd_cents: float
    """One reading of a steady tone [cents]."""
    slip_chance: float
    """Chance that a reading is not of the way it is named for: wrong partial, cracked note [1]."""
    slip_range_cents: float
    """Width over which such a reading may fall with equal chance [cents]."""
    trust: float
    """How many well-determined figures would weigh as much as the prior in learning the size of a part."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of one reading."""

    index: int
    """Place among the readings, from 0."""
    chance_good: float
    """Chance that it is a true reading of its way, 0..1 [1]."""
    used: bool
    """False where that chance is below one half."""
    reason: str
    """One sentence where it was set aside; empty where it was used."""


@dataclass(frozen=True, slots=True)
class Shares:
    """Where the knowledge of one way comes from: parts of its prior variance, together 1."""

    measured: float
    """Taken away by readings of this very way [1]."""
    inferred: float
    """Taken away by readings of other ways [1]."""
    prior: float
    """Still standing [1]."""


@dataclass(frozen=True, slots=True)
class Tendency:
    """Where one way sits on this horn, and how well that is known."""

    mean_cents: float
    """Against equal temperament, + sharp [cents]."""
    sd_cents: float
    low_cents: float
    """Lower end of the interval that holds it in nine cases of ten [cents]."""
    high_cents: float
    """Upper end of the same interval [cents]."""
    shares: Shares
    readings: int
    """How many readings of this very way were used."""

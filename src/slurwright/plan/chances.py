"""The table of priors: how likely it is that a note is in tune, a slur speaks, and the fingers make a change.

Only values live here. Each figure's place of origin stands beside it in the packaged table ``chances.toml``, which
is the one source of the numbers; none is repeated in code. Figures "in logits" add up to the logit of a chance of
failing, ``ln(p / (1 - p))``: a step of +0.7 about doubles a small risk. Softness and loudness are counted in steps of
the dynamic marks from mf.

The formulas that use them are in `intune`, `speaking` and `fingers`; each says its own.
"""

from dataclasses import dataclass

__all__ = ["Chances", "FingerChances", "SlideChances", "SlurChances", "TechniqueChances", "TuneChances"]


@dataclass(frozen=True, slots=True)
class SlurChances:
    """What makes a slur on valves break."""

    lip: float
    """A lip slur up a fourth, mf, nine-foot tube, unhurried [logit]."""
    each_gap: float
    """For each 100 cents by which the two partials lie further apart than a fourth [logit]."""
    each_interval: float
    """For each 100 cents by which the two notes lie further apart than a fourth [logit]."""
    each_skipped: float
    """For each partial that is passed over on the way [logit]."""
    close_below_cents: float
    """Partials closer than this can be mistaken for one another [cents]."""
    each_closer: float
    """For each 100 cents by which they are closer than that [logit]."""
    each_softer: float
    """For each step below mf [logit]."""
    each_louder: float
    """For each step above mf, as a gain [logit]."""
    loudest: float
    """Steps above mf after which playing louder helps no more [steps]."""
    down: float
    """For going down: relaxing is harder to control than adding effort [logit]."""
    each_doubling: float
    """For each doubling of the tube against nine feet [logit]."""
    usual_trip_s: float
    """Sound's round trip in the open nine-foot tube [s]."""
    settle_trips: float
    """Round trips that a change of partial needs to settle [1]."""
    hurry: float
    """Times the share of the shorter note that settling takes [logit]."""
    cover: float
    """What valves that move during the change take off the risk [logit]."""
    valve: float
    """A slur that stays on its partial, mf [logit]."""
    valve_each_softer: float
    """The same for each step below mf [logit]."""


@dataclass(frozen=True, slots=True)
class SlideChances:
    """What differs on a hand slide."""

    smear: float
    """A plain slur on one partial is heard to smear, slide closed by a whole step [logit]."""
    smear_usual_m: float
    """How far that moves the slide [m]."""
    each_dm: float
    """For each tenth of a metre more [logit]."""
    tongued: float
    """The same slur with a legato tongue, mf [logit]."""
    tongued_each_softer: float
    """For each step below mf [logit]."""
    natural: float
    """What is taken off the risk of crossing a partial, beside a lip slur on valves [logit]."""
    cover: float
    """What a slide that moves during the change takes off as well [logit]."""
    crossing_each_dm: float
    """For each tenth of a metre that the slide moves while a partial is crossed [logit]."""
    same_place_m: float
    """Places of the slide closer than this are the same [m]."""


@dataclass(frozen=True, slots=True)
class TechniqueChances:
    """What a technique does at a slur, and how far a player commands it."""

    tongue_up: float
    """What a legato tongue takes off the risk going up [logit]."""
    tongue_down: float
    """The same going down [logit]."""
    half_valve_up: float
    """What a quick half-valve takes off the risk of a lip slur going up [logit]."""
    half_valve_down: float
    """The same going down [logit]."""
    tongue_known: float
    """Chance that the legato tongue comes as meant [1]."""
    half_valve_known: float
    """Chance that the half-valve comes as meant, beside its finger movement [1]."""
    half_valve_moves: float
    """Finger movements that it counts for [1]."""


@dataclass(frozen=True, slots=True)
class FingerChances:
    """What makes the fingers, the thumb or the slide arm miss a change."""

    valve: float
    """Any change of valves, unhurried, before the rest [logit]."""
    each_moved: float
    """For each finger that moves [logit]."""
    each_contrary: float
    """For each finger that comes up while another goes down [logit]."""
    thumb: float
    """If the thumb has to move as well [logit]."""
    need_s: float
    """Time that a change takes [s]."""
    need_each_moved_s: float
    """The same for each finger that moves [s]."""
    hurry: float
    """Times the share of the time there is that the change needs [logit]."""
    slide: float
    """Any move of the slide, unhurried, before the rest [logit]."""
    slide_each_dm: float
    """For each tenth of a metre it moves [logit]."""
    slide_need_s: float
    """Time that it takes [s]."""
    slide_need_each_dm_s: float
    """The same for each tenth of a metre [s]."""
    normal: float
    """Chance that the normal way comes when the note does [1]."""
    departing: float
    """Chance that a player remembers, at the right moment, to leave the normal way; beside how usual the other is
    [1]."""


@dataclass(frozen=True, slots=True)
class TuneChances:
    """What spoils a note's pitch or its evenness."""

    noticed_cents: float
    """What a listener notices on a long note [cents]."""
    lipped_down_cents: float
    """How far a sharp note can be lipped down without spoiling its tone [cents]."""
    lipped_up_cents: float
    """How far a flat note can be lipped up without spoiling its tone [cents]."""
    edge_cents: float
    """How blurred these limits are, as a standard deviation [cents]."""
    spoils: float
    """Chance that a note outside these limits spoils the performance for somebody who listens [1]."""
    short_s: float
    """A note of this length is noticed half as sharply as a long one [s]."""
    even_each_semitone: float
    """Factor on the chance that a note sounds even, for each semitone of tube more than its normal way has [1]."""
    even_each_rung: float
    """The same for each partial away from that of the normal way [1]."""


@dataclass(frozen=True, slots=True)
class Chances:
    """Everything that the plan believes before anything is learnt of its player."""

    slur: SlurChances
    slide: SlideChances
    technique: TechniqueChances
    fingers: FingerChances
    tune: TuneChances
    weak_above: float
    """Break risk above which a slur is called weak unless the player says otherwise, 0..1."""

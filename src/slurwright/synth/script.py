"""What is played in a made-up take: notes, how each is joined to the next, how unsteady the player is."""

from dataclasses import dataclass
from enum import Enum

from slurwright.synth.voices import EUPHONIUM, Voice

__all__ = [
    "Attack",
    "Breath",
    "Choke",
    "Dwell",
    "Join",
    "Note",
    "Player",
    "Rest",
    "Retongue",
    "Script",
    "Shape",
    "Slur",
    "Standing",
    "Tongue",
    "Vibrato",
]


class Standing(Enum):
    """How a note that is played stands to the note that was asked."""

    ASKED = "asked"
    OCTAVE = "octave"
    WRONG = "wrong"
    EXTRA = "extra"


class Shape(Enum):
    """How the pitch moves from one note to the other."""

    LINEAR = "linear"
    """At an even pace."""
    SMOOTH = "smooth"
    """Half a cosine: starts and ends gently."""
    SETTLING = "settling"
    """Leaves at once and settles more and more slowly, as an air column does."""


@dataclass(frozen=True, slots=True)
class Vibrato:
    """A regular wave of the pitch."""

    rate_hz: float
    cents: float
    """From the centre to one side [cents]."""
    delay_s: float = 0.0
    """From the note's onset until it sets in [s]."""


@dataclass(frozen=True, slots=True)
class Attack:
    """How a note starts when the tongue starts it."""

    time_s: float = 0.03
    """Rise of the level, half a cosine in amplitude; the onset lies in its middle [s]."""
    scoop_cents: float = 0.0
    """How far below its pitch it starts [cents]."""
    scoop_s: float = 0.08
    """How long it takes to come up [s]."""
    chiff_db: float = -30.0
    """Noise of the tongue against the note [dB]."""


@dataclass(frozen=True, slots=True)
class Rest:
    """The note ends after its own length; the next one is tongued, a moment or a long time later."""


@dataclass(frozen=True, slots=True)
class Retongue:
    """The tongue touches the sounding note: no rest between, only a notch in the level."""

    depth_db: float = 20.0
    length_s: float = 0.025
    """From where the level starts to fall to where it is back [s]."""


@dataclass(frozen=True, slots=True)
class Dwell:
    """Another note that sounds between the two of a slur."""

    hz: float
    length_s: float
    softer_db: float = 0.0


@dataclass(frozen=True, slots=True)
class Tongue:
    """The tongue helps a slur: a short notch in the level and a new attack."""

    length_s: float = 0.035
    depth_db: float = 18.0
    chiff_db: float = -26.0


@dataclass(frozen=True, slots=True)
class Choke:
    """A valve pressed half way while the pitch changes: softer, duller, with more air in the sound."""

    length_s: float = 0.09
    depth_db: float = 7.0
    dull_octaves: float = 1.2


@dataclass(frozen=True, slots=True)
class Slur:
    """One breath from note to note.

    The second note's onset is where the pitch passes half way; where notes sound between, half way of the last move.
    """

    glide_s: float = 0.03
    """Time of one move of the pitch from end to end; of each where notes sound between [s]."""
    shape: Shape = Shape.SMOOTH
    dip_db: float = 3.0
    dip_s: float = 0.06
    """Whole width of the dip, a raised cosine in dB around each move [s]."""
    silence_s: float = 0.0
    """How long the level lies more than 20 dB down; 0 for no silence. The second note's onset then is where its level
    is back at half amplitude, and nothing sounds between [s]."""
    scoop_cents: float = 0.0
    """How far below the second note it arrives [cents]."""
    overshoot_cents: float = 0.0
    """How far it goes past the second note, away from the first [cents]."""
    settle_s: float = 0.09
    """How long it takes to settle from a scoop or an overshoot [s]."""
    dwells: tuple[Dwell, ...] = ()
    """Notes that sound between; where the second note sounds and the first returns, it fell back."""
    tongue: Tongue | None = None
    choke: Choke | None = None


Join = Rest | Retongue | Slur


@dataclass(frozen=True, slots=True)
class Note:
    """One note that sounds."""

    hz: float
    onset_s: float
    length_s: float
    """Until its level is down to half amplitude; a note joined to the next lasts until that note's onset [s]."""
    join: Join = Rest()
    """How it leads to the next note."""
    level_db: float = -20.0
    """Root mean square against full scale [dB]."""
    attack: Attack = Attack()
    release_s: float = 0.05
    drift_cents_s: float = 0.0
    swell_db_s: float = 0.0
    vibrato: Vibrato | None = None
    brighter_octaves: float = 0.0
    """How much higher than usual the spectrum reaches."""
    asked: int | None = None
    """Which note of the passage it stands for; None for none."""
    standing: Standing = Standing.ASKED


@dataclass(frozen=True, slots=True)
class Player:
    """How unsteady the sound is; all standard deviations."""

    wander_cents: float = 0.0
    wander_hz: float = 4.0
    """Fastest wander [Hz]."""
    jitter_cents: float = 0.0
    """From period to period, up to 60 Hz."""
    shimmer_db: float = 0.0
    """From moment to moment, up to 12 Hz."""
    swell_db: float = 0.0
    """Rise and fall of whole phrases, slower than 0.4 Hz."""
    breath_db: float = -50.0
    """Noise of the air against the note [dB]."""


@dataclass(frozen=True, slots=True)
class Breath:
    """The player breathes in."""

    onset_s: float
    length_s: float
    level_db: float = -45.0


@dataclass(frozen=True, slots=True)
class Script:
    """All that is played, onsets rising."""

    notes: tuple[Note, ...]
    length_s: float
    """Of the whole recording [s]."""
    voice: Voice = EUPHONIUM
    player: Player = Player()
    breaths: tuple[Breath, ...] = ()

"""A part as a player reads it: notes, rests, slurs and signs as values, in written order.

Conventions. Places and lengths are exact fractions of a quarter note, counted from the start of the written
part (a repeat is written once). Beats are counted from 1 in units of the time signature's lower number.
Written and sounding pitch are different types. Nothing in this room reads or writes a file.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from slurwright.pitch import Clef, SoundingPitch, Transposition, WrittenPitch
from slurwright.score.quick import quickly_made

__all__ = [
    "Beam",
    "Direction",
    "DirectionKind",
    "Hairpin",
    "Jump",
    "Key",
    "Measure",
    "Note",
    "NoteValue",
    "Notice",
    "Part",
    "Rest",
    "Slur",
    "TimeSignature",
    "Tuplet",
]


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that a reader passed over or had to assume, said beside the part and never silently."""

    what: str
    where: str = ""

    def __str__(self) -> str:
        """Read as one line."""
        return f"{self.where}: {self.what}" if self.where else self.what


@dataclass(frozen=True, slots=True)
class Key:
    """A key signature as written: sharps above zero, flats below [fifths]."""

    fifths: int = 0
    mode: str = "major"


@dataclass(frozen=True, slots=True)
class TimeSignature:
    """Beats in a measure over the note value of a beat; ``symbol`` is "common", "cut" or empty."""

    beats: int = 4
    beat_type: int = 4
    symbol: str = ""
    groups: tuple[int, ...] = ()
    """Additive grouping such as 3+2 over 8; empty when plain."""

    @property
    def length_quarter(self) -> Fraction:
        """Length of a full measure [quarters]."""
        return Fraction(4 * self.beats, self.beat_type)


@dataclass(frozen=True, slots=True)
class Tuplet:
    """So many notes in the time of so many: 3 in the time of 2."""

    actual: int
    normal: int
    starts: bool = False
    """True on the first event under this tuplet's bracket."""
    ends: bool = False


@dataclass(frozen=True, slots=True)
class NoteValue:
    """The printed shape of a note or rest: "whole", "half", "quarter", "eighth", "16th", …, and its dots."""

    type: str
    dots: int = 0
    tuplet: Tuplet | None = None


class Beam(StrEnum):
    """What the first beam does at a note."""

    NONE = "none"
    BEGIN = "begin"
    CONTINUE = "continue"
    END = "end"


@quickly_made
@dataclass(frozen=True, slots=True)
class Note:
    """One written note of the chosen line; tied notes are separate notes here and one sound in a `Line`."""

    index: int
    """Place in ``Part.notes``, from 0."""
    measure: int
    """Index of its measure in ``Part.measures``, from 0 (the printed number is the measure's)."""
    onset_quarter: Fraction
    duration_quarter: Fraction
    """Zero for a grace note."""
    written: WrittenPitch
    sounding: SoundingPitch
    value: NoteValue
    dynamic: float
    """Dynamic in force with hairpins interpolated [steps from mf: pp −3, p −2, mp −1, mf 0, f 1, ff 2]."""
    tempo_qpm: float
    """Tempo in force [quarters per minute]."""
    voice: str = "1"
    staff: int = 1
    grace: bool = False
    grace_slash: bool = False
    tied_from_previous: bool = False
    tied_to_next: bool = False
    articulations: frozenset[str] = frozenset()
    """Trade names: "staccato", "tenuto", "accent", "marcato", "staccatissimo", "fermata", "breath", …"""
    ornaments: frozenset[str] = frozenset()
    """"trill", "turn", "mordent", "inverted-mordent", "tremolo-1" …; glissandos and falls too."""
    fingerings: tuple[str, ...] = ()
    """Fingerings that stand in the file already, ours excepted."""
    beam: Beam = Beam.NONE
    lyrics: tuple[str, ...] = ()
    shown_accidental: str = ""
    """Accidental printed in the file ("sharp", "flat", "natural", …), cautionary ones included; may be empty."""
    place: str = ""
    """Where the note stands in its file, in words of that file's format; only the format's own room reads it."""


@dataclass(frozen=True, slots=True)
class Rest:
    """Silence in the chosen line."""

    measure: int
    onset_quarter: Fraction
    duration_quarter: Fraction
    value: NoteValue | None = None
    """None for a rest of the whole measure."""
    fermata: bool = False
    place: str = ""


@dataclass(frozen=True, slots=True)
class Slur:
    """A slur from one note to another, both as indices into ``Part.notes``; slurs may nest and cross bars."""

    first: int
    last: int
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Hairpin:
    """A crescendo (``grows``) or diminuendo between two places [quarters]."""

    start_quarter: Fraction
    end_quarter: Fraction
    grows: bool


class DirectionKind(StrEnum):
    """What a direction is, so that pages and the plan know what to do with it."""

    DYNAMIC = "dynamic"
    TEMPO = "tempo"
    WORDS = "words"
    REHEARSAL = "rehearsal"


@dataclass(frozen=True, slots=True)
class Direction:
    """Words or a sign at a place of the part."""

    kind: DirectionKind
    measure: int
    onset_quarter: Fraction
    text: str
    """What is printed: "mf", "Andante", "cantabile", "A"."""
    tempo_qpm: float | None = None
    """For a tempo: quarters per minute, if stated or implied [quarters per minute]."""
    tempo_unit: str = ""
    """For a printed metronome mark: the unit with its dots, e.g. "quarter" or "quarter."; empty when words only."""
    tempo_per_minute: float | None = None
    """For a printed metronome mark: its number, in that unit."""
    above: bool = True
    printed: bool = True
    """False for what the file hides or states for playback alone: it counts, but pages leave it out."""


class Jump(StrEnum):
    """Signs that send the player elsewhere."""

    SEGNO = "segno"
    CODA = "coda"
    TO_CODA = "to-coda"
    DA_CAPO = "da-capo"
    DAL_SEGNO = "dal-segno"
    FINE = "fine"


@quickly_made
@dataclass(frozen=True, slots=True)
class Measure:
    """One written measure and the state at its start."""

    index: int
    number: str
    onset_quarter: Fraction
    duration_quarter: Fraction
    """As written: shorter than the time signature says in an upbeat [quarters]."""
    time: TimeSignature
    key: Key
    clef: Clef
    transposition: Transposition
    repeat_starts: bool = False
    repeat_ends: int = 0
    """How often the repeated stretch is played in all when a repeat ends here; 0 when none does."""
    endings: tuple[int, ...] = ()
    """Passes on which this measure is played when it stands under an ending bracket; empty otherwise."""
    ending_starts: bool = False
    ending_stops: bool = False
    jumps: tuple[Jump, ...] = ()
    double_bar: bool = False
    final_bar: bool = False
    new_section: bool = False
    """True where the file asks for a new system, so that pages may follow it."""


@dataclass(frozen=True, slots=True)
class Part:
    """One player's line, complete enough to plan, to engrave and to mark."""

    name: str
    measures: tuple[Measure, ...]
    notes: tuple[Note, ...]
    rests: tuple[Rest, ...] = ()
    slurs: tuple[Slur, ...] = ()
    hairpins: tuple[Hairpin, ...] = ()
    directions: tuple[Direction, ...] = ()
    title: str = ""
    composer: str = ""
    instrument: str = ""
    part_id: str = ""
    """How the file itself identifies the part (MusicXML ``P1``, MIDI track number …)."""
    states_transposition: bool = False
    """True if the file says how far the sound lies from what is written (or that it does not)."""
    states_dynamics: bool = False
    """True if any dynamic mark stands in the part; where none does the player's word or mf holds."""
    states_tempo: bool = False
    notices: tuple[Notice, ...] = field(default=())

    def measure_of(self, note: Note) -> Measure:
        """Find the measure in which a note stands."""
        return self.measures[note.measure]

    def beat_of(self, note: Note) -> Fraction:
        """Place of a note in its measure, counted from 1 [beats of the time signature]."""
        measure = self.measures[note.measure]
        missing = Fraction(0)
        if note.measure == 0 and measure.duration_quarter < measure.time.length_quarter:
            missing = measure.time.length_quarter - measure.duration_quarter
        return 1 + (note.onset_quarter - measure.onset_quarter + missing) * Fraction(measure.time.beat_type, 4)

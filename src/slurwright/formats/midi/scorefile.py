"""A MIDI file as a score: each track a part, each part a single line made of what was played.

MIDI carries strokes, not notation: no slurs, no printed dynamics, no spelling. What is made up is said in notices.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from slurwright.errors import NotationError, PartError
from slurwright.formats.midi.events import Performance, Stroke, Track, read_performance
from slurwright.formats.midi.quantise import place_onsets
from slurwright.formats.midi.rhythm import Bar, Piece, bars_until, beams_of, pieces_of, with_tuplet_groups
from slurwright.formats.midi.single import VOICES, has_chords, single_line
from slurwright.formats.midi.spelling import key_named, likely_key, shown_accidentals, spell_line
from slurwright.formats.scorefile import PartHeading, ScoreFile
from slurwright.pitch import CONCERT, Clef, WrittenPitch
from slurwright.score import Direction, DirectionKind, Key, Measure, Note, Notice, Part, Rest, TimeSignature

__all__ = ["open_midi"]

_LONGEST_QUARTERS = 40_000
_MF_VELOCITY = 80.0
_VELOCITY_STEP = 16.0
"""Key velocity of mf, and of one dynamic step; common practice of notation programs."""
_BRASS = {56: "trumpet", 57: "trombone", 58: "tuba", 59: "muted trumpet", 60: "French horn", 61: "brass section"}
"""Programs of the brass family, counted from 0 (General MIDI level 1; from memory)."""
_LOW_BRASS = frozenset({57, 58})


def open_midi(data: bytes, *, where: str) -> ScoreFile:
    """Open a Standard MIDI File.

    Raises:
        NotationError: broken, cut short, or in a form that is not supported.

    """
    performance = read_performance(data, where=where)
    longest = max((stroke.end for track in performance.tracks for stroke in track.strokes), default=0)
    if longest > _LONGEST_QUARTERS * performance.ticks_per_quarter:
        raise NotationError("the MIDI file lasts too long to be music", got=f"{longest} ticks", where=where)
    return _MidiScore(performance, where)


@dataclass(frozen=True, slots=True)
class _MidiScore:
    performance: Performance
    where: str

    @property
    def format(self) -> str:
        return "midi"

    @property
    def headings(self) -> tuple[PartHeading, ...]:
        return tuple(
            PartHeading(
                number,
                f"{track.index + 1}.{track.channel + 1}",
                track.name or f"Track {track.index + 1}",
                _instrument(track),
                VOICES if has_chords(track.strokes) else ("1",),
            )
            for number, track in enumerate(self.performance.tracks, start=1)
        )

    def part(self, heading: PartHeading, *, voice: str | None = None) -> Part:
        if not 1 <= heading.number <= len(self.performance.tracks):
            raise PartError("no such part", got=f"part {heading.number}", allowed=self._allowed(), where=self.where)
        track = self.performance.tracks[heading.number - 1]
        where = f"{self.where}: {heading.name}" if self.where else heading.name
        line, notices = single_line(
            track, ticks_per_quarter=self.performance.ticks_per_quarter, voice=voice, where=where
        )
        return _Writer(self.performance, track, line, where).part(heading, notices)

    def _allowed(self) -> str:
        if self.performance.tracks:
            return f"1 to {len(self.performance.tracks)}"
        return "a file with notes; percussion tracks are left out" if self.performance.drums else "a file with notes"


def _instrument(track: Track) -> str:
    if track.program is None:
        return ""
    return _BRASS.get(track.program, f"program {track.program + 1}")


class _Writer:
    """Writes one line down; holds the maps in quarters."""

    def __init__(self, performance: Performance, track: Track, line: Sequence[Stroke], where: str) -> None:
        self._performance = performance
        self._track = track
        self._line = line
        self._where = where
        per = performance.ticks_per_quarter
        self._tempo_places = [Fraction(tick, per) for tick, _ in performance.tempi]
        self._tempi = [round(60e6 / us, 3) for _, us in performance.tempi]
        self._times = [(Fraction(tick, per), TimeSignature(beats, unit)) for tick, beats, unit in performance.times]
        self._notices: list[Notice] = []

    def part(self, heading: PartHeading, notices: Sequence[Notice]) -> Part:
        self._notices.extend(notices)
        stretches = self._stretches()
        bars = bars_until(stretches[-1][1], self._times)
        pieces, rests = self._pieces(stretches, bars)
        keys = self._keys(bars)
        measures = self._measures(bars, keys)
        notes = self._notes(pieces, keys)
        self._notices.append(Notice("MIDI carries no slurs: none are shown and none are judged", self._where))
        return Part(
            name=heading.name,
            measures=measures,
            notes=notes,
            rests=rests,
            directions=self._tempo_directions(bars),
            title=self._performance.title,
            instrument=heading.instrument,
            part_id=heading.id,
            states_dynamics=len({stroke.velocity for stroke in self._line}) > 1,
            states_tempo=self._performance.states_tempo,
            notices=tuple(self._notices),
        )

    def _tempo_at(self, place: Fraction) -> float:
        return self._tempi[max(0, bisect_right(self._tempo_places, place) - 1)]

    def _stretches(self) -> list[tuple[Fraction, Fraction]]:
        """Give every stroke its written start and end [quarters]."""
        per = self._performance.ticks_per_quarter
        starts = [Fraction(stroke.start, per) for stroke in self._line]
        placed = place_onsets([float(start) for start in starts], [60.0 / self._tempo_at(start) for start in starts])
        onsets = list(placed.onsets_quarter)
        if onsets[0] < 0:
            onsets[0] = Fraction(0)
        for at in range(1, len(onsets)):
            if onsets[at] <= onsets[at - 1]:
                onsets[at] = onsets[at - 1] + Fraction(1, 16)
                self._notices.append(
                    Notice(f"note {at + 1} is too close to the one before; set a 64th later", self._where)
                )
        if placed.spread_s > 0.005:
            self._notices.append(
                Notice(
                    f"the notes were played about {1000 * placed.spread_s:.0f} ms early or late "
                    "and were set to the nearest sensible place",
                    self._where,
                )
            )
        stretches: list[tuple[Fraction, Fraction]] = []
        for at, stroke in enumerate(self._line):
            following = onsets[at + 1] if at + 1 < len(onsets) else None
            sounding = Fraction(stroke.end - stroke.start, per)
            stretches.append((onsets[at], _end_of(onsets[at], sounding, following)))
        return stretches

    def _pieces(
        self, stretches: Sequence[tuple[Fraction, Fraction]], bars: Sequence[Bar]
    ) -> tuple[list[tuple[Piece, bool, bool]], tuple[Rest, ...]]:
        """Fill the bars; notes come with whether they are tied backward and forward."""
        pieces: list[Piece] = []
        place = Fraction(0)
        bar = 0
        for source, (start, end) in enumerate((*stretches, (bars[-1].end, bars[-1].end))):
            for low, high, kind in ((place, start, -1), (start, end, source)):
                if low < high:
                    while bars[bar].end <= low:
                        bar += 1
                    pieces.extend(pieces_of(low, high, bars, bar, kind))
            place = end
        pieces = with_tuplet_groups(pieces, bars)
        rests = tuple(
            Rest(
                piece.bar,
                piece.start,
                piece.length,
                None if piece.length == bars[piece.bar].length else piece.value,
            )
            for piece in pieces
            if piece.source < 0
        )
        self._beams = [b for b, p in zip(beams_of(pieces, bars), pieces, strict=True) if p.source >= 0]
        sounded = [piece for piece in pieces if piece.source >= 0]
        sources = [piece.source for piece in sounded]
        ties = [
            (
                piece,
                at > 0 and sources[at - 1] == piece.source,
                at + 1 < len(sources) and sources[at + 1] == piece.source,
            )
            for at, piece in enumerate(sounded)
        ]
        return ties, rests

    def _keys(self, bars: Sequence[Bar]) -> list[Key]:
        if not self._performance.keys:
            key = likely_key(stroke.key for stroke in self._line)
            self._notices.append(
                Notice("the file names no key; the key with the fewest accidentals is used", self._where)
            )
            return [key] * len(bars)
        per = self._performance.ticks_per_quarter
        places = [Fraction(tick, per) for tick, _ in self._performance.keys]
        keys = [key_named(name) for _, name in self._performance.keys]
        return [keys[max(0, bisect_right(places, bar.start) - 1)] for bar in bars]

    def _measures(self, bars: Sequence[Bar], keys: Sequence[Key]) -> tuple[Measure, ...]:
        highest_in_bass = 67 if self._track.program in _LOW_BRASS else 59
        clef = Clef.BASS if median(stroke.key for stroke in self._line) <= highest_in_bass else Clef.TREBLE
        return tuple(
            Measure(
                index,
                str(index + 1),
                bar.start,
                bar.length,
                bar.time,
                keys[index],
                clef,
                CONCERT,
                final_bar=index == len(bars) - 1,
            )
            for index, bar in enumerate(bars)
        )

    def _notes(self, pieces: Sequence[tuple[Piece, bool, bool]], keys: Sequence[Key]) -> tuple[Note, ...]:
        flat = len({stroke.velocity for stroke in self._line}) == 1
        self._notices.append(
            Notice(
                "every note has the same key velocity, so the file says nothing about dynamics"
                if flat
                else "dynamics are guessed from key velocity: 80 is mf, 16 more or less is a step",
                self._where,
            )
        )
        first_bars = {piece.source: piece.bar for piece, tied, _ in pieces if not tied}
        of_stroke = spell_line(
            [stroke.key for stroke in self._line], [keys[first_bars[source]] for source in range(len(self._line))]
        )
        spelled = [of_stroke[piece.source] for piece, _, _ in pieces]
        written = [WrittenPitch(pitch.step, pitch.alter, pitch.octave) for pitch in spelled]
        shown = shown_accidentals(
            [(piece.bar, pitch, tied) for (piece, tied, _), pitch in zip(pieces, written, strict=True)], keys
        )
        return tuple(
            Note(
                index=index,
                measure=piece.bar,
                onset_quarter=piece.start,
                duration_quarter=piece.length,
                written=written[index],
                sounding=spelled[index],
                value=piece.value,
                dynamic=0.0 if flat else _dynamic(self._line[piece.source].velocity),
                tempo_qpm=self._tempo_at(piece.start),
                tied_from_previous=before,
                tied_to_next=after,
                beam=self._beams[index],
                shown_accidental=shown[index],
                place=self._place(piece, tied=before),
            )
            for index, (piece, before, after) in enumerate(pieces)
        )

    def _place(self, piece: Piece, *, tied: bool) -> str:
        """Name track and tick; the later notes of a tie, which no stroke has, get the tick where they are written."""
        if not tied:
            return f"{self._track.index}:{self._line[piece.source].start}"
        return f"{self._track.index}:{round(piece.start * self._performance.ticks_per_quarter)}~"

    def _tempo_directions(self, bars: Sequence[Bar]) -> tuple[Direction, ...]:
        """Print a tempo where it changes by at least a twentieth: less is a performance, not a marking."""
        if not self._performance.states_tempo:
            return ()
        directions: list[Direction] = []
        printed: float | None = None
        starts = [bar.start for bar in bars]
        for place, tempo in zip(self._tempo_places, self._tempi, strict=True):
            if place >= bars[-1].end or (printed is not None and abs(tempo / printed - 1.0) < 0.05):
                continue
            printed = tempo
            directions.append(
                Direction(
                    DirectionKind.TEMPO,
                    bisect_right(starts, place) - 1,
                    place,
                    "",
                    tempo_qpm=tempo,
                    tempo_unit="quarter",
                    tempo_per_minute=float(round(tempo)),
                )
            )
        return tuple(directions)


def _dynamic(velocity: int) -> float:
    return max(-5.0, min(3.0, (velocity - _MF_VELOCITY) / _VELOCITY_STEP))


def _end_of(onset: Fraction, sounding: Fraction, following: Fraction | None) -> Fraction:
    """Say where a note ends on paper: at the next note if it holds for most of the way, else after a plain value."""
    if following is not None and sounding >= (following - onset) * Fraction(3, 5):
        return following
    step = Fraction(1, 2) if onset.denominator in (1, 2) else Fraction(1, 4)
    if onset.denominator % 3 == 0:
        step = Fraction(1, 3)
    elif onset.denominator not in (1, 2, 4):
        step = Fraction(1, onset.denominator)
    end = onset + sounding
    place = round(end / step) * step
    if place <= onset:
        place = onset + step - (onset % step)
    return place if following is None else min(place, following)

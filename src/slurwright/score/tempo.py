"""How fast is each place of a part: metronome marks as they stand, words by their usual pace.

A tempo holds until the next one. "a tempo" and "Tempo I" go back to a tempo that was in force. Gradual changes
(rit., accel.) are not followed: they leave the tempo as it was.
"""

import re
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from slurwright.score.part import Direction, DirectionKind, Measure, TimeSignature

__all__ = [
    "USUAL_TEMPO_QPM",
    "TempoCourse",
    "beat_quarter",
    "beats_per_minute_of_words",
    "is_return_of_tempo",
    "tempo_course",
]

USUAL_TEMPO_QPM = 100.0
"""Where a part states no tempo: a moderate pace (common practice) [quarters per minute]."""

# Common practice: metronome ranges for these words differ between teachers; each value is near the middle of what
# is usually taught. Of words that contain one another the longest counts.
_PACE_OF_WORDS: tuple[tuple[str, float], ...] = (
    ("larghissimo", 24.0),
    ("larghetto", 63.0),
    ("largo", 50.0),
    ("grave", 40.0),
    ("adagietto", 74.0),
    ("adagio", 68.0),
    ("lentissimo", 40.0),
    ("lento", 54.0),
    ("andantino", 84.0),
    ("andante", 80.0),
    ("allegro moderato", 116.0),
    ("allegro vivace", 150.0),
    ("allegro assai", 144.0),
    ("allegretto", 112.0),
    ("allegro", 132.0),
    ("allegro con brio", 144.0),
    ("moderato", 104.0),
    ("maestoso", 88.0),
    ("vivacissimo", 176.0),
    ("vivace", 160.0),
    ("prestissimo", 200.0),
    ("presto", 180.0),
    ("alla marcia", 112.0),
    ("tempo di marcia", 112.0),
    ("tempo di valse", 160.0),
    ("tempo di menuetto", 112.0),
    ("tempo di minuetto", 112.0),
)
_WORDS = re.compile(
    r"\b(" + "|".join(sorted((words for words, _ in _PACE_OF_WORDS), key=len, reverse=True)) + r")\b", re.IGNORECASE
)
_PACE = dict(_PACE_OF_WORDS)
_FIRST_AGAIN = re.compile(r"\btempo\s*(?:primo|i|1|1o|1º|1mo)\b|\bi\.?\s+tempo\b", re.IGNORECASE)
_BEFORE_AGAIN = re.compile(r"\ba\s+tempo\b", re.IGNORECASE)


def beats_per_minute_of_words(text: str) -> float | None:
    """Usual pace of tempo words such as "Andante cantabile"; None when the text names none [beats per minute].

    Args:
        text: what is printed.

    """
    found = _WORDS.search(text)
    return _PACE[found.group(1).lower()] if found else None


def is_return_of_tempo(text: str) -> bool:
    """Say whether words such as "a tempo" or "Tempo I" go back to an earlier tempo."""
    return bool(_FIRST_AGAIN.search(text) or _BEFORE_AGAIN.search(text))


def beat_quarter(time: TimeSignature) -> Fraction:
    """Length of the beat that tempo words count: dotted in compound time [quarters].

    Args:
        time: signature in force.

    """
    unit = Fraction(4, time.beat_type)
    if time.beat_type >= 8:
        return unit * 3 if time.beats % 3 == 0 else Fraction(1)
    if time.beat_type == 4 and time.beats % 3 == 0 and time.beats > 3:
        return unit * 3
    return unit


@dataclass(frozen=True, slots=True)
class TempoCourse:
    """The tempo at every place of a part, ready to be asked."""

    starts: tuple[float, ...]
    """Where each tempo begins, rising [quarters]."""
    tempos: tuple[float, ...]
    """From each start on [quarters per minute]."""
    start_qpm: float = USUAL_TEMPO_QPM

    def at(self, onset_quarter: Fraction | float) -> float:
        """Tempo at a place [quarters per minute].

        Args:
            onset_quarter: place in the written part [quarters].

        """
        found = bisect_right(self.starts, float(onset_quarter)) - 1
        return self.tempos[found] if found >= 0 else self.start_qpm


def tempo_course(
    directions: Iterable[Direction], measures: Sequence[Measure], *, start_qpm: float = USUAL_TEMPO_QPM
) -> TempoCourse:
    """Work out the tempo at every place; a number beats words at the same place.

    Args:
        directions: those of the part, in any order.
        measures: those of the part; their time signatures say what a beat is.
        start_qpm: tempo before the first mark [quarters per minute].

    """
    found: dict[Fraction, float] = {}
    numbered: set[Fraction] = set()
    first: float | None = None
    first_place: Fraction | None = None
    now = start_qpm
    for direction in sorted(directions, key=lambda d: d.onset_quarter):
        if direction.kind not in {DirectionKind.TEMPO, DirectionKind.WORDS}:
            continue
        place = direction.onset_quarter
        tempo = direction.tempo_qpm
        if tempo is not None and tempo > 0:
            numbered.add(place)
        elif place in numbered:
            continue
        else:
            tempo = _of_words(direction, measures, first=first, now=now)
        if tempo is None:
            continue
        if first_place in {None, place}:
            first, first_place = tempo, place
        now = tempo
        found[place] = tempo
    places = sorted(found)
    return TempoCourse(tuple(map(float, places)), tuple(found[place] for place in places), start_qpm)


def _of_words(direction: Direction, measures: Sequence[Measure], *, first: float | None, now: float) -> float | None:
    """Quarters per minute that words mean at their place."""
    if _FIRST_AGAIN.search(direction.text):
        return first
    if _BEFORE_AGAIN.search(direction.text):
        return now
    pace = beats_per_minute_of_words(direction.text)
    if pace is None:
        return None
    if not 0 <= direction.measure < len(measures):
        return pace
    return pace * float(beat_quarter(measures[direction.measure].time))

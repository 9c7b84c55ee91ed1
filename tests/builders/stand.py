"""Parts for page tests, written in a short hand: ``"q:Bb2 e.:C3 s:D3 | w:r"``.

A token is a value (w h q e s t), dots, a colon, then a pitch or ``r`` for a rest; ``g`` before the value makes a
grace note, ``3`` after it a triplet. Marks after the pitch: ``~`` ties on, ``!name`` an articulation or ornament. A
measure of ``-`` is a rest of the whole measure. Bars are parted by ``|``.
"""

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction

from slurwright.pitch import CONCERT, Clef, WrittenPitch
from slurwright.score import (
    Key,
    Measure,
    NoteDraft,
    NoteValue,
    Part,
    PartDraft,
    Rest,
    Slur,
    TimeSignature,
    Tuplet,
    finished,
)

_VALUES: dict[str, tuple[str, Fraction]] = {
    "w": ("whole", Fraction(4)),
    "h": ("half", Fraction(2)),
    "q": ("quarter", Fraction(1)),
    "e": ("eighth", Fraction(1, 2)),
    "s": ("16th", Fraction(1, 4)),
    "t": ("32nd", Fraction(1, 8)),
}
_TOKEN = re.compile(r"(g?)([whqest])(\.*)(3?):([A-G][b#]{0,2}-?\d|r)(~?)((?:![a-z0-9-]+)*)")
_ORNAMENTS = {"trill", "turn", "mordent", "inverted-mordent", "glissando", "tremolo-3", "doit", "smear"}


def stand_part(
    music: str,
    *,
    clef: Clef = Clef.BASS,
    fifths: int = -2,
    time: TimeSignature | None = None,
    slurs: Iterable[tuple[int, int]] = (),
    measures: Mapping[int, Mapping[str, object]] | None = None,
    title: str = "Harbour Steps",
    name: str = "Euphonium",
) -> Part:
    """Build a part; ``measures`` changes fields of single measures, from the one named on where that is a state."""
    draft = PartDraft(name=name, title=title)
    state: dict[str, object] = {
        "time": time or TimeSignature(),
        "key": Key(fifths),
        "clef": clef,
        "transposition": CONCERT,
    }
    onset = Fraction(0)
    for index, bar in enumerate(music.split("|")):
        changed = dict((measures or {}).get(index, {}))
        state |= {field: value for field, value in changed.items() if field in state}
        length = Fraction(_add_bar(draft, index, onset, bar.strip(), state))
        draft.measures.append(
            Measure(
                index=index,
                onset_quarter=onset,
                duration_quarter=length,
                **{"number": str(index + 1), **state, **changed},  # type: ignore[arg-type]
            )
        )
        onset += length
    draft.slurs = [Slur(first, last) for first, last in slurs]
    return finished(draft)


def _add_bar(draft: PartDraft, index: int, onset: Fraction, bar: str, state: Mapping[str, object]) -> Fraction:
    time = state["time"]
    assert isinstance(time, TimeSignature)
    if bar == "-":
        draft.rests.append(Rest(index, onset, time.length_quarter))
        return time.length_quarter
    cursor = onset
    in_triplet = Fraction(0)
    for token in bar.split():
        match = _TOKEN.fullmatch(token)
        assert match is not None, token
        grace, letter, dots, triplet, pitch, tie, marks = match.groups()
        shape, plain = _VALUES[letter]
        length = plain * (2 - Fraction(1, 2 ** len(dots)))
        tuplet = None
        if triplet:
            length *= Fraction(2, 3)
            in_triplet += length
            closes = in_triplet.denominator == 1 or in_triplet in {Fraction(1, 2), Fraction(1)}
            tuplet = Tuplet(3, 2, starts=in_triplet == length, ends=closes)
            in_triplet = Fraction(0) if closes else in_triplet
        value = NoteValue(shape, len(dots), tuplet)
        if pitch == "r":
            draft.rests.append(Rest(index, cursor, length, value))
        else:
            names = frozenset(marks.split("!")[1:])
            written = WrittenPitch.named(pitch)
            before = draft.notes[-1] if draft.notes else None
            draft.notes.append(
                NoteDraft(
                    measure=index,
                    onset_quarter=cursor,
                    duration_quarter=Fraction(0) if grace else length,
                    written=written,
                    sounding=CONCERT.to_sounding(written),
                    value=value,
                    grace=bool(grace),
                    grace_slash=bool(grace),
                    tied_from_previous=before is not None and before.tied_to_next and before.written == written,
                    tied_to_next=bool(tie),
                    articulations=names - _ORNAMENTS,
                    ornaments=names & _ORNAMENTS,
                )
            )
        cursor += Fraction(0) if grace else length
    return cursor - onset

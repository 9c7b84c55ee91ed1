"""Any part that a MusicXML file can hold: a hypothesis strategy over all fields of `Part`."""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

from slurwright.pitch import CONCERT, Clef, Transposition, WrittenPitch
from slurwright.score import (
    Beam,
    Direction,
    DirectionKind,
    Hairpin,
    Jump,
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
from slurwright.score.values import length_of_value

TIMES = (
    TimeSignature(4, 4),
    TimeSignature(4, 4, "common"),
    TimeSignature(2, 2, "cut"),
    TimeSignature(3, 4),
    TimeSignature(6, 8),
    TimeSignature(5, 8, "", (3, 2)),
    TimeSignature(1, 4),
)
TRANSPOSITIONS = tuple(
    Transposition(*pair) for pair in ((0, 0), (-1, -2), (-8, -14), (-4, -7), (7, 12), (-7, -12), (-5, -9), (1, 2))
)
VALUES = (
    *(NoteValue(name, dots) for name in ("whole", "half", "quarter", "eighth", "16th") for dots in (0, 1)),
    NoteValue("32nd"),
)
"""No sum of these leaves a gap below a 32nd."""
TONGUING = ["staccato", "tenuto", "detached-legato", "staccatissimo", "double-tongue", "triple-tongue"]
STRESSES = ["accent", "marcato", "stress", "unstress", "soft-accent", "fermata", "breath", "caesura"]
ARTICULATIONS = [*TONGUING, *STRESSES, "stopped", "open", "half-muted"]
TURNS = ["trill", "turn", "delayed-turn", "inverted-turn", "shake", "mordent", "inverted-mordent"]
SLIDES = ["scoop", "plop", "doit", "falloff", "flip", "smear", "bend", "glissando"]
ORNAMENTS = [*TURNS, *SLIDES, "tremolo-1", "tremolo-8"]
LETTERS = "abcXYZ é<&>\"'ß\xa0𝄞"
WORDS = st.text(LETTERS, max_size=8).map(lambda text: " ".join(text.split()))
BARS: tuple[dict[str, Any], ...] = (
    {},
    {"repeat_starts": True},
    {"repeat_ends": 2},
    {"repeat_ends": 3},
    {"repeat_starts": True, "repeat_ends": 2},
    {"double_bar": True},
    {"jumps": (Jump.SEGNO,)},
    {"jumps": (Jump.CODA,)},
    {"jumps": (Jump.TO_CODA,)},
)
JUMP_WORDS = (("D.C. al Fine", Jump.DA_CAPO), ("D.S. al Coda", Jump.DAL_SEGNO), ("Fine", Jump.FINE))


@dataclass
class _State:
    draft: PartDraft
    place: Fraction = Fraction(0)
    time: TimeSignature = TIMES[0]
    key: Key = field(default_factory=Key)
    clef: Clef = Clef.TREBLE
    transposition: Transposition = CONCERT
    bars: list[dict[str, Any]] = field(default_factory=list)


def some(draw: st.DrawFn, share: int) -> bool:
    """True once in so many times."""
    return draw(st.integers(1, share)) == share


@st.composite
def parts(draw: st.DrawFn) -> Part:
    draft = PartDraft(draw(WORDS), title=draw(WORDS), composer=draw(WORDS), instrument=draw(WORDS), part_id="P1")
    state = _State(draft)
    state.bars = [dict(draw(st.sampled_from(BARS))) for _ in range(draw(st.integers(1, 5)))]
    if len(state.bars) > 2 and some(draw, 3):
        state.bars[-3:] = [
            {"endings": (1, 2), "ending_starts": True},
            {"endings": (1, 2), "ending_stops": True, "repeat_ends": 3},
            {"endings": (3,), "ending_starts": True, "ending_stops": True},
        ]
    if "repeat_ends" not in state.bars[-1] and some(draw, 2):
        state.bars[-1].pop("double_bar", None)
        state.bars[-1]["final_bar"] = True
    for index in range(len(state.bars)):
        _add_measure(draw, state, index)
    _add_lines(draw, state)
    draft.states_transposition = some(draw, 2) or any(m.transposition != CONCERT for m in draft.measures)
    return finished(draft)


def _add_measure(draw: st.DrawFn, state: _State, index: int) -> None:
    if index == 0 or some(draw, 4):
        state.time = draw(st.sampled_from(TIMES))
        state.key = Key(draw(st.integers(-7, 7)), draw(st.sampled_from(["major", "minor"])))
        state.clef = draw(st.sampled_from(Clef))
        state.transposition = draw(st.sampled_from(TRANSPOSITIONS))
    length = state.time.length_quarter
    if index == 0 and some(draw, 3):
        length = draw(st.sampled_from([Fraction(1, 2), Fraction(1), Fraction(1, 4)]))
    bar, start = state.bars[index], state.place
    if not bar.get("jumps") and some(draw, 6):
        text, jump = draw(st.sampled_from(JUMP_WORDS))
        bar["jumps"] = (jump,)
        state.draft.directions.append(Direction(DirectionKind.WORDS, index, start + length, text))
    section = index > 0 and some(draw, 4)
    state.draft.measures.append(
        Measure(
            index,
            draw(st.sampled_from([str(index + 1), "X1", "12a"])),
            start,
            length,
            state.time,
            state.key,
            state.clef,
            state.transposition,
            new_section=section,
            **bar,
        )
    )
    if some(draw, 6):
        state.draft.rests.append(Rest(index, start, length, fermata=some(draw, 2)))
        if not state.draft.notes:
            _fill(draw, state, index, start + length)
            state.draft.rests.pop(0)
        state.place = start + length
    else:
        _fill(draw, state, index, start + length)
    _add_directions(draw, state.draft, index, start, length)


def _fill(draw: st.DrawFn, state: _State, measure: int, end: Fraction) -> None:
    if not state.draft.notes:
        shape = next(value for value in VALUES[::-1] if length_of_value(value) <= end - state.place)
        _add_note(draw, state, measure, shape)
    while state.place < end:
        left = end - state.place
        if left >= 1 and some(draw, 5):
            for at in range(3):
                _add_event(draw, state, measure, NoteValue("eighth", 0, Tuplet(3, 2, at == 0, at == 2)))
            continue
        _add_event(draw, state, measure, draw(st.sampled_from([v for v in VALUES if length_of_value(v) <= left])))


def _add_event(draw: st.DrawFn, state: _State, measure: int, value: NoteValue) -> None:
    while some(draw, 8):
        _add_note(draw, state, measure, NoteValue("16th"), grace=True)
    if some(draw, 4):
        length = length_of_value(value)
        state.draft.rests.append(Rest(measure, state.place, length, value, fermata=some(draw, 4)))
        state.place += length
    else:
        _add_note(draw, state, measure, value)


def _add_note(draw: st.DrawFn, state: _State, measure: int, value: NoteValue, *, grace: bool = False) -> None:
    again = state.draft.notes and some(draw, 3)
    alter = draw(st.sampled_from([0, 0, 0, 1, -1]))
    written = WrittenPitch(draw(st.sampled_from("CDEFGAB")), alter, draw(st.integers(2, 5)))
    if again:
        written = state.draft.notes[-1].written
    verses = st.lists(st.text("aé'- ", min_size=1, max_size=4), max_size=2)
    state.draft.notes.append(
        NoteDraft(
            measure,
            state.place,
            Fraction(0) if grace else length_of_value(value),
            written,
            state.transposition.to_sounding(written),
            value,
            grace=grace,
            grace_slash=grace and some(draw, 2),
            tied_from_previous=some(draw, 2),
            tied_to_next=some(draw, 2),
            articulations=frozenset(draw(st.sets(st.sampled_from(ARTICULATIONS), max_size=2))),
            ornaments=frozenset(draw(st.sets(st.sampled_from(ORNAMENTS), max_size=2))),
            fingerings=tuple(draw(st.lists(st.sampled_from(["0", "1-2", "T1"]), max_size=2))),
            beam=draw(st.sampled_from(Beam)) if value.type in {"eighth", "16th", "32nd"} else Beam.NONE,
            lyrics=tuple(draw(verses)) if some(draw, 3) else (),
            shown_accidental=draw(st.sampled_from(["", "sharp", "flat", "natural", "double-sharp"])),
        )
    )
    if not grace:
        state.place += length_of_value(value)


TEMPOS = (
    {"text": "Andante"},
    {"text": "Swing it", "tempo_qpm": 132.0},
    {"text": "", "tempo_qpm": 63.25, "printed": False},
    {"text": "", "tempo_qpm": 99.0, "tempo_unit": "quarter.", "tempo_per_minute": 66.0},
    {"text": "Lento", "tempo_qpm": 50.0, "tempo_unit": "half", "tempo_per_minute": 26.5},
)


def _add_directions(draw: st.DrawFn, draft: PartDraft, measure: int, start: Fraction, length: Fraction) -> None:
    for _ in range(draw(st.integers(0, 3))):
        place = start + draw(st.integers(0, int(length * 4))) * Fraction(1, 4)
        kind, above = draw(st.sampled_from(DirectionKind)), some(draw, 2)
        if kind is DirectionKind.TEMPO:
            fields: dict[str, Any] = draw(st.sampled_from(TEMPOS))
            draft.directions.append(Direction(kind, measure, place, above=above, **fields))
        elif kind is DirectionKind.DYNAMIC:
            text = draw(st.sampled_from(["mf", "pppppp", "sfz", "ffp", "n"]))
            draft.directions.append(Direction(kind, measure, place, text, above=above))
            if some(draw, 3):
                hidden = draw(st.sampled_from(["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"]))
                draft.directions.append(Direction(kind, measure, place, hidden, printed=False))
        elif kind is DirectionKind.WORDS:
            text = draw(st.sampled_from(["cantabile", "cresc.", "solo <1> & 2"]))
            draft.directions.append(Direction(kind, measure, place, text, above=above))
        else:
            draft.directions.append(Direction(kind, measure, place, draw(st.sampled_from(["A", "12"]))))


def _add_lines(draw: st.DrawFn, state: _State) -> None:
    notes, total = len(state.draft.notes), int(state.place * 4)
    for _ in range(draw(st.integers(0, 4)) if notes > 1 else 0):
        first, last = sorted(draw(st.sets(st.integers(0, notes - 1), min_size=2, max_size=2)))
        state.draft.slurs.append(Slur(first, last, dashed=some(draw, 4)))
    for _ in range(draw(st.integers(0, 3))):
        first, last = sorted(draw(st.sets(st.integers(0, total), min_size=2, max_size=2)))
        state.draft.hairpins.append(Hairpin(Fraction(first, 4), Fraction(last, 4), grows=some(draw, 2)))

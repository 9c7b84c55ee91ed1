"""Requests for page tests: one part that holds nearly everything a page can show, and its row and marks."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from builders.stand import stand_part
from slurwright.formats.pages import ChoiceRow, PageRequest, RowLabel, WeakSlurMark
from slurwright.pitch import Clef, Transposition
from slurwright.score import Direction, DirectionKind, Hairpin, Jump, Key, Part, TimeSignature

_MUSIC = """q:Bb2!tenuto e:C3 e:D3 q:Eb3!accent h:F3 | e:D3 e:F3 e:Bb3 e:F3 e:D3 e:Bb2 q:F2
| s:F2 s:G2 s:A2 s:Bb2 s:C3 s:D3 s:Eb3 s:F3 s:F#3 s:G3 s:Ab3 s:A3 s:Bb3 s:B3 s:C4 s:C#4
| h.:D4~ e3:D4 e3:C4 e3:Bb3 | - | - | - | - | q:Bb1 q:E2 q:Eb2 q:Bb2 | e:F2 e:Gb2 e:F2 e:E2 e:Eb2 e:D2 e:Db2 e:C2
| s:C3 s:B2 s:C3 s:C#3 s:D3 s:Eb3 s:E3 s:F3 s:Gb3 s:F3 s:Fb3 s:Eb3 s:D3 s:Db3 s:C3 s:Cb3
| ge:A2 q:Bb2 gs:C3 gs:D3 q:Eb3!trill h:F3!fermata | q:G3!staccato q:A3!staccato q:Bb3!marcato q:r
| e.:C4 s:Bb3 e.:A3 s:G3 h:F3!breath | w:Bb2!fermata | - | - | -
| e:Bb2 e:r e:D3 e:r q:F3!tremolo-3 q:Bb3!glissando | w:Bb2!doit | q:F2 q3:Bb2 q3:D3 q3:F3 q:Bb3 | w:Bb1"""
_SLURS = [(0, 1), (5, 10), (12, 19), (20, 27), (28, 31), (32, 35), (36, 43), (44, 51), (52, 59), (60, 61), (64, 65)]
_WEAK = ((7, 42), (22, 31), (23, 55), (33, 61), (38, 33), (40, 28), (55, 47))
LABELS = ("1-2-3", "1-3", "2-4", "0", "1-2", "2", "1-2-3-4", "1")


def rich_part() -> Part:
    """Build a part in bass clef with signs of every kind."""
    changes: dict[int, Mapping[str, object]] = {
        0: {"time": TimeSignature(5, 4)},
        1: {"time": TimeSignature(4, 4, "common"), "jumps": (Jump.SEGNO,)},
        8: {"repeat_starts": True},
        11: {"repeat_ends": 2},
        12: {"key": Key(1)},
        13: {"endings": (1,), "ending_starts": True},
        14: {"endings": (1,), "ending_stops": True, "repeat_ends": 2},
        18: {"endings": (2,), "ending_starts": True, "ending_stops": True},
        19: {"clef": Clef.TENOR, "jumps": (Jump.DAL_SEGNO,), "double_bar": True},
        21: {"final_bar": True},
    }
    part = stand_part(_MUSIC, slurs=_SLURS, measures=changes)
    starts = [measure.onset_quarter for measure in part.measures]

    def sign(kind: DirectionKind, measure: int, place: str, text: str, *, above: bool = True) -> Direction:
        return Direction(kind, measure, starts[measure] + Fraction(place), text, above=above)

    dynamics = (
        (0, "0", "mf"),
        (1, "0", "p"),
        (2, "0", "f"),
        (8, "0", "pp"),
        (9, "3", "ff"),
        (12, "0", "mf espress."),
    )
    tempo = Direction(DirectionKind.TEMPO, 0, starts[0], "Andante", 96.0, "quarter", 96.0)
    directions = (
        tempo,
        sign(DirectionKind.WORDS, 0, "2", "cantabile"),
        sign(DirectionKind.REHEARSAL, 8, "0", "A"),
        sign(DirectionKind.WORDS, 10, "0", "poco rit."),
        sign(DirectionKind.REHEARSAL, 15, "0", "B"),
        *(sign(DirectionKind.DYNAMIC, bar, place, text, above=False) for bar, place, text in dynamics),
    )
    hairpins = (
        Hairpin(starts[1], starts[2], grows=True),
        Hairpin(starts[8] + 1, starts[9] + 3, grows=True),
        Hairpin(starts[10] + 1, starts[10] + 3, grows=False),
    )
    return replace(part, directions=directions, hairpins=hairpins, composer="A. N. Inventor")


def in_treble(part: Part) -> Part:
    """Write a concert bass-clef part a ninth higher in treble clef."""
    ninth = Transposition(-8, -14)
    notes = tuple(replace(note, written=ninth.to_written(note.sounding)) for note in part.notes)
    measures = tuple(
        replace(measure, clef=Clef.TREBLE, key=Key(measure.key.fifths + 2), transposition=ninth)
        for measure in part.measures
    )
    return replace(part, notes=notes, measures=measures)


def page_request(part: Part | None = None) -> PageRequest:
    """Ask for pages of a part with a label under every note, and marks at weak slurs where it is long enough."""
    part = part or rich_part()
    weak = tuple(
        WeakSlurMark(number, first, first + 1, f"{risk} %")
        for number, (first, risk) in enumerate(_WEAK, start=1)
        if first + 1 < len(part.notes)
    )
    return PageRequest(
        part=part,
        title=part.title,
        subtitle="Euphonium · four valves · bass clef in B♭",
        labels={
            note.index: RowLabel(LABELS[(note.index * 5 + note.measure) % 8], changed=note.index % 7 == 3)
            for note in part.notes
        },
        weak=weak,
        table=tuple(choice_row(mark) for mark in weak),
        legend=("A line of the legend.",),
        provenance=("All chances are priors; nothing has been learnt from your own takes yet.",),
        cautions=("Alternate playing and rest. Stop if it hurts.",),
    )


def choice_row(mark: WeakSlurMark) -> ChoiceRow:
    """Make up the table's row of a mark."""
    return ChoiceRow(
        number=mark.number,
        bar="9",
        notes="F3 to D4",
        as_it_stands=mark.label,
        legato_tongue="12 %",
        half_valve="–",
        others=("1-3 on F3: 9 %, +14 cents",),
        why="The lips must cross two partials without help from the horn.",
    )

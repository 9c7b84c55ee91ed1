from dataclasses import replace
from fractions import Fraction
from math import nan

import pytest

from builders.pages import page_request, rich_part
from builders.stand import stand_part
from slurwright.errors import EngravingError
from slurwright.formats.pages import PageRequest, RowLabel, WeakSlurMark
from slurwright.formats.pages.check import check_request
from slurwright.formats.pages.mei_page import page_mei
from slurwright.pitch import WrittenPitch
from slurwright.score import Hairpin, Key, NoteValue, Part, Slur, TimeSignature, Tuplet


def _note(part: Part, place: int, **change: object) -> Part:
    notes = list(part.notes)
    notes[place] = replace(notes[place], **change)  # type: ignore[arg-type]
    return replace(part, notes=tuple(notes))


def _measure(part: Part, place: int, **change: object) -> Part:
    measures = list(part.measures)
    measures[place] = replace(measures[place], **change)  # type: ignore[arg-type]
    return replace(part, measures=tuple(measures))


def test_a_sound_request_passes() -> None:
    check_request(page_request())


_PART = rich_part()
_BROKEN = {
    "without measures": replace(_PART, measures=(), notes=(), rests=(), slurs=(), directions=(), hairpins=()),
    "time signature": _measure(_PART, 3, time=TimeSignature(4, 0)),
    "time signature that cannot": _measure(_PART, 3, time=TimeSignature(-1, 4)),
    "beat groups": _measure(_PART, 3, time=TimeSignature(4, 4, groups=(3, 2))),
    "key signature": _measure(_PART, 3, key=Key(9)),
    "begins before": _measure(_PART, 3, onset_quarter=Fraction(0)),
    "index is not its place": _measure(_PART, 3, index=7),
    "not there": _note(_PART, 3, measure=99),
    "note whose index": _note(_PART, 3, index=99),
    "off the staff": _note(_PART, 3, written=WrittenPitch("C", 0, 14)),
    "negative length": _note(_PART, 3, duration_quarter=Fraction(-1)),
    "dots": _note(_PART, 3, value=NoteValue("quarter", dots=9)),
    "tuplet": _note(_PART, 3, value=NoteValue("quarter", tuplet=Tuplet(0, 2))),
    "note value": _note(_PART, 3, value=NoteValue("crotchet")),
    "slur between": replace(_PART, slurs=(Slur(4, 4000),)),
    "hairpin": replace(_PART, hairpins=(Hairpin(Fraction(4), Fraction(2), grows=True),)),
    "same time": _note(_PART, 3, onset_quarter=_PART.notes[2].onset_quarter),
    "more in it": _note(_PART, 4, duration_quarter=Fraction(400)),
}


@pytest.mark.parametrize("words", _BROKEN)
def test_what_cannot_be_drawn_is_refused_in_words(words: str) -> None:
    with pytest.raises(EngravingError, match=words.removesuffix(" that cannot")):
        page_mei(replace(page_request(), part=_BROKEN[words]))


def test_marks_must_point_at_notes() -> None:
    part = stand_part("q:C3 q:D3 h:E3")
    bad = PageRequest(part=part, title="", labels={7: RowLabel("1")}, weak=(WeakSlurMark(1, 2, 3, ""),))
    with pytest.raises(EngravingError) as refused:
        check_request(bad)
    assert len(refused.value.faults) == 2, "all faults are said at once"


def test_numbers_of_weak_slurs_are_their_own() -> None:
    part = stand_part("q:C3 q:D3 h:E3")
    twice = (WeakSlurMark(1, 0, 1, ""), WeakSlurMark(1, 1, 2, ""))
    with pytest.raises(EngravingError, match="same number"):
        check_request(PageRequest(part=part, title="", weak=twice))


def test_odd_tempo_numbers_do_not_crash() -> None:
    directions = tuple(replace(sign, tempo_per_minute=nan) for sign in _PART.directions)
    assert "nan" not in page_mei(replace(page_request(), part=replace(_PART, directions=directions))).lower()

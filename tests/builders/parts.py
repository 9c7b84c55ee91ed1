"""Parts written in a line of text, for tests: ``part_of("(C4 E4) r G4/2~ | G4/4")``.

A token is a written pitch or ``r``, a length after ``/`` (quarters, 1 unless given), ``(`` before it where a slur
starts and ``)`` behind it where one ends, ``~`` behind it for a tie to the next, ``g`` before it for a grace note,
``.`` ``-`` ``>`` ``,`` behind it for staccato, tenuto, accent and a breath. ``|`` ends a measure; what is in
``bars`` changes the measure of that index.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from slurwright.pitch import CONCERT, Clef, Transposition, WrittenPitch
from slurwright.score import (
    Direction,
    Hairpin,
    Key,
    Measure,
    NoteDraft,
    NoteValue,
    Part,
    PartDraft,
    Rest,
    Slur,
    TimeSignature,
    finished,
    value_of_length,
)

__all__ = ["part_of"]

_TOKEN = re.compile(
    r"(?P<opens>\(*)(?P<grace>g?)(?P<name>[A-G][b#]*-?\d|r)(?:/(?P<length>[\d/]+))?(?P<signs>[)~.,>\-]*)"
)
_SIGNS = {".": "staccato", "-": "tenuto", ">": "accent", ",": "breath"}


def part_of(
    text: str,
    *,
    bars: Mapping[int, Mapping[str, Any]] | None = None,
    key: int = 0,
    time: TimeSignature | None = None,
    transposition: Transposition = CONCERT,
    clef: Clef = Clef.TREBLE,
    directions: Sequence[Direction] = (),
    hairpins: Sequence[Hairpin] = (),
) -> Part:
    """Make a part from a line of text."""
    draft = PartDraft("Test", directions=list(directions), hairpins=list(hairpins), states_transposition=True)
    opened: list[int] = []
    place = Fraction(0)
    for index, bar in enumerate(text.split("|")):
        start = place
        for token in bar.split():
            place = _add(token, index, place, draft, opened, transposition)
        measure = Measure(
            index=index,
            number=str(index + 1),
            onset_quarter=start,
            duration_quarter=place - start,
            time=time or TimeSignature(),
            key=Key(key),
            clef=clef,
            transposition=transposition,
        )
        draft.measures.append(replace(measure, **(bars or {}).get(index, {})))
    return finished(draft)


def _add(
    token: str, index: int, place: Fraction, draft: PartDraft, opened: list[int], transposition: Transposition
) -> Fraction:
    found = _TOKEN.fullmatch(token)
    if found is None:
        raise ValueError(token)
    length = Fraction(found["length"] or 1)
    if found["name"] == "r":
        draft.rests.append(Rest(index, place, length, value_of_length(length)))
        return place + length
    signs = found["signs"]
    grace = bool(found["grace"])
    written = WrittenPitch.named(found["name"])
    number = len(draft.notes)
    opened += [number] * len(found["opens"])
    draft.slurs += [Slur(opened.pop(), number) for _ in range(signs.count(")"))]
    draft.notes.append(
        NoteDraft(
            measure=index,
            onset_quarter=place,
            duration_quarter=Fraction(0) if grace else length,
            written=written,
            sounding=transposition.to_sounding(written),
            value=value_of_length(length) or NoteValue("quarter"),
            grace=grace,
            tied_to_next="~" in signs,
            articulations=frozenset(_SIGNS[sign] for sign in signs if sign in _SIGNS),
        )
    )
    return place if grace else place + length

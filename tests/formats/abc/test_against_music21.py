"""Pitches and places in time agree with music21 (BSD) on an ABC tune of our own."""

from fractions import Fraction

import pytest

from builders.converters import abc_here
from slurwright.formats.abc import open_abc

converter = pytest.importorskip("music21.converter")

pytestmark = pytest.mark.oracle

_TUNE = """\
X:1
T:Pilot Steps
M:4/4
L:1/8
K:Eb
E2 F>G A/2B/2c d2 | e3 d _d4 | (3cBA (3GFE =E2 ^F2 | F2 z2 F2 c2 |
[M:3/4] G,2 A,2 B,2 | g2 f2 e2 | d6 |]
"""


def test_notes_agree() -> None:
    score = open_abc(_TUNE.encode(), where="", to_musicxml=abc_here)
    ours = [(note.onset_quarter, note.sounding.midi) for note in score.part(score.headings[0]).notes]
    theirs = [
        (Fraction(note.offset).limit_denominator(96), note.pitch.midi)
        for note in converter.parse(_TUNE, format="abc").flatten().notes
    ]
    assert ours == theirs

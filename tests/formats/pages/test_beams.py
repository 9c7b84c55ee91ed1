from dataclasses import replace
from fractions import Fraction

import pytest

from builders.stand import stand_part
from slurwright.formats.pages.beams import beams_by_beats, beams_of_file
from slurwright.formats.pages.layer import layers_of
from slurwright.score import Beam, TimeSignature


def _beams(bar: str, time: TimeSignature, missing: Fraction = Fraction(0)) -> list[tuple[int, int]]:
    part = stand_part(bar, time=time)
    events = layers_of(part, shown=frozenset()).events[0]
    runs = beams_by_beats(events, part.measures[0], missing_quarter=missing)
    return sorted((run.first, run.last) for run in runs)


_EIGHTHS = "e:C3 " * 8


@pytest.mark.parametrize(
    ("bar", "time", "beams"),
    [
        (_EIGHTHS, TimeSignature(4, 4), [(0, 3), (4, 7)]),
        ("e:C3 " * 6, TimeSignature(3, 4), [(0, 5)]),
        ("e:C3 " * 4, TimeSignature(2, 4), [(0, 3)]),
        (_EIGHTHS, TimeSignature(2, 2), [(0, 3), (4, 7)]),
        ("e:C3 " * 6, TimeSignature(6, 8), [(0, 2), (3, 5)]),
        ("e:C3 " * 5, TimeSignature(5, 8), [(0, 2), (3, 4)]),
        ("e:C3 " * 7, TimeSignature(7, 8), [(0, 1), (2, 3), (4, 6)]),
        ("e:C3 " * 5, TimeSignature(5, 8, groups=(2, 3)), [(0, 1), (2, 4)]),
        ("e:C3 s:C3 s:C3 e:C3 e:C3 h:C3", TimeSignature(4, 4), [(0, 2), (3, 4)]),
        ("e:C3 q:C3 e:C3 e:C3 e:C3 q:C3", TimeSignature(4, 4), [(3, 4)]),
        ("e:C3 e:r e:C3 e:C3 h:C3", TimeSignature(4, 4), [(2, 3)]),
        ("e3:C3 e3:C3 e3:C3 e:C3 e:C3 h:C3", TimeSignature(4, 4), [(0, 2), (3, 4)]),
    ],
)
def test_beams_follow_the_beats(bar: str, time: TimeSignature, beams: list[tuple[int, int]]) -> None:
    assert _beams(bar, time) == beams


def test_an_upbeat_is_beamed_from_the_bar_that_it_leads_to() -> None:
    assert _beams("e:C3 e:C3 e:C3", TimeSignature(4, 4), Fraction(5, 2)) == [(1, 2)]


def test_grace_notes_share_a_beam_of_their_own() -> None:
    assert _beams("e:C3 gs:D3 gs:E3 e:C3 q:C3 h:C3", TimeSignature(4, 4)) == [(0, 3), (1, 2)]


def test_the_files_own_beams_hold() -> None:
    part = stand_part(_EIGHTHS)
    marks = [Beam.BEGIN, Beam.END, Beam.NONE, Beam.BEGIN, Beam.CONTINUE, Beam.CONTINUE, Beam.CONTINUE, Beam.END]
    events = tuple(replace(note, beam=mark) for note, mark in zip(part.notes, marks, strict=True))
    assert [(run.first, run.last) for run in beams_of_file(events)] == [(0, 1), (3, 7)]


def test_a_beam_that_never_ends_is_none() -> None:
    part = stand_part(_EIGHTHS)
    events = tuple(replace(note, beam=Beam.BEGIN) for note in part.notes)
    assert beams_of_file(events) == ()

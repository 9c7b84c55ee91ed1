"""The demo tune is clean MusicXML, reads without a notice, and holds the trouble that it is there to show."""

import math
from fractions import Fraction
from importlib.resources import files

import pytest

from builders.musicxml_schema import schema_errors
from slurwright.devices.packaged import load_horn
from slurwright.formats.musicxml import open_musicxml
from slurwright.plan.ways import ways_of
from slurwright.score import Line, Part, line_of

TUNE = (files("slurwright") / "data/demo/lanterns-on-weir-street.musicxml").read_bytes()


@pytest.fixture(scope="module")
def part() -> Part:
    score = open_musicxml(TUNE, where="demo")
    return score.part(score.headings[0])


@pytest.fixture(scope="module")
def line(part: Part) -> Line:
    return line_of(part)


def test_it_is_valid() -> None:
    assert schema_errors(TUNE) == []


def test_it_reads_without_a_notice(part: Part) -> None:
    assert part.notices == ()
    assert (part.title, part.name) == ("Lanterns on Weir Street", "Euphonium")
    assert len(part.notes) == 60
    assert (part.measures[0].number, part.measures[-1].number) == ("0", "25")
    assert part.measures[0].duration_quarter == Fraction(1)
    assert part.states_dynamics
    assert part.states_tempo


def test_the_repeat_is_played_twice_with_its_endings(line: Line) -> None:
    assert [sound.times for sound in line.sounds[:18]] == [2] * 18
    assert {sound.times for sound in line.sounds[18:]} == {1}


def test_it_holds_what_a_planner_must_cope_with(part: Part, line: Line) -> None:
    horn = load_horn("euphonium-4c")
    crossings = set()
    lip_gaps = {}
    for move in line.moves:
        if move.slurred:
            first, second = (ways_of(line.sounds[i].sounding, horn)[0] for i in (move.source, move.target))
            crossings.add(abs(second.partial - first.partial))
            if first.setting == second.setting:
                names = f"{line.sounds[move.source].sounding} {line.sounds[move.target].sounding}"
                lip_gaps[names] = abs(1200 * math.log2(second.partial / first.partial))
    assert crossings >= {0, 1, 2}, "valve slurs, lip slurs, wide ones"
    # 4/3 is 498.0 cents, 3/2 702.0, 5/3 884.4 (just intervals, derived).
    wanted = {"F3 Bb3": 498.0, "Bb3 F3": 498.0, "D3 G3": 498.0, "F3 Bb2": 702.0, "F3 D4": 884.4}
    assert {names: lip_gaps[names] for names in wanted} == pytest.approx(wanted, abs=0.1)
    assert min(sound.dynamic for sound in line.sounds) == -3.0
    assert any(sound.grace for sound in line.sounds)
    assert {"staccato", "tenuto", "breath", "fermata"} <= {name for note in part.notes for name in note.articulations}
    assert len(part.hairpins) == 6

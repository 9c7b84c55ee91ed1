"""Reading instruments and readings from TOML: every fault is told, with its place."""

from importlib import resources

import pytest

from builders.references import reference
from slurwright.devices.packaged import load_horn, load_readings
from slurwright.errors import HornError
from slurwright.formats.horn_toml import parse_horn, parse_readings
from slurwright.formats.ways_toml import parse_familiarity
from slurwright.pitch import SoundingPitch

READINGS = """
[treble-g]
name = "treble clef in G"
clef = "treble"
diatonic = -3
semitones = -5
source = "common practice"
"""
HORN = """
id = "field-horn"
name = "Field horn in G"
kind = "valves"
[open]
pitch = "G2"
air_m_s = 345
source = "derived"
[[valves]]
name = "1"
semitones = 2
source = "common practice"
[tuning]
usual = "exact"
source = "derived"
[readings]
ids = ["treble-g"]
source = "common practice"
[range]
comfortable = ["G3", "G4"]
possible = ["F3", "B4"]
source = "common practice"
[normal]
partials = [2, 3, 4, 5]
source = "derived"
[normal.listed]
C4 = "1 on 3"
[[slides]]
name = "main"
out_mm = 20
in_mm = 5
step_mm = 0.5
kick = true
source = "provisional"
"""


def test_a_horn_is_read_whole() -> None:
    horn = parse_horn(HORN, parse_readings(READINGS))
    assert (horn.id, horn.open_pitch, horn.tuning) == ("field-horn", SoundingPitch.named("G2"), "exact")
    assert horn.open_length_m == pytest.approx(345.0 / (2.0 * 97.9989), abs=1e-4)
    assert horn.normal[60] == ("1", 3)
    assert horn.readings[0].transposition.semitones == -5
    slide = horn.slides[0]
    assert (slide.out_m, slide.in_m, slide.step_m, slide.kick) == (0.02, 0.005, 0.0005, True)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('kind = "valves"', 'kind = "bagpipe"', "kind"),
        ('pitch = "G2"', 'pitch = "H2"', "open: not a pitch name"),
        ("air_m_s = 345\n", "", "open: missing entry; got 'air_m_s'"),
        ('source = "derived"\n[[valves]]', 'source = "hearsay"\n[[valves]]', "source of no known kind"),
        ("semitones = 2", 'semitones = "two"', "valves: not a number in range; got 'two'; allowed: -6 to 12"),
        ("air_m_s = 345", "air_m_s = 0", "open: not a number in range; got 0; allowed: 300 to 400"),
        ("partials = [2, 3, 4, 5]", "partials = [0, 3]", "normal: not a number in range; got 0"),
        ('possible = ["F3", "B4"]', 'possible = ["F3"]', "range: entry of the wrong form"),
        ('ids = ["treble-g"]', 'ids = ["treble-x"]', "no such reading; got treble-x; allowed: treble-g"),
        ('comfortable = ["G3", "G4"]', 'comfortable = ["C3", "G4"]', "does not lie within"),
        ('C4 = "1 on 3"', 'C4 = "1/3"', "normal: not a way"),
        ('C4 = "1 on 3"', 'C4 = "2 on 3"', "lacks"),
        ('name = "main"', 'name = "valve 9"', "valve 9"),
        ('usual = "exact"', 'usual = "third-long-23"', "three valves"),
        ("semitones = 2", "semitones = 2\ncut = '4'", "valves: no such entry; got cut; allowed: cut_with"),
        ("semitones = 2", "semitones = 2\ncut_with = '4'", "no such valve as a valve to be cut with; got 4"),
        ("semitones = 2", "semitones = 2\nonly_with = 'T'", "no such valve as a valve to work with; got T"),
        ("[tuning]", "[tunning]", "head: no such block; got tunning"),
        ("[normal.listed]", "[normal.needs_company]\n3 = ['1']\n[normal.listed]", "a valve of the rule; got 3"),
        ("[normal]\npartials = [2, 3, 4, 5]", "[normal]", "normal: missing entry; got 'partials'"),
    ],
)
def test_faults_are_told_with_their_place(old: str, new: str, message: str) -> None:
    assert old in HORN
    with pytest.raises(HornError) as caught:
        parse_horn(HORN.replace(old, new), parse_readings(READINGS))
    assert message in str(caught.value)


def test_all_faults_are_gathered() -> None:
    broken = HORN.replace('pitch = "G2"', 'pitch = "?"').replace('ids = ["treble-g"]', "ids = []")
    with pytest.raises(HornError) as caught:
        parse_horn(broken, parse_readings(READINGS))
    assert [fault.where for fault in caught.value.faults] == ["open", "readings"]


def test_two_valves_of_one_name_are_refused() -> None:
    twice = HORN.replace("[tuning]", '[[valves]]\nname = "1"\nsemitones = 1\nsource = "derived"\n[tuning]')
    with pytest.raises(HornError, match="two valves of one name"):
        parse_horn(twice, parse_readings(READINGS))


def test_text_that_is_not_toml_is_refused() -> None:
    for parse in (parse_readings, lambda text: parse_horn(text, {}), parse_familiarity):
        with pytest.raises(HornError, match="not TOML"):
            parse("id = = 3")


def test_faults_of_readings_are_gathered() -> None:
    broken = READINGS.replace('clef = "treble"', 'clef = "sixth"') + READINGS.replace(
        "[treble-g]", "[other]"
    ).replace('source = "common practice"\n', "")
    with pytest.raises(HornError) as caught:
        parse_readings(broken)
    assert [fault.where for fault in caught.value.faults] == ["reading treble-g", "reading other"]


def test_faults_of_the_table_of_ways_are_gathered() -> None:
    with pytest.raises(HornError) as caught:
        parse_familiarity("[familiarity]\nnormal = -1\nnormall = 0.5\n")
    said = str(caught.value)
    assert "ways, normal: not a number above zero" in said
    assert "no such entry; got normall" in said
    assert "missing entry; allowed: known" in said


@pytest.mark.parametrize(("horn_id", "semitones"), reference("brass-practice", "readings")["usual"].items())
def test_usual_readings_common_practice(horn_id: str, semitones: int) -> None:
    assert load_horn(horn_id).readings[0].transposition.semitones == semitones


@pytest.mark.parametrize("clef", ["treble", "bass"])
def test_readings_by_clef_common_practice(clef: str) -> None:
    for horn_id, semitones in reference("brass-practice", "readings")[clef].items():
        found = {r.transposition.semitones for r in load_horn(horn_id).readings if r.clef == clef}
        assert semitones in found, horn_id


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "horn-double", "trombone-bass-dep", "tuba-f-6"])
def test_a_file_with_any_one_line_gone_is_read_or_refused_as_a_horn(horn_id: str) -> None:
    path = resources.files("slurwright") / "data" / "horns" / f"{horn_id}.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    refused = 0
    for gone in range(len(lines)):
        text = "\n".join(lines[:gone] + lines[gone + 1 :])
        try:
            assert parse_horn(text, load_readings()).settings
        except HornError:
            refused += 1
    assert refused > len(lines) / 4

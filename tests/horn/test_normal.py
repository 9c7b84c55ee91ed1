"""Normal fingerings against common practice, and no note without one unless physics says so."""

import pytest

from builders.references import reference
from slurwright.devices.packaged import horn_ids, load_horn, load_readings
from slurwright.horn import Horn
from slurwright.horn.gaps import why_no_fingering
from slurwright.horn.resonances import every_place
from slurwright.pitch import SoundingPitch, Transposition, WrittenPitch

PRACTICE = reference("brass-practice", "fingerings")
THREE_VALVES = ["trumpet-b", "trumpet-c", "trumpet-d", "trumpet-eb", "cornet-b", "cornet-eb", "flugelhorn-b"]
THREE_VALVES += ["horn-eb-tenor", "baritone-3", "baritone-3c", "euphonium-3", "euphonium-3c"]
TREBLE_TUBAS = ["tuba-eb-3", "tuba-eb-3c", "tuba-b-3", "tuba-b-3c"]
FOUR_VALVES = ["flugelhorn-b-4", "euphonium-4", "euphonium-4c", "euphonium-3p1c", "tuba-eb-4", "tuba-b-4c"]
GAPS = {
    "baritone-3": "B1 C2 Db2 D2 Eb2",
    "baritone-3c": "B1 C2 Db2 D2 Eb2",
    "euphonium-3": "B1 C2 Db2 D2 Eb2",
    "euphonium-3c": "B1 C2 Db2 D2 Eb2",
    "euphonium-4": "B1",
    "horn-f-ascending-3": "Ab2",
    "trombone": "B1 C2 Db2 D2 Eb2",
    "trombone-f": "B1",
    "tuba-b-3": "B0 C1 Db1 D1 Eb1",
    "tuba-b-3c": "B0 C1 Db1 D1 Eb1",
    "tuba-b-4": "B0",
    "tuba-c-4": "Db1",
    "tuba-eb-3": "E1 F1 F#1 G1 Ab1",
    "tuba-eb-3c": "E1 F1 F#1 G1 Ab1",
    "tuba-eb-4": "E1",
}


def treble_in_key(horn: Horn) -> Transposition:
    """The reading in which partial 2 of the open horn is written C4."""
    semitones = horn.open_pitch.midi + 12 - 60
    return next(
        (r.transposition for r in load_readings().values() if r.transposition.semitones == semitones),
        Transposition(0, semitones),
    )


def written_row(horn: Horn) -> list[str]:
    start = WrittenPitch.named(PRACTICE["three_valves"]["from"]).staff_key + treble_in_key(horn).semitones
    return [horn.normal[start + step][0] for step in range(len(PRACTICE["three_valves"]["rows"]))]


def test_the_table_has_31_rows() -> None:
    assert len(PRACTICE["three_valves"]["rows"]) == 31


@pytest.mark.parametrize("horn_id", THREE_VALVES + TREBLE_TUBAS)
def test_three_valves_common_practice(horn_id: str) -> None:
    assert written_row(load_horn(horn_id)) == PRACTICE["three_valves"]["rows"]


@pytest.mark.parametrize("horn_id", FOUR_VALVES)
def test_four_valves_common_practice(horn_id: str) -> None:
    instead = PRACTICE["four_valves"]["instead_of"]
    assert written_row(load_horn(horn_id)) == [instead.get(f, f) for f in PRACTICE["three_valves"]["rows"]]


@pytest.mark.parametrize("horn_id", THREE_VALVES)
def test_open_notes_common_practice(horn_id: str) -> None:
    horn = load_horn(horn_id)
    for name in PRACTICE["three_valves"]["open_notes"]:
        midi = WrittenPitch.named(name).staff_key + treble_in_key(horn).semitones
        assert horn.normal[midi][0] == "0"


@pytest.mark.parametrize("horn_id", ["euphonium-4", "tuba-eb-4", "tuba-c-4", "tuba-b-4"])
def test_one_fingering_further_on_falls_out_of_the_arithmetic(horn_id: str) -> None:
    horn = load_horn(horn_id)
    second = horn.open_pitch.midi + 12
    for below, fingerings in PRACTICE["below_2_4"].items():
        midi = second - int(below)
        if fingerings:
            assert horn.normal[midi] in {(fingering, 2) for fingering in fingerings}
        else:
            assert midi in horn.gaps


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "euphonium-3p1c", "tuba-eb-4c", "tuba-b-4c"])
def test_compensating_horns_go_straight_down(horn_id: str) -> None:
    horn = load_horn(horn_id)
    second = horn.open_pitch.midi + 12
    down = [horn.normal[second - below][0] for below in range(5, 12)]
    assert down == ["4", "2-4", "1-4", "1-2-4", "2-3-4", "1-3-4", "1-2-3-4"]
    assert horn.gaps == ()


def test_double_horn_common_practice() -> None:
    horn = load_horn("horn-double")
    reading = load_readings()["treble-f5"].transposition
    for name, fingering in PRACTICE["double_horn"].items():
        assert horn.normal[reading.to_sounding(WrittenPitch.named(name)).midi][0] == fingering, name


def test_single_b_flat_horn_plays_the_thumb_side_of_the_double_horn() -> None:
    single, double = load_horn("horn-b"), load_horn("horn-double")
    for midi, (fingering, partial) in double.normal.items():
        if fingering.startswith("T"):
            assert single.normal[midi] == (fingering.removeprefix("T"), partial)


@pytest.mark.parametrize("horn_id", ["trombone", "trombone-f", "trombone-bass", "trombone-bass-dep"])
def test_trombone_common_practice(horn_id: str) -> None:
    horn = load_horn(horn_id)
    rotor = PRACTICE["trombone_f"] if horn_id != "trombone" else {}
    for name, label in PRACTICE["trombone"].items():
        assert horn.normal[SoundingPitch.named(name).midi][0] == rotor.get(name, label), name


def test_f_rotor_common_practice() -> None:
    horn = load_horn("trombone-f")
    for name, label in PRACTICE["trombone_f"].items():
        assert horn.normal[SoundingPitch.named(name).midi][0] == label, name


def test_both_rotors_take_over_where_the_f_side_gets_long() -> None:
    for horn_id in ("trombone-bass", "trombone-bass-dep"):
        normal = load_horn(horn_id).normal
        low = {name: normal[SoundingPitch.named(name).midi][0] for name in ("Eb2", "D2", "Db2", "C2", "B1")}
        assert low == {"Eb2": "T3", "D2": "TG1", "Db2": "TG2", "C2": "TG3", "B1": "TG4"}


def test_alto_trombone_is_the_tenor_a_fourth_higher() -> None:
    tenor, alto = load_horn("trombone"), load_horn("trombone-alto")
    assert alto.normal == {midi + 5: way for midi, way in tenor.normal.items() if midi + 5 in alto.normal}


@pytest.mark.parametrize("horn_id", horn_ids())
def test_every_semitone_has_a_normal_way_or_is_a_gap_of_physics(horn_id: str) -> None:
    horn = load_horn(horn_id)
    low, high = horn.possible
    named = [SoundingPitch.named(name).midi for name in GAPS.get(horn_id, "").split()]
    assert list(horn.gaps) == named
    assert sorted([*horn.normal, *horn.gaps]) == list(range(low.midi, high.midi + 1))
    comfortable = range(horn.comfortable[0].midi, horn.comfortable[1].midi + 1)
    assert not set(comfortable) & set(horn.gaps)


@pytest.mark.parametrize("horn_id", horn_ids())
def test_normal_ways_sound_their_note(horn_id: str) -> None:
    horn = load_horn(horn_id)
    for midi, way in horn.normal.items():
        found = {(one.setting.fingering, one.partial): one.cents_exact for one in every_place(horn, midi, 16)}
        assert -50.0 <= found[way] <= 90.0, f"{SoundingPitch.from_midi(midi)} {way}"


@pytest.mark.parametrize("horn_id", horn_ids())
def test_gaps_are_left_by_every_setting_and_explained(horn_id: str) -> None:
    horn = load_horn(horn_id)
    for midi in horn.gaps:
        assert not [one for one in every_place(horn, midi, 16) if -50.0 <= one.cents_exact <= 90.0]
        said = why_no_fingering(horn, SoundingPitch.from_midi(midi))
        assert str(SoundingPitch.from_midi(midi)) in said
        assert "semitones below partial" in said


def test_explanations_name_the_reason() -> None:
    horn = load_horn("euphonium-4")
    said = why_no_fingering(horn, SoundingPitch.named("B1"))
    assert "11.0 semitones below partial 2" in said
    assert "all the valves together lower it by 9.2 at most" in said
    assert "above F5" in why_no_fingering(horn, SoundingPitch.named("F#5"))
    assert "below E1" in why_no_fingering(horn, SoundingPitch.named("Eb1"))
    assert "the slide lowers it by 6.0" in why_no_fingering(load_horn("trombone"), SoundingPitch.named("Eb2"))
    ascending = why_no_fingering(load_horn("horn-f-ascending-3"), SoundingPitch.named("Ab2"))
    assert "no combination of tubes comes near" in ascending or "at most" in ascending

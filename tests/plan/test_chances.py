"""Laws of the chances: where they only ever rise or fall, and that they are chances."""

import math
from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.lines import typed_line
from slurwright.devices.packaged import load_chances, load_horn
from slurwright.horn import Horn
from slurwright.pitch import SoundingPitch
from slurwright.plan import Chances, Technique, Way, ways_of
from slurwright.plan.intune import normal_cdf
from slurwright.plan.pricing import price_line
from slurwright.plan.rating import chance_at_start, chance_fingers, chance_in_tune, chance_speaks
from slurwright.score import Line

CHANCES = load_chances()
HORNS = [load_horn(name) for name in ("euphonium-4c", "trumpet-b", "trombone-f", "horn-double", "tuba-f-6")]
BY_ID = {horn.id: horn for horn in HORNS}

Pair = tuple[Horn, tuple[Way, Way], Line]


@cache
def ways_at(horn_id: str, midi: int) -> tuple[Way, ...]:
    return tuple(ways_of(SoundingPitch.from_midi(midi), BY_ID[horn_id]))


@cache
def playable(horn_id: str) -> tuple[int, ...]:
    return tuple(midi for midi in BY_ID[horn_id].normal if ways_at(horn_id, midi))


@st.composite
def slurs(draw: st.DrawFn) -> Pair:
    horn = draw(st.sampled_from(HORNS))
    notes = [draw(st.sampled_from(playable(horn.id))) for _ in range(2)]
    line = typed_line(
        " ".join(str(SoundingPitch.from_midi(midi)) for midi in notes),
        dynamic=draw(st.floats(-6, 5)),
        seconds=draw(st.floats(0.05, 4)),
    )
    first, second = (draw(st.sampled_from(ways_at(horn.id, midi))) for midi in notes)
    return horn, (first, second), line


def speaks(slur: Pair, technique: Technique = Technique.PLAIN, line: Line | None = None) -> float:
    horn, ways, own = slur
    return chance_speaks(ways, 0, line or own, horn, technique=technique, chances=CHANCES)


def fingers(slur: Pair, technique: Technique = Technique.PLAIN, line: Line | None = None) -> float:
    horn, ways, own = slur
    return chance_fingers(ways, 0, line or own, horn, technique=technique, chances=CHANCES)


def changed(line: Line, **figures: float) -> Line:
    return Line(line.sounds, (replace(line.moves[0], **figures), *line.moves[1:]))  # type: ignore[arg-type]


@settings(max_examples=80, deadline=None)
@given(slur=slurs(), technique=st.sampled_from(Technique))
def test_they_are_chances(slur: Pair, technique: Technique) -> None:
    horn, ways, line = slur
    assert 0.0 < speaks(slur, technique) <= 1.0
    assert 0.0 <= fingers(slur, technique) <= 1.0
    assert fingers(slur) > 0.0
    for way, sound in zip(ways, line.sounds, strict=True):
        assert 0.0 < chance_in_tune(way, sound, horn, chances=CHANCES) <= 1.0
        assert 0.0 < chance_at_start(way, sound, horn, chances=CHANCES) <= 1.0


@settings(max_examples=60, deadline=None)
@given(slur=slurs(), technique=st.sampled_from(Technique), softer=st.floats(0, 5))
def test_softer_never_lowers_the_break_risk(slur: Pair, technique: Technique, softer: float) -> None:
    line = slur[2]
    assert speaks(slur, technique, changed(line, dynamic=line.moves[0].dynamic - softer)) <= speaks(slur, technique)


@settings(max_examples=60, deadline=None)
@given(slur=slurs(), technique=st.sampled_from(Technique), longer=st.floats(1, 10))
def test_more_time_never_hurts(slur: Pair, technique: Technique, longer: float) -> None:
    line = slur[2]
    slower = changed(line, time_s=line.moves[0].time_s * longer)
    assert speaks(slur, technique, slower) >= speaks(slur, technique)
    assert fingers(slur, technique, slower) >= fingers(slur, technique)


@settings(max_examples=60, deadline=None)
@given(slur=slurs())
def test_a_technique_never_makes_a_slur_more_likely_to_break(slur: Pair) -> None:
    assert speaks(slur, Technique.LEGATO_TONGUE) >= speaks(slur)
    assert speaks(slur, Technique.HALF_VALVE) >= speaks(slur)


@settings(max_examples=60, deadline=None)
@given(slur=slurs())
def test_down_is_never_easier_than_up(slur: Pair) -> None:
    horn, ways, line = slur
    low, high = sorted(zip(ways, line.sounds, strict=True), key=lambda one: one[1].sounding.midi)
    up, down = (
        Line(tuple(replace(sound, index=at) for at, (_, sound) in enumerate(order)), line.moves)
        for order in ((low, high), (high, low))
    )
    for technique in (Technique.PLAIN, Technique.LEGATO_TONGUE):
        upward = chance_speaks((low[0], high[0]), 0, up, horn, technique=technique, chances=CHANCES)
        downward = chance_speaks((high[0], low[0]), 0, down, horn, technique=technique, chances=CHANCES)
        crosses = low[0].partial < high[0].partial <= 5
        assert downward <= upward or not crosses


@settings(max_examples=60, deadline=None)
@given(slur=slurs(), cents=st.floats(0, 80), further=st.floats(0, 40), side=st.sampled_from([-1, 1]))
def test_further_out_is_never_better_in_tune(slur: Pair, cents: float, further: float, side: int) -> None:
    horn, (way, _), line = slur
    near, far = (
        chance_in_tune(replace(way, cents=side * size), line.sounds[0], horn, chances=CHANCES)
        for size in (5.0 + cents, 5.0 + cents + further)
    )
    assert far <= near + 1e-6


def test_a_sharp_note_is_easier_to_save_than_a_flat_one() -> None:
    """More down than up (common practice)."""
    horn = BY_ID["euphonium-4c"]
    line = typed_line("F3")
    way = ways_of(line.sounds[0].sounding, horn)[0]
    sharp, flat = (
        chance_in_tune(replace(way, cents=cents), line.sounds[0], horn, chances=CHANCES) for cents in (25.0, -25.0)
    )
    assert sharp > flat


def test_a_short_note_is_heard_less_sharply() -> None:
    horn = BY_ID["euphonium-4c"]
    short, long = typed_line("F3", seconds=0.1), typed_line("F3", seconds=2.0)
    way = replace(ways_of(short.sounds[0].sounding, horn)[0], cents=35.0)
    assert chance_in_tune(way, short.sounds[0], horn, chances=CHANCES) > chance_in_tune(
        way, long.sounds[0], horn, chances=CHANCES
    )


def test_what_is_not_known_well_is_trusted_less() -> None:
    horn = BY_ID["euphonium-4c"]
    line = typed_line("F3")
    way = ways_of(line.sounds[0].sounding, horn)[0]
    chances = [
        chance_in_tune(replace(way, spread_cents=spread), line.sounds[0], horn, chances=CHANCES)
        for spread in (2.0, 10.0, 25.0)
    ]
    assert chances == sorted(chances, reverse=True)


def test_fingers_against_each_other_are_harder_than_together() -> None:
    """Two fingers move in each: both down, or one up and one down (common practice)."""
    horn = BY_ID["euphonium-4c"]

    def way(fingering: str) -> Way:
        setting = next(setting for setting in horn.settings if setting.fingering == fingering)
        return Way(setting, 4, 0.0, 0.0, 12.0, True, 0.98, "")

    line = typed_line("F3 G3", seconds=0.15)
    together = chance_fingers((way("0"), way("1-2")), 0, line, horn, technique=Technique.PLAIN, chances=CHANCES)
    against = chance_fingers((way("1"), way("2")), 0, line, horn, technique=Technique.PLAIN, chances=CHANCES)
    one = chance_fingers((way("0"), way("1")), 0, line, horn, technique=Technique.PLAIN, chances=CHANCES)
    assert against < together < one


def test_nothing_moves_nothing_is_missed() -> None:
    horn = BY_ID["euphonium-4c"]
    line = typed_line("F3 F3", slurred=False)
    way = ways_of(line.sounds[0].sounding, horn)[1]
    assert chance_fingers((way, way), 0, line, horn, technique=Technique.PLAIN, chances=CHANCES) == 1.0


def test_a_longer_way_of_the_slide_is_harder_and_smears_more() -> None:
    horn = BY_ID["trombone-f"]
    line = typed_line("Bb3 A3")
    first = ways_of(line.sounds[0].sounding, horn)[0]
    near = ways_of(line.sounds[1].sounding, horn)[0]
    far = replace(near, setting=replace(near.setting, slide_m=near.setting.slide_m + 0.3))
    for chance in (chance_speaks, chance_fingers):
        values = [
            chance((first, second), 0, line, horn, technique=Technique.PLAIN, chances=CHANCES)
            for second in (near, far)
        ]
        assert values[1] < values[0]


def test_the_normal_distribution_is_exact_to_seven_digits() -> None:
    """Against the error function of the C library."""
    x = np.linspace(-6, 6, 241)
    exact = np.array([0.5 * math.erfc(-value / math.sqrt(2)) for value in x])
    assert np.abs(normal_cdf(x) - exact).max() < 1.5e-7


@pytest.mark.parametrize("block", [field.name for field in fields(CHANCES) if field.name != "weak_above"])
def test_every_figure_of_the_table_matters(block: str) -> None:
    """A figure that changes nothing is a fault of the table."""

    def costs(chances: Chances) -> Iterator[bytes]:
        for horn_id, names in (
            ("euphonium-4c", "F3 Bb3 D5 C5 G3 F3 A3 Ab3 Bb2 F3 F4"),
            ("trombone-f", "Bb3 A3 F3 C3 Bb3 D4 F4 G4"),
            ("horn-double", "G4 Ab4 C5 Bb4"),
        ):
            for dynamic in (-3.0, 1.0, 4.0):
                line = typed_line(names, dynamic=dynamic, seconds=0.2)
                priced = price_line(line, BY_ID[horn_id], chances=chances, choose_techniques=True)
                yield from (priced.smooth.tobytes(), priced.fingers.tobytes(), *(x.tobytes() for x in priced.in_tune))

    before = list(costs(CHANCES))
    values = getattr(CHANCES, block)
    for field in fields(values):
        if field.name == "same_place_m":
            continue  # it names kinds of slurs; see the tests of choices
        moved = replace(values, **{field.name: getattr(values, field.name) * 1.5 + 0.05})
        after = costs(replace(CHANCES, **{block: moved}))
        assert any(new != old for new, old in zip(after, before, strict=True)), field.name

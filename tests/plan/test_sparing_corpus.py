"""Sparing on real parts: scores of the music21 package's corpus, moved by octaves into an instrument's range.

The 97 % at mf is our own promise to players; the scores are only material.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from slurwright.devices.packaged import demo_part, load_chances, load_horn
from slurwright.formats.musicxml import open_musicxml
from slurwright.horn import Horn
from slurwright.pitch import SoundingPitch
from slurwright.plan import plan_line
from slurwright.plan.conditions import with_dynamic
from slurwright.score import Line, line_of

CHANCES = load_chances()
PARTS = (
    ("mozart/k156/movement2.mxl", 0, "trumpet-b"),
    ("mozart/k155/movement2.mxl", 2, "cornet-b"),
    ("haydn/opus1no1/movement4.mxl", 0, "horn-f"),
    ("haydn/opus1no1/movement5.mxl", 0, "horn-double"),
    ("haydn/opus1no1/movement5.mxl", 0, "euphonium-4c"),
    ("mozart/k80/movement1.mxl", 0, "tuba-eb-4c"),
    ("haydn/opus1no1/movement1.mxl", 0, "trombone-f"),
)
PP = -3.0


def moved_into_range(line: Line, horn: Horn) -> Line:
    """Move a line by whole octaves so that its middle lies nearest to the middle of the comfortable range."""
    low, high = (pitch.midi for pitch in horn.comfortable)
    heights = [sound.sounding.midi for sound in line.sounds]
    octaves = round(((low + high) - (min(heights) + max(heights))) / 24)
    playable = set(horn.normal)
    kept = [sound for sound in line.sounds if sound.sounding.midi + 12 * octaves in playable]
    assert len(kept) == len(line.sounds), "choose another part for this horn"
    return replace(
        line,
        sounds=tuple(
            replace(sound, sounding=SoundingPitch.from_midi(sound.sounding.midi + 12 * octaves))
            for sound in line.sounds
        ),
    )


def changes_at(line: Line, horn: Horn, dynamic: float) -> int:
    return plan_line(with_dynamic(line, dynamic), horn, chances=CHANCES)[0].changes


@pytest.mark.oracle
@pytest.mark.parametrize(("name", "number", "horn_id"), PARTS)
def test_a_real_part_at_mf_keeps_to_normal_fingerings(name: str, number: int, horn_id: str) -> None:
    music21 = pytest.importorskip("music21", exc_type=ImportError)
    path = Path(music21.__file__).parent / "corpus" / name
    score = open_musicxml(path.read_bytes(), where=name)
    horn = load_horn(horn_id)
    line = moved_into_range(line_of(score.part(score.headings[number])), horn)
    at_mf, at_pp = changes_at(line, horn, 0.0), changes_at(line, horn, PP)
    assert at_mf <= 0.03 * len(line.sounds)
    assert at_mf <= at_pp <= 0.12 * len(line.sounds)


def test_the_demo_at_mf_keeps_to_normal_fingerings() -> None:
    name, data = demo_part()
    score = open_musicxml(data, where=name)
    line = line_of(score.part(score.headings[0]))
    horn = load_horn("euphonium-4c")
    assert changes_at(line, horn, 0.0) <= 0.03 * len(line.sounds)
    assert changes_at(line, horn, 0.0) < changes_at(line, horn, PP) <= 0.12 * len(line.sounds)

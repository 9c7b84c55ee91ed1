"""The chain of fingerings comes out of the lengths as players know it."""

import pytest

from slurwright.devices.packaged import horn_ids, load_horn
from slurwright.horn import fingerings_of
from slurwright.pitch import cents_of_ratio
from slurwright.practice.exercise.rungs import Rungs, chain_of, usual_partials

THREE = ["0", "2", "1", "1-2", "2-3", "1-3", "1-2-3"]
FOUR = ["0", "2", "1", "1-2", "2-3", "4", "2-4"]


@pytest.mark.parametrize(
    ("horn_id", "side", "want"),
    [
        ("euphonium-3", "", THREE),
        ("euphonium-3c", "", THREE),
        ("euphonium-4", "", FOUR),
        ("euphonium-4c", "", FOUR),
        ("tuba-f-6", "", FOUR),
        ("trumpet-piccolo-b", "", FOUR),
        ("horn-double", "", THREE),
        ("horn-double", "T", [f"T{fingering}" for fingering in THREE]),
        ("horn-f-ascending-3", "", THREE[:4]),
        ("trombone-f", "", list("1234567")),
        ("trombone-f", "T", [f"T{place}" for place in "123456"]),
        ("trombone-bass", "TG", [f"TG{place}" for place in "12345"]),
    ],
)
def test_the_chain(horn_id: str, side: str, want: list[str]) -> None:
    assert [link.setting.fingering for link in chain_of(load_horn(horn_id), side=side)] == want


@pytest.mark.parametrize("horn_id", horn_ids())
def test_each_link_is_about_a_semitone_longer_and_of_this_horn(horn_id: str) -> None:
    horn = load_horn(horn_id)
    for side in dict.fromkeys(setting.side for setting in horn.settings):
        chain = chain_of(horn, side=side)
        assert chain
        base = chain[0].setting.exact_ratio
        for step, link in enumerate(chain):
            assert link.step == step
            assert link.setting.fingering in fingerings_of(horn)
            assert -90.0 <= cents_of_ratio(link.setting.exact_ratio / base) - 100.0 * step <= 10.0


def test_a_chain_may_be_shorter() -> None:
    assert [link.setting.fingering for link in chain_of(load_horn("trumpet-b"), most=3)] == ["0", "2", "1"]


def test_partials_far_from_a_semitone_are_passed_over() -> None:
    assert usual_partials(20.0) == (1, 2, 3, 4, 5, 6, 8, 9, 10, 12, 15, 16)


@pytest.mark.parametrize(
    ("horn_id", "reading", "want"),
    [
        ("euphonium-4c", 0, "D4 C#4 C4 B3 Bb3 A3 G#3"),
        ("euphonium-4c", 1, "E5 D#5 D5 C#5 C5 B4 A#4"),
        ("horn-f", 0, "E4 D#4 D4 C#4 C4 B3 A#3"),
    ],
)
def test_notes_are_spelled_as_thirds_of_their_own_tube(horn_id: str, reading: int, want: str) -> None:
    horn = load_horn(horn_id)
    low, high = (pitch.midi for pitch in horn.possible)
    rungs = Rungs.on(horn, horn.readings[reading], low_midi=low, high_midi=high)
    stands = [rungs.stand(link, 5) for link in chain_of(horn)]
    assert " ".join(str(stand.written) for stand in stands if stand is not None) == want

"""The packaged catalogue: complete, quick to load, and helpful about wrong names."""

import tomllib
from importlib import resources

import pytest

from slurwright.devices import packaged
from slurwright.devices.packaged import horn_ids, load_horn, load_readings
from slurwright.errors import HornError
from slurwright.formats.horn_toml import SOURCES
from slurwright.pitch import WrittenPitch

WANTED = [
    "trumpet-b",
    "trumpet-c",
    "trumpet-d",
    "trumpet-eb",
    "trumpet-piccolo-b",
    "trumpet-piccolo-a",
    "cornet-b",
    "cornet-eb",
    "flugelhorn-b",
    "flugelhorn-b-4",
    "horn-f",
    "horn-b",
    "horn-double",
    "horn-f-ascending-3",
    "horn-eb-tenor",
    "baritone-3",
    "baritone-3c",
    "euphonium-3",
    "euphonium-3c",
    "euphonium-4",
    "euphonium-4c",
    "euphonium-3p1c",
    "tuba-f-5",
    "tuba-f-6",
    "tuba-eb-3",
    "tuba-eb-3c",
    "tuba-eb-4c",
    "tuba-eb-4",
    "tuba-c-4",
    "tuba-c-5",
    "tuba-b-3",
    "tuba-b-3c",
    "tuba-b-4",
    "tuba-b-4c",
    "trombone",
    "trombone-f",
    "trombone-bass",
    "trombone-bass-dep",
    "trombone-alto",
]


def test_the_catalogue_is_complete() -> None:
    assert horn_ids() == tuple(sorted(WANTED))


@pytest.mark.parametrize("horn_id", horn_ids())
def test_ids_names_and_sources(horn_id: str) -> None:
    horn = load_horn(horn_id)
    assert horn.id == horn_id
    assert any(key in horn.name for key in ("B♭", "E♭", "in C", "in D", "in F", "in A"))
    text = (resources.files("slurwright") / "data" / "horns" / f"{horn_id}.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    for name, block in table.items():
        for one in block if isinstance(block, list) else [block]:
            if isinstance(one, dict):
                assert str(one.get("source", "")).startswith(SOURCES), f"{name} names no source"


@pytest.mark.parametrize("horn_id", horn_ids())
def test_every_reading_writes_the_comfortable_range_and_reads_it_back(horn_id: str) -> None:
    horn = load_horn(horn_id)
    for reading in horn.readings:
        for sounding in horn.comfortable:
            written = reading.transposition.to_written(sounding)
            assert isinstance(written, WrittenPitch)
            assert reading.transposition.to_sounding(written) == sounding


def test_loading_one_horn_reads_only_its_file(monkeypatch: pytest.MonkeyPatch) -> None:
    load_readings()
    read = []
    real = packaged._text

    def spy(*path: str) -> str:
        read.append(path)
        return real(*path)

    monkeypatch.setattr(packaged, "_text", spy)
    load_horn("trumpet-b")
    assert read == [("horns", "trumpet-b.toml")]


def test_an_unknown_horn_is_refused_with_the_nearest_ids() -> None:
    with pytest.raises(HornError) as caught:
        load_horn("Euphonium-4x")
    fault = caught.value.faults[0]
    assert "euphonium-4c" in fault.got
    assert "trombone-alto" in fault.allowed
    with pytest.raises(HornError, match="no such instrument; got 'zither'; allowed"):
        load_horn("zither")


def test_readings_are_a_copy() -> None:
    load_readings().clear()
    assert "bass-concert" in load_readings()

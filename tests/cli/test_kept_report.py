"""The list of takes: where each recording is."""

import io
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console

from builders.kept_takes import about
from builders.stores import NOW, counted_ids
from slurwright.cli.kept_report import print_takes
from slurwright.listen.kept import KeptTake
from slurwright.store import open_store


@pytest.fixture
def kept(tmp_path: Path) -> KeptTake:
    with open_store(tmp_path / "home" / "slurwright.sqlite3", now=NOW, new_id=counted_ids()) as store:
        player = store.add_player("Ida Moor", now=NOW)
        asked = about(player.id, None)
        return store.receive_take(asked, io.BytesIO(b"sound"), called="monday.wav", ending=".wav", now=NOW)


def _printed(kept: KeptTake, missing: Collection[str] = ()) -> str:
    out = io.StringIO()
    print_takes([kept], {}, missing=missing, console=Console(file=out, width=100, highlight=False, markup=False))
    return out.getvalue().splitlines()[-1]


def test_a_recording_is_here_elsewhere_or_given_up(kept: KeptTake) -> None:
    assert _printed(kept).split()[-1] == "kept"
    assert _printed(kept, {kept.id}).split()[-1] == "elsewhere"
    assert _printed(replace(kept, sound=None)).split()[-2:] == ["not", "kept"]


def test_a_take_on_no_horn_that_stands_is_told_by_its_model(kept: KeptTake) -> None:
    assert "Waltz of the Ferry" in _printed(kept)
    assert "euphonium-4c" in _printed(kept)
    assert "not measured yet" in _printed(kept)

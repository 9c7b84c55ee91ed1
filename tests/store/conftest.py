"""A store of a small band for each test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from builders.stores import NOW, counted_ids, fill
from slurwright.store import Store, open_store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "home" / "slurwright.sqlite3"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    """An empty store."""
    with open_store(path, now=NOW, new_id=counted_ids()) as opened:
        yield opened


@pytest.fixture
def band(store: Store) -> Store:
    """A store with two players, three horns and five readings."""
    fill(store)
    return store

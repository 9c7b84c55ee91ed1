"""Tables of figures from outside the project, read from ``tests/references``."""

import tomllib
from pathlib import Path
from typing import Any

__all__ = ["reference"]

_ROOT = Path(__file__).parents[1] / "references"


def reference(source: str, table: str) -> dict[str, Any]:
    """Read one table of one source."""
    return tomllib.loads((_ROOT / source / f"{table}.toml").read_text(encoding="utf-8"))

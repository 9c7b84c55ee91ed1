"""Where the player's store lies: the system's folder for a user's data, unless they say otherwise."""

import secrets
from collections.abc import Mapping
from pathlib import Path

__all__ = ["FILE_NAME", "HOME_VARIABLE", "home_folder", "random_id", "store_path"]

HOME_VARIABLE = "SLURWRIGHT_HOME"
"""Environment variable that names another folder."""
FILE_NAME = "slurwright.sqlite3"


def home_folder(given: Path | None = None, *, environment: Mapping[str, str]) -> Path:
    """Say in which folder the player's data lies.

    Args:
        given: what the player named for this one command; None if they named nothing.
        environment: variables of the process.
    """
    if given is not None:
        return given
    if named := environment.get(HOME_VARIABLE, "").strip():
        return Path(named).expanduser()
    from platformdirs import user_data_path  # noqa: PLC0415 - only where the player has not said a folder

    return user_data_path("slurwright", appauthor=False)


def store_path(given: Path | None = None, *, environment: Mapping[str, str]) -> Path:
    """Say which file is the store.

    Args:
        given: folder that the player named for this one command; None if they named none.
        environment: variables of the process.
    """
    return home_folder(given, environment=environment) / FILE_NAME


def random_id() -> str:
    """Make a name for a new row that no other store will give to another row."""
    return secrets.token_hex(8)

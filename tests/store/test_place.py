from pathlib import Path

from slurwright.store import HOME_VARIABLE, home_folder, store_path
from slurwright.store.place import random_id


def test_what_is_named_for_one_command_comes_first() -> None:
    environment = {HOME_VARIABLE: "/elsewhere"}
    assert home_folder(Path("here"), environment=environment) == Path("here")
    assert home_folder(environment=environment) == Path("/elsewhere")
    assert store_path(environment=environment) == Path("/elsewhere/slurwright.sqlite3")


def test_otherwise_it_is_the_systems_folder() -> None:
    for environment in ({}, {HOME_VARIABLE: " "}):
        folder = home_folder(environment=environment)
        assert folder.is_absolute()
        assert folder.name == "slurwright"


def test_ids_do_not_come_again() -> None:
    assert len({random_id() for _ in range(1000)}) == 1000

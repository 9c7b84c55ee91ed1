"""What the docs show is there, and what is there is in the docs."""

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from slurwright.cli.group import slurwright

ROOT = Path(__file__).parents[2]
GUIDE = "\n".join(page.read_text("utf-8") for page in sorted((ROOT / "docs").glob("*.md")))
README = (ROOT / "README.md").read_text("utf-8")


def _commands(group: click.Group, above: str = "") -> Iterator[tuple[str, click.Command]]:
    for name, command in group.commands.items():
        yield f"{above}{name}", command
        if isinstance(command, click.Group):
            yield from _commands(command, f"{name} ")


COMMANDS = dict(_commands(slurwright))


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_command_is_explained(command: str) -> None:
    assert f"`slurwright {command}" in README + GUIDE


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_option_is_explained(command: str) -> None:
    for parameter in COMMANDS[command].params:
        if isinstance(parameter, click.Option):
            for name in parameter.opts:
                assert re.search(rf"`{name}\b", GUIDE) or f" {name} " in GUIDE, f"{name} is not in the guide"


def test_no_option_is_explained_that_does_not_exist() -> None:
    known = {name for command in COMMANDS.values() for parameter in command.params for name in parameter.opts}
    assert set(re.findall(r"--[a-z][a-z-]+", GUIDE)) <= known


def test_every_dependency_stands_in_the_table_with_its_licence() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    rows = {line.split("|")[1] for line in README.splitlines() if line.startswith("| ")}
    for requirement in project["dependencies"]:
        name = re.split(r"[<>=~\[ ]", requirement)[0]
        assert any(name in row for row in rows), f"{name} is not in the README's table of libraries"


def test_help_does_not_load_what_it_does_not_need() -> None:
    code = (
        "import sys; sys.argv = ['slurwright', '--help']\n"
        "from slurwright.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "heavy = ('numpy', 'lxml', 'verovio', 'typst', 'mido', 'rich', 'sqlite3')\n"
        "print([name for name in heavy if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "[]"

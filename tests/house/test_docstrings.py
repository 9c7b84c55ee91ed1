"""Public docstrings say what their functions take, with units, and nothing that is not there."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

import slurwright

_ARGUMENT = re.compile(r"^    (\w+): (.*)$")
_UNIT = re.compile(r"\[[^\]]+\]")


def _modules() -> Iterator[str]:
    for found in pkgutil.walk_packages(slurwright.__path__, "slurwright."):
        yield found.name


def _public_functions() -> list[tuple[str, Callable[..., Any]]]:
    functions: list[tuple[str, Callable[..., Any]]] = []
    for name in _modules():
        module = importlib.import_module(name)
        for public in getattr(module, "__all__", ()):
            member = getattr(module, public)
            if inspect.isfunction(member) and member.__module__ == name:
                functions.append((f"{name}.{public}", member))
    return functions


FUNCTIONS = _public_functions()


def _arguments(doc: str) -> dict[str, str]:
    """Read the lines of the Args section, continuation lines joined."""
    found: dict[str, str] = {}
    inside = False
    current = ""
    for line in doc.splitlines():
        if line == "Args:":
            inside = True
        elif inside and line and not line.startswith(" "):
            break
        elif inside:
            match = _ARGUMENT.match(line)
            if match:
                current = match[1]
                found[current] = match[2]
            elif current:
                found[current] += " " + line.strip()
    return found


def _is_numeric(annotation: object) -> bool:
    return annotation in (float, "float", "float | None", "NDArray[np.float64]", "FloatArray")


@pytest.mark.parametrize("function", [f for _, f in FUNCTIONS], ids=[name for name, _ in FUNCTIONS])
def test_arguments_are_described_with_units(function: Callable[..., Any]) -> None:
    doc = inspect.getdoc(function)
    assert doc, "a public function has a docstring"
    described = _arguments(doc)
    taken = inspect.signature(function).parameters
    if described:
        assert set(described) <= set(taken), "the docstring describes arguments that do not exist"
        assert set(taken) == set(described), "the docstring describes some arguments and leaves out others"
    for name, parameter in taken.items():
        if _is_numeric(parameter.annotation):
            assert name in described, f"{name} is a number and is not described"
            assert _UNIT.search(described[name]), f"{name} is a number and its line names no [unit]"


@pytest.mark.parametrize("function", [f for _, f in FUNCTIONS], ids=[name for name, _ in FUNCTIONS])
def test_numbers_that_come_back_have_units(function: Callable[..., Any]) -> None:
    if _is_numeric(inspect.signature(function).return_annotation):
        assert _UNIT.search(inspect.getdoc(function) or ""), "the returned number has no [unit]"


def test_the_rule_looks_at_enough() -> None:
    assert len(FUNCTIONS) > 50

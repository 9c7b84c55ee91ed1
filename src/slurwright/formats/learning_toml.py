"""Priors for learning a horn, from their table."""

import dataclasses
import tomllib
from collections.abc import Iterator

from slurwright.errors import Fault, HornError
from slurwright.formats.figures_toml import ORIGINS
from slurwright.horn.learnt.values import Priors

__all__ = ["priors_from_toml"]


def _faults_of(name: str, block: object) -> Iterator[Fault]:
    if not isinstance(block, dict):
        yield Fault("a prior outside a block", got=name, allowed="[block] with tag and source", where="learning.toml")
        return
    if block.get("tag") not in ORIGINS:
        yield Fault("no tag of provenance", got=repr(block.get("tag")), allowed=", ".join(ORIGINS), where=f"[{name}]")
    if not str(block.get("source", "")).strip():
        yield Fault("no source", allowed="where the figures are from", where=f"[{name}]")


def _number_fault(name: str, value: object) -> Fault | None:
    if isinstance(value, bool) or not isinstance(value, int | float) or not value > 0:
        return Fault("not a prior", got=f"{name} = {value!r}", allowed="a number above zero", where="learning.toml")
    return None


def priors_from_toml(text: str) -> Priors:
    """Read the priors; every block must say where its figures are from.

    Raises:
        HornError: a figure is missing, unknown or not above zero, or a block has no tag or source.

    """
    try:
        blocks = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise HornError("the table of priors is not TOML", got=str(error), where="learning.toml") from error
    faults = [fault for name, block in blocks.items() for fault in _faults_of(name, block)]
    figures = {
        key: value
        for block in blocks.values()
        if isinstance(block, dict)
        for key, value in block.items()
        if key not in ("tag", "source")
    }
    wanted = {field.name for field in dataclasses.fields(Priors)}
    faults += [Fault("a prior is missing", got=name, where="learning.toml") for name in sorted(wanted - set(figures))]
    faults += [Fault("no such prior", got=name, where="learning.toml") for name in sorted(set(figures) - wanted)]
    faults += [fault for name, value in figures.items() if (fault := _number_fault(name, value))]
    if faults:
        raise HornError(faults=tuple(faults))
    return Priors(**figures)

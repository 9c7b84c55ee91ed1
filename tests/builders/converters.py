"""Ports to converters: ABC in this process, for the many texts that are tried and need no child's limits."""

from collections.abc import Sequence
from typing import Never

from slurwright.devices import abc_child
from slurwright.errors import NotationError


def abc_here(tunes: Sequence[str], _where: str) -> tuple[tuple[str, str], ...]:
    return tuple((xml, said) for xml, said in abc_child.translate({"tunes": tunes})["tunes"])


def never(_data: object, _where: str) -> Never:
    raise NotationError("asked to convert")

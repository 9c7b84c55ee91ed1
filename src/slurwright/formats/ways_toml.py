"""The table of how familiar and how well known ways are: TOML text to a value, all faults gathered."""

import tomllib
from dataclasses import fields

from slurwright.errors import Fault, HornError
from slurwright.plan.familiar import Familiarity

__all__ = ["parse_familiarity"]

_BLOCKS = ("familiarity", "spread", "order")


def parse_familiarity(text: str) -> Familiarity:
    """Read the priors of familiarity, spread and order.

    Args:
        text: TOML with the tables familiarity, spread and order.

    Raises:
        HornError: not TOML, an entry missing, unknown, or not a number above zero.

    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise HornError("not TOML", got=str(error), where="ways") from error
    entries = {key: value for block in _BLOCKS for key, value in table.get(block, {}).items() if key != "source"}
    names = [field.name for field in fields(Familiarity)]
    faults = [Fault("missing entry", allowed=name, where="ways") for name in names if name not in entries]
    for key, value in entries.items():
        if key not in names:
            faults.append(Fault("no such entry", got=key, allowed=", ".join(names), where="ways"))
        elif not isinstance(value, int | float) or value <= 0:
            faults.append(Fault("not a number above zero", got=repr(value), where=f"ways, {key}"))
    if faults:
        raise HornError(faults=tuple(faults))
    return Familiarity(**{key: float(value) for key, value in entries.items()})

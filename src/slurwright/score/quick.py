"""How can tens of thousands of frozen values be made without waiting? By filling their slots directly.

The constructor that `dataclasses` writes for a frozen class calls ``object.__setattr__`` once a field, which takes
twice as long as setting the slots through their own descriptors. Notes, sounds and moves are made by the ten thousand
when a large score is read, and making them was an eighth of the whole time.
"""

from dataclasses import MISSING, fields
from typing import Any, TypeVar

__all__ = ["quickly_made"]

_Class = TypeVar("_Class", bound=type)


def quickly_made(cls: _Class) -> _Class:
    """Give a frozen, slotted dataclass a constructor that does the same in half the time.

    Args:
        cls: without ``__post_init__``, default factories or inherited fields; names, order and defaults stay.

    Raises:
        TypeError: the class has one of these.

    """
    if hasattr(cls, "__post_init__") or any(one.default_factory is not MISSING for one in fields(cls)):
        raise TypeError(f"{cls.__name__} needs the constructor that dataclasses write")
    names: dict[str, Any] = {}
    arguments, body = [], []
    for one in fields(cls):
        names[f"_set_{one.name}"] = cls.__dict__[one.name].__set__
        names[f"_default_{one.name}"] = one.default
        arguments.append(one.name if one.default is MISSING else f"{one.name}=_default_{one.name}")
        body.append(f"    _set_{one.name}(self, {one.name})")
    # The text holds nothing but the names of the class's own fields, as that of dataclasses does.
    exec("\n".join([f"def __init__(self, {', '.join(arguments)}):", *body]), names)  # noqa: S102
    made = names["__init__"]
    made.__qualname__, made.__module__ = f"{cls.__qualname__}.__init__", cls.__module__
    made.__annotations__ = cls.__init__.__annotations__  # type: ignore[misc]  # of the class, not of an instance
    setattr(cls, "__init__", made)  # noqa: B010  (a plain assignment is refused by the type checker)
    return cls

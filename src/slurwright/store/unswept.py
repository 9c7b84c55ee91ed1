"""Building a great many values at once without stopping to look for cycles among them."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["unswept"]


@contextmanager
def unswept() -> Iterator[None]:
    """Put the search for cycles off: rows become millions of values that hold none, and it takes half the time."""
    sweeping = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if sweeping:
            gc.enable()

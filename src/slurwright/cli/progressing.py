"""How far long work is, on the terminal, if anyone is looking."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

__all__ = ["progressing"]


@contextmanager
def progressing(what: str) -> Iterator[Callable[[float], None]]:
    """Show how much of some work is done, while it lasts.

    Args:
        what: what is being done, such as "measuring".

    Yields:
        What is to be told the share that is done, 0..1.
    """
    if not sys.stderr.isatty():
        yield lambda _share: None
        return
    from rich.console import Console  # noqa: PLC0415  only people need it
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn  # noqa: PLC0415

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(what, total=1.0)
        yield lambda share: progress.update(task, completed=share)

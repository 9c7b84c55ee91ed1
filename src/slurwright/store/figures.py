"""Figures as columns: a value and its interval, or the word that says what hides it."""

from collections.abc import Iterator, Sequence

from slurwright.listen.figure import Figure, Hidden, Measured, Veil

__all__ = ["columns_of", "figure_columns", "figure_from", "measured_columns", "measured_from", "measured_values"]

Cell = float | int | str | None


def measured_columns(name: str) -> tuple[str, ...]:
    """Name the four columns of a figure that may be hidden."""
    return (*figure_columns(name), f"{name}_hidden")


def figure_columns(name: str) -> tuple[str, ...]:
    """Name the three columns of a figure."""
    return (name, f"{name}_low", f"{name}_high")


def columns_of(*names: str) -> Iterator[str]:
    """Name the columns of several figures that may be hidden."""
    for name in names:
        yield from measured_columns(name)


def measured_values(measured: Measured) -> tuple[Cell, ...]:
    """Give what stands in a figure's four columns."""
    if isinstance(measured, Figure):
        return (measured.value, measured.low, measured.high, None)
    return (None, None, None, measured.why.value)


def measured_from(row: Sequence[Cell], at: int) -> Measured:
    """Read four columns.

    Args:
        row: of a table.
        at: the first of the four [1].

    Raises:
        ValueError: they make no figure.
    """
    hidden = row[at + 3]
    if hidden is None:
        return figure_from(row, at)
    known = _HIDDEN.get(hidden)
    return Hidden(Veil(hidden)) if known is None else known


_HIDDEN: dict[Cell, Hidden] = {veil.value: Hidden(veil) for veil in Veil}
"""The few that there are, made once: a long look at the past meets each ten thousand times."""


def figure_from(row: Sequence[Cell], at: int) -> Figure:
    """Read three columns.

    Args:
        row: of a table.
        at: the first of the three [1].

    Raises:
        ValueError: they make no figure.
    """
    value, low, high = row[at], row[at + 1], row[at + 2]
    # The columns are held to figures or nothing by the table itself.
    if value is None or low is None or high is None:
        raise ValueError("a figure without a value or an interval")
    return Figure(value, low, high)  # type: ignore[arg-type]

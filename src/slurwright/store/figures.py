"""Figures as columns: a value and its interval, or the word that says what hides it."""

from collections.abc import Iterator

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


def measured_from(cells: Iterator[Cell]) -> Measured:
    """Read the next four columns.

    Raises:
        ValueError: they make no figure.
    """
    value, low, high, hidden = (next(cells) for _ in range(4))
    if hidden is not None:
        return Hidden(Veil(hidden))
    return figure_from(iter((value, low, high)))


def figure_from(cells: Iterator[Cell]) -> Figure:
    """Read the next three columns.

    Raises:
        ValueError: they make no figure.
    """
    value, low, high = (next(cells) for _ in range(3))
    if not (isinstance(value, float) and isinstance(low, float) and isinstance(high, float)):
        raise ValueError("a figure without a value or an interval")  # noqa: TRY004 - said as damage of the row
    return Figure(value, low, high)

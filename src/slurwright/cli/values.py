"""Kinds of words that options take: figures within a range, and days."""

import math
from datetime import datetime
from typing import Any

import click

__all__ = ["DAY", "Figure"]


class Figure(click.FloatRange):
    """A figure within a range; "nan" is within none, though it compares as if it were."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Read a word of the command line."""
        figure = super().convert(value, param, ctx)
        if math.isnan(figure):
            self.fail(f"{figure} is not in the range {self._describe_range()}.", param, ctx)
        return figure


class _Day(click.DateTime):
    """A day of the calendar, such as 2026-01-31."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Read a word of the command line."""
        if isinstance(value, datetime):
            return value
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            self.fail(
                f"{value!r} is no day of the calendar; allowed: year-month-day, such as 2026-01-31.", param, ctx
            )


DAY = _Day(["%Y-%m-%d"])
"""A day of the calendar."""

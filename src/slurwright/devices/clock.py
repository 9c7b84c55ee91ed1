"""What time it is."""

from datetime import UTC, date, datetime

__all__ = ["day_of", "now", "today"]


def now() -> datetime:
    """Say what time it is, in UTC."""
    return datetime.now(UTC)


def today() -> date:
    """Say what day it is on the player's calendar."""
    return day_of(datetime.now(UTC))


def day_of(at: datetime) -> date:
    """Say on which day of the player's calendar a time was.

    Args:
        at: with its zone.
    """
    return at.astimezone().date()

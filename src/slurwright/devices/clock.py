"""What time it is."""

from datetime import UTC, date, datetime

__all__ = ["now", "today"]


def now() -> datetime:
    """Say what time it is, in UTC."""
    return datetime.now(UTC)


def today() -> date:
    """Say what day it is on the player's calendar."""
    return datetime.now(UTC).astimezone().date()

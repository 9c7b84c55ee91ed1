"""Times as they are kept and exchanged: UTC, as text whose order is the order in time."""

from datetime import UTC, datetime

from slurwright.errors import StoreError

__all__ = ["from_text", "in_names", "to_text"]


def to_text(at: datetime) -> str:
    """Write a time in UTC with microseconds: ``2026-01-09T18:30:00.000000Z``.

    Raises:
        StoreError: the time does not say its zone, so that its order among others is unknown.
    """
    if at.tzinfo is None:
        raise StoreError("a time without its zone", got=at.isoformat(), allowed="a time with a zone, such as UTC")
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def from_text(text: str) -> datetime:
    """Read a time that `to_text` wrote."""
    return datetime.fromisoformat(text).astimezone(UTC)


def in_names(at: datetime) -> str:
    """Write a time so that it can stand in a file's name: ``20260109T183000.000000Z``."""
    return to_text(at).replace("-", "").replace(":", "")

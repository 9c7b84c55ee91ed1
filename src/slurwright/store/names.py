"""What a player or a horn may be called, so that a name typed again finds the same row."""

import unicodedata
from difflib import get_close_matches

from slurwright.errors import StoreError

__all__ = ["LONGEST_NAME", "clean_name", "no_such", "same_name", "writable"]

LONGEST_NAME = 80
"""Most letters of a name; ours [characters]."""


def clean_name(name: str, what: str) -> str:
    """Bring a name into the form in which it is kept: composed letters, single spaces, none at the ends.

    Args:
        name: as typed.
        what: "player" or "horn", for messages.

    Raises:
        StoreError: nothing is left, or it is too long or holds signs that cannot be seen.
    """
    kept = " ".join(unicodedata.normalize("NFC", name).split())
    if not kept or len(kept) > LONGEST_NAME or not kept.isprintable():
        raise StoreError(
            f"this cannot be the name of a {what}",
            got=repr(name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}…"),
            allowed=f"1 to {LONGEST_NAME} letters that can be seen",
        )
    return kept


def same_name(name: str) -> str:
    """Give the form by which two names count as the same: capitals and small letters alike."""
    return " ".join(unicodedata.normalize("NFC", name).split()).casefold()


def writable(text: str) -> bool:
    """Say whether a text can be kept: half a surrogate pair, as from a garbled command line, cannot."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def no_such(what: str, name: str, names: list[str]) -> StoreError:
    """Make the error that a name is unknown, with the nearest ones.

    Args:
        what: "player" or "horn".
        name: as typed.
        names: those that there are.
    """
    close = get_close_matches(name, names, n=1)
    return StoreError(
        f"there is no {what} of that name" + (f"; did you mean {close[0]}?" if close else ""),
        got=repr(name),
        allowed=", ".join(names) or f"none: no {what} has been added yet",
    )

"""Text as it can stand on a page: nothing that XML forbids, lines no longer than the sheet is wide."""

__all__ = ["lines_of", "printable"]

_LONGEST = 400
"""More than any heading needs; cuts what a broken file may call a title [characters]. Derived."""


def printable(text: str) -> str:
    """Say what of a text can be printed: one line, no control characters, no more than a paragraph."""
    kept = "".join(letter if letter.isprintable() and letter not in "\ufffe\uffff" else " " for letter in text)
    return " ".join(kept.split())[:_LONGEST]


def lines_of(text: str, longest: int) -> tuple[str, ...]:
    """Break a text at its spaces so that no line is longer than the sheet is wide.

    Args:
        text: what is to be broken.
        longest: most letters in a line; a single longer word keeps a line of its own [characters].

    """
    lines: list[str] = []
    for word in printable(text).split():
        if lines and len(lines[-1]) + 1 + len(word) <= longest:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(lines)

"""How much room words take: cautious widths of a plain sans-serif type, enough to keep labels apart.

Widths are fractions of the size for the common proportional faces (Helvetica-like); from memory, rounded up so
that a slightly wider face still fits.
"""

__all__ = ["CAP_HEIGHT", "text_width"]

CAP_HEIGHT = 0.72
"""Height of a capital or a digit over the size of the type [1]."""

_WIDTHS = {
    **dict.fromkeys("0123456789", 0.56),
    **dict.fromkeys("ijl.,:;'|!", 0.28),
    **dict.fromkeys("ABCDEFGHKNOPQRSTUVXYZ", 0.72),
    **dict.fromkeys("MW%mw", 0.89),
    **dict.fromkeys(" \u00a0\u2009frt-()/I", 0.34),
    **dict.fromkeys("♭♯+−–→", 0.6),
}


def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Room that a line of words takes, rather more than less [mm].

    Args:
        words: one line.
        size: of the type [mm].
        bold: heavier type is a little wider.

    """
    return sum(_WIDTHS.get(letter, 0.56) for letter in words) * size * (1.06 if bold else 1.0)

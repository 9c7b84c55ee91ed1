"""How the engraver is to set a page: sheet, margins, staff size, spacing."""

from collections.abc import Mapping
from types import MappingProxyType

from slurwright.formats.pages.request import Paper

__all__ = ["PAPER_SIZES_MM", "engraver_options", "stand_system_options", "system_options"]

PAPER_SIZES_MM: Mapping[Paper, tuple[float, float]] = MappingProxyType(
    {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
)
"""Width and height [mm]. A4 published: ISO 216; Letter published: ANSI/ASME Y14.1 size A."""
_TENTHS_PER_UNIT = 9.4
"""Half a staff space [0.1 mm]: the staff is 7.5 mm high, as parts for a stand commonly are. Common practice."""
_CLOSER_TENTHS = 8.6
"""The smallest that is still easily read at a stand: staves of 6.9 mm [0.1 mm]. Common practice."""
_SMALL_TENTHS = 7.5
"""For music that is looked at on a desk beside figures, not played from: staves of 6 mm [0.1 mm]. Common practice."""
_MARGIN_TENTHS = 130
_SEED = 1
"""Names inside a drawing come from this, so that the same part gives the same bytes."""


def engraver_options(
    paper: Paper, *, follow_breaks: bool, closer: bool = False
) -> dict[str, str | int | float | bool]:
    """Say how the engraver is to set a part on a sheet; names of options are the engraver's own.

    Args:
        paper: the sheet.
        follow_breaks: whether the part asks for new systems, which are then followed where a line is nearly full.
        closer: sets a little smaller, to save a page turn for the last few bars.

    """
    width, height = PAPER_SIZES_MM[paper]
    return {
        "pageWidth": round(width * 10),
        "pageHeight": round(height * 10),
        "pageMarginLeft": _MARGIN_TENTHS,
        "pageMarginRight": _MARGIN_TENTHS,
        "pageMarginTop": _MARGIN_TENTHS,
        "pageMarginBottom": _MARGIN_TENTHS,
        "unit": _CLOSER_TENTHS if closer else _TENTHS_PER_UNIT,
        "mmOutput": True,
        "svgFormatRaw": True,
        "svgViewBox": True,
        "smuflTextFont": "none",
        "font": "Leipzig",
        "header": "encoded",
        "footer": "encoded",
        "usePgHeaderForAll": False,
        "usePgFooterForAll": False,
        "breaks": "smart" if follow_breaks else "auto",
        "breaksSmartSb": 0.75,
        "breaksNoWidow": True,
        "justifyVertically": True,
        "multiRestStyle": "block",
        "justificationMaxVertical": 0.12,
        "minLastJustification": 0.6,
        "spacingSystem": 4,
        "topMarginPgFooter": 4,
        "spacingLinear": 0.22,
        "xmlIdSeed": _SEED,
    }


def system_options(paper: Paper, *, left_mm: float, right_mm: float) -> dict[str, str | int | float | bool]:
    """Say how the engraver is to set systems that stand one by one among other drawings, with room for figures.

    Args:
        paper: the sheet.
        left_mm: left margin, to the start of the staves [mm].
        right_mm: right margin [mm].

    """
    return engraver_options(paper, follow_breaks=False) | {
        "pageMarginLeft": round(left_mm * 10),
        "pageMarginRight": round(right_mm * 10),
        "unit": _SMALL_TENTHS,
        "header": "none",
        "footer": "none",
        "justifyVertically": False,
        "spacingLinear": 0.7,
        "spacingNonLinear": 0.5,
    }


def stand_system_options(paper: Paper, *, left_mm: float, right_mm: float) -> dict[str, str | int | float | bool]:
    """Say how the engraver is to set systems that stand one by one among words and are played from.

    Args:
        paper: the sheet.
        left_mm: left margin, to the start of the staves [mm].
        right_mm: right margin [mm].

    """
    return engraver_options(paper, follow_breaks=True, closer=True) | {
        "pageMarginLeft": round(left_mm * 10),
        "pageMarginRight": round(right_mm * 10),
        "header": "none",
        "footer": "none",
        "justifyVertically": False,
        "spacingLinear": 0.3,
        "breaksSmartSb": 0.6,
    }

"""Pages: a part with its fingerings as text that an engraver can draw, and back from its drawing to clean pages."""

from slurwright.formats.pages.request import ChoiceRow, PageRequest, Paper, Picture, RowLabel, RowStyle, WeakSlurMark

__all__ = ["ChoiceRow", "PageRequest", "Paper", "Picture", "RowLabel", "RowStyle", "WeakSlurMark"]

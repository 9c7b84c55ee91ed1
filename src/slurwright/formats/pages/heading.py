"""The heading of the first sheet, the running line of the others, and their page numbers."""

from slurwright.formats.pages.element import Element, child, write
from slurwright.formats.pages.request import PageRequest
from slurwright.formats.pages.text import lines_of, printable

__all__ = ["PAGE_MARK", "write_heading"]

PAGE_MARK = "\u2039page\u203a"
"""Stands where the page number belongs until it is known how many pages there are."""
_HARD_SPACE = "\u00a0"
"""An empty line of it is air that the engraver keeps."""
_TITLE_LETTERS = 44
_SUBTITLE_LETTERS = 92
_RUNNING_LETTERS = 60
"""Letters that fit on one line of the narrower sheet at their size. Derived from the sizes below."""


def write_heading(start: Element, request: PageRequest) -> None:
    """Write the page heads and feet into the score definition."""
    head = child(start, "pgHead", {"func": "first"})
    _write_lines(head, lines_of(request.title, _TITLE_LETTERS), {"halign": "center", "valign": "top"}, "190%")
    write(head, "", {"halign": "center", "valign": "top", "fontsize": "40%"}).text = _HARD_SPACE
    _write_lines(head, lines_of(request.subtitle, _SUBTITLE_LETTERS), {"halign": "center", "valign": "middle"}, "95%")
    composer = printable(request.part.composer)
    if composer:
        write(head, "", {"halign": "right", "valign": "bottom", "fontsize": "50%"}).text = _HARD_SPACE
        write(head, composer, {"halign": "right", "valign": "bottom", "fontsize": "90%", "fontstyle": "italic"})
    running = lines_of(request.running or request.title, _RUNNING_LETTERS)
    for func in ("first", "all"):
        foot = child(start, "pgFoot", {"func": func})
        write(foot, "", {"halign": "left", "valign": "top", "fontsize": "80%"}).text = _HARD_SPACE
        if func == "all" and running:
            text = running[0] + (" …" if len(running) > 1 else "")
            write(foot, text, {"halign": "left", "valign": "bottom", "fontsize": "75%"})
        write(foot, PAGE_MARK, {"halign": "right", "valign": "bottom", "fontsize": "85%"})


def _write_lines(head: Element, lines: tuple[str, ...], attributes: dict[str, str], size: str) -> None:
    if not lines:
        return
    holder = child(head, "rend", {**attributes, "fontsize": size})
    holder.text = lines[0]
    for line in lines[1:]:
        child(holder, "lb").tail = line

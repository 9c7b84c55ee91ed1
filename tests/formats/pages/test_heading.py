from dataclasses import replace
from xml.etree import ElementTree as ET

from builders.pages import page_request
from slurwright.formats.pages.heading import write_heading

HARD_SPACE = "\u00a0"


def heads(**changes: object) -> ET.Element:
    start = ET.Element("scoreDef")
    write_heading(start, replace(page_request(), **changes))  # type: ignore[arg-type]
    return start


def test_the_composer_has_air_above() -> None:
    right = [
        rend for rend in heads().iter("rend") if rend.get("halign") == "right" and rend.get("valign") == "bottom"
    ]
    assert [rend.text for rend in right[:2]] == [HARD_SPACE, "A. N. Inventor"]


def test_pages_run_under_their_own_line_or_the_title() -> None:
    def left(start: ET.Element) -> list[str | None]:
        return [rend.text for rend in start.iter("rend") if rend.get("halign") == "left" and rend.text != HARD_SPACE]

    assert left(heads(running="Harbour Steps · 2nd Euphonium")) == ["Harbour Steps · 2nd Euphonium"]
    assert left(heads()) == ["Harbour Steps"]

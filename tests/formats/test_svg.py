import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import resvg_py
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.stand import stand_part
from builders.studies import hand_made_study, percent
from slurwright.formats.svg import write_svg
from slurwright.picture import Picture, columns_of, ladder, rungs_of
from slurwright.picture.shapes import Anchor, Circle, Face, Group, Polyline, Rect, Segment, Stroke, Text

SVG = "{http://www.w3.org/2000/svg}"
SNAPSHOT = Path(__file__).parents[1] / "snapshots/ladder/four-notes.svg"


def small_ladder() -> Picture:
    study = hand_made_study(stand_part("q:F3 q:Bb3 q:A3 q:F3", slurs=((0, 2),)))
    (picture,) = ladder(
        study.line,
        study.plan,
        study.ways,
        study.reports,
        columns=columns_of(study.part, study.line),
        rungs=rungs_of(study.horn, study.reading),
        percent=percent,
    )
    return picture


def elements(text: str) -> ET.Element:
    return ET.fromstring(text)


def test_every_shape_becomes_its_element() -> None:
    picture = Picture(
        20,
        10,
        (
            Segment(0, 0, 1, 1, Stroke(0.5, dash=(1, 0.5), opacity=0.5)),
            Polyline(((0, 0), (1, 1), (2, 0)), None, closed=True, filled=True),
            Polyline(((0, 0), (1, 1))),
            Rect(1, 1, 2, 2, fill=0.1),
            Circle(3, 3, 1, fill=1.0),
            Group(
                (Text(1, 2, "1-2", anchor=Anchor.MIDDLE, bold=True, face=Face.SERIF, turn_degrees=45.0),), title="way"
            ),
        ),
        title="Shapes",
    )
    root = elements(write_svg(picture))
    tags = [child.tag.removeprefix(SVG) for child in root]
    assert tags == ["title", "line", "polygon", "polyline", "rect", "circle", "g"]
    line, polygon, polyline, rect, circle, group = root[1:]
    assert line.attrib["stroke-dasharray"] == "1 0.5"
    assert line.attrib["stroke-opacity"] == "0.5"
    assert "stroke" not in polygon.attrib
    assert polyline.attrib["fill"] == "none"
    assert rect.attrib["fill-opacity"] == "0.1"
    assert "fill" not in circle.attrib, "filled with the ink of the page"
    assert group[0].text == "way"
    assert group[1].attrib["transform"] == "rotate(45 1 2)"
    assert group[1].attrib["text-anchor"] == "middle"


def test_the_root_says_what_it_is() -> None:
    root = elements(write_svg(small_ladder()))
    assert root.attrib["role"] == "img"
    assert root.attrib["width"].endswith("mm")
    assert root[0].tag == f"{SVG}title"
    assert root[0].text == "Partial ladder, bar 1"
    assert root[1].tag == f"{SVG}desc"
    assert "Weak slur S1 25 %" in (root[1].text or "")


def test_one_ink_and_generic_type_only() -> None:
    text = write_svg(small_ladder())
    assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', text)) <= {"currentColor", "none"}
    assert set(re.findall(r'font-family="([^"]*)"', text)) <= {"sans-serif", "serif"}
    assert "<style" not in text
    assert "href" not in text


@given(st.text(max_size=30), st.text(max_size=30))
@settings(max_examples=60)
def test_any_words_survive_as_words(title: str, words: str) -> None:
    picture = Picture(10, 10, (Text(1, 1, words),), title=title)
    root = elements(write_svg(picture))

    def readable(text: str) -> str:
        return "".join(c for c in text if c in "\t\n" or (c >= " " and c not in "\ufffe\uffff"))

    assert (root[0].text or "") == readable(title)
    assert (root[1].text or "") == readable(words)


@given(st.floats(-1e4, 1e4))
@settings(max_examples=40)
def test_numbers_are_short_and_right(value: float) -> None:
    root = elements(write_svg(Picture(10, 10, (Circle(value, 0, 1),), title="t")))
    written = root[1].attrib["cx"]
    assert float(written) == pytest.approx(value, abs=0.005 + 1e-9)
    assert re.fullmatch(r"0|-?(?:[1-9]\d*|0)(?:\.\d{1,2})?", written)
    assert written != "-0"


def test_a_renderer_draws_ink() -> None:
    png = bytes(resvg_py.svg_to_bytes(svg_string=write_svg(small_ladder()), dpi=96, background="white"))
    assert png.startswith(b"\x89PNG")
    blank = Picture(180, small_ladder().height_mm, (), title="blank")
    assert len(png) > 3 * len(bytes(resvg_py.svg_to_bytes(svg_string=write_svg(blank), dpi=96, background="white")))


def test_the_drawing_is_the_one_that_was_looked_at() -> None:
    assert write_svg(small_ladder()) == SNAPSHOT.read_text(encoding="utf-8")


def test_heavy_type_with_signs_is_heavy_for_readers_without_a_bold_sign() -> None:
    plain, signed = (write_svg(Picture(50, 10, (Text(0, 8, words, bold=True),), "")) for words in ("F3", "B♭3"))
    assert 'font-weight="bold"' in plain
    assert 'font-weight="bold"' not in signed
    assert "stroke-width" in signed

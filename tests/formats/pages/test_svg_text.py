from lxml import etree

from builders.fonts import PlainFont
from slurwright.formats.pages.svg_text import SVG, draw_signs, text_runs, text_span

FONT = PlainFont()


def _text(inner: str, attributes: str = 'x="100" y="50"') -> etree._Element:
    group = etree.fromstring(
        f'<g xmlns="http://www.w3.org/2000/svg"><text {attributes} font-size="0px">{inner}</text></g>'
    )
    return group[0]


def test_runs_carry_their_style() -> None:
    text = _text(
        '<tspan font-weight="bold"><tspan font-size="20px">mf </tspan></tspan><tspan font-size="10px">x</tspan>'
    )
    runs = text_runs(text)
    assert [(run.text, run.size, run.face.bold, run.start) for run in runs] == [
        ("mf ", 20.0, True, (100.0, 50.0)),
        ("x", 10.0, False, None),
    ]


def test_anchors_decide_where_a_text_reaches() -> None:
    inner = '<tspan font-size="20px">four</tspan>'
    assert text_span(_text(inner), FONT) == (100, 140)
    assert text_span(_text(inner, 'x="100" y="50" text-anchor="middle"'), FONT) == (80, 120)
    assert text_span(_text(inner, 'x="100" y="50" text-anchor="end"'), FONT) == (60, 100)


def test_text_without_signs_is_left_alone() -> None:
    text = _text('<tspan font-size="20px">plain</tspan>')
    parent = text.getparent()
    draw_signs(text, FONT)
    assert parent is not None
    assert parent[0] is text


def test_signs_become_outlines_between_their_letters() -> None:
    text = _text('<tspan font-size="20px">ab \ueca5 cd</tspan>')
    group = text.getparent()
    assert group is not None
    draw_signs(text, FONT)
    drawn = group[0]
    assert [shape.tag.removeprefix(SVG) for shape in drawn] == ["text", "path", "text"]
    before, sign, after = drawn
    assert (before.text, before.get("x"), before.get("text-anchor")) == ("ab", "120", "end")
    assert (sign.get("transform") or "").startswith("translate(130, 50)")
    assert (sign.get("d") or "").startswith(f"M0 0 h{0xECA5}")
    assert (after.text, after.get("x")) == ("cd", "160")


def test_accidentals_among_letters_are_drawn_too() -> None:
    text = _text('<tspan font-size="20px">B♭</tspan>')
    group = text.getparent()
    assert group is not None
    draw_signs(text, FONT)
    assert f"h{0xE260} " in (group[0][1].get("d") or "")


def test_lines_keep_their_own_places() -> None:
    text = _text(
        '<tspan x="10" y="20"><tspan font-size="8px">♯a</tspan>'
        '<tspan y="40" x="10"><tspan font-size="8px">b♭</tspan></tspan></tspan>',
        "",
    )
    group = text.getparent()
    assert group is not None
    draw_signs(text, FONT)
    assert [shape.get("y") for shape in group[0] if shape.get("y")] == ["20", "40"]

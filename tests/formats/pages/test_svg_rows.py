from lxml import etree

from builders.fonts import PlainFont
from slurwright.formats.pages.svg_bounds import box_of
from slurwright.formats.pages.svg_rows import settle_signs

FONT = PlainFont()
_STAFF = "".join(f'<path d="M0 {y} L9000 {y}"/>' for y in (100, 200, 300, 400, 500))
_NOTE = (
    '<g class="note" id="n0"><g class="notehead">'
    '<use href="#E0A4-x" transform="translate(1000, 800) scale(0.4, 0.4)"/></g></g>'
)
_SLUR = '<g class="slur"><path d="M900,700 C1200,1400 2400,1400 2700,700 C2400,1380 1200,1380 900,700"/></g>'


def _label(x: int, y: int) -> str:
    text = f'<text x="{x}" y="{y}" text-anchor="middle"><tspan font-size="300px">1-2</tspan></text>'
    return f'<g class="harm normal">{text}</g>'


def _hairpin(y: int, left: int = 3000, right: int = 5000, kind: str = "hairpin") -> str:
    return f'<g class="{kind}"><polyline points="{right},{y + 100} {left},{y} {right},{y - 100}"/></g>'


def _system(*groups: str) -> etree._Element:
    inside = f'<g class="measure"><g class="staff">{_STAFF}</g>{_NOTE}{"".join(groups)}</g>'
    return etree.fromstring(f'<g xmlns="http://www.w3.org/2000/svg" class="system">{inside}</g>')


def _tops(system: etree._Element, kind: str) -> list[float]:
    boxes = (box_of(group, FONT) for group in system.iter() if (group.get("class") or "").split(" ")[0] == kind)
    return [box.top for box in boxes if box is not None]


def _bottoms(system: etree._Element, kind: str) -> list[float]:
    boxes = (box_of(group, FONT) for group in system.iter() if (group.get("class") or "").split(" ")[0] == kind)
    return [box.bottom for box in boxes if box is not None]


def test_what_is_apart_stays_where_it_is() -> None:
    system = _system(_hairpin(1100), _label(1000, 1700), _label(4000, 1700))
    assert settle_signs(system, FONT) == 0
    assert "transform" not in etree.tostring(system, encoding="unicode").replace('transform="translate(1000', "")


def test_a_hairpin_under_the_row_changes_places_with_it() -> None:
    system = _system(_hairpin(1900), _label(1000, 1600), _label(4000, 1600))
    settle_signs(system, FONT)
    assert max(_bottoms(system, "hairpin")) < min(_tops(system, "harm"))
    assert min(_tops(system, "hairpin")) < 1600, "it moved up, the row did not just move far down"
    assert len(set(_tops(system, "harm"))) == 1, "the row stays straight"


def test_a_dynamic_on_a_slur_moves_under_it() -> None:
    dynamic = '<g class="dynam"><use href="#E52D-x" transform="translate(1500, 1200) scale(0.4, 0.4)"/></g>'
    system = _system(_SLUR, dynamic, _label(1000, 2400))
    settle_signs(system, FONT)
    assert _tops(system, "dynam")[0] > 1200
    assert max(_bottoms(system, "dynam")) < min(_tops(system, "harm"))


def test_the_row_keeps_clear_of_slurs_and_notes() -> None:
    system = _system(_SLUR, _label(1700, 1100), _label(5000, 1100))
    dropped = settle_signs(system, FONT)
    assert dropped > 0
    assert min(_tops(system, "harm")) > 1215, "lowest point of the slur"
    assert len(set(_tops(system, "harm"))) == 1


def test_the_stub_of_a_finished_hairpin_goes() -> None:
    system = _system(_hairpin(1100, 100, 300, "hairpin id-x spanning"), _label(1000, 1700))
    settle_signs(system, FONT)
    assert _tops(system, "hairpin") == []


def test_a_long_rest_of_a_hairpin_stays() -> None:
    system = _system(_hairpin(1100, 100, 2000, "hairpin id-x spanning"), _label(1000, 1700))
    settle_signs(system, FONT)
    assert len(_tops(system, "hairpin")) == 1


def test_signs_over_the_staff_are_none_of_the_rows_business() -> None:
    system = _system(_hairpin(-400), _label(1000, 1700))
    assert settle_signs(system, FONT) == 0
    assert _tops(system, "hairpin") == [-500]

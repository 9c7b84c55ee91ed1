"""The sheet for the stand: what must be on it, and that it stays on its paper."""

import re

import pytest
from lxml import etree

from builders.sheets import made_sheet as made
from slurwright.devices.packaged import load_exercise_rules, load_familiarity, load_horn
from slurwright.formats.pages.request import Paper
from slurwright.jobs.sheet.pages import lip_slurs_of, sheet_pages, slur_requests
from slurwright.practice.sheet.values import ItemKind

HORN = load_horn("euphonium-4c")
SIZES = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("paper", list(Paper))
def test_everything_stands_on_the_paper(paper: Paper) -> None:
    plan = made([0.4, 0.3, 0.25, 0.2, 0.15, 0.1])
    pages = sheet_pages(plan, {}, paper=paper)
    width, height = SIZES[paper]
    boxes = 0
    for page in pages:
        root = etree.fromstring(page.encode())
        for rect in root.iter(f"{SVG}rect"):
            x, y, w, h = (float(rect.get(name, "0")) for name in ("x", "y", "width", "height"))
            assert x >= 12.0 - 0.1
            assert x + w <= width - 12.0 + 0.1
            assert y + h <= height - 10.0
            boxes += 1
    items = plan.sheet.items
    tries = sum(item.tries for item in items)
    rests = sum(item.kind is ItemKind.REST for item in items)
    assert boxes == tries + len(items), "a box for each try, a box or a band for each item"
    assert rests + len(plan.sheet.work) == len(items)


def test_each_item_has_its_number_once() -> None:
    plan = made([0.4, 0.3, 0.25])
    text = "".join(sheet_pages(plan, {}))
    found = re.findall(r">(\d+)\. ", text)
    assert sorted(map(int, found)) == list(range(1, len(plan.sheet.work) + 1))
    assert "stop if it hurts" in text


def test_the_two_notes_of_each_slur_with_their_fingerings() -> None:
    plan = made([0.4, 0.3])
    requests = slur_requests(plan, HORN, familiarity=load_familiarity(), paper=Paper.A4)
    assert set(requests) == {0, 1}
    for request in requests.values():
        assert [str(note.written) for note in request.part.notes] == ["F3", "Bb3"]
        assert [label.text for label in request.labels.values()] == ["0", "0"]
        assert len(request.part.slurs) == 1
    other = slur_requests(plan, load_horn("trumpet-piccolo-a"), familiarity=load_familiarity(), paper=Paper.A4)
    assert other == {}, "a slur that this horn does not have is left out"


def test_the_lip_slurs_are_the_same_whenever_the_sheet_is_shown() -> None:
    plan = made([0.4])
    first, second = (lip_slurs_of(plan, HORN, rules=load_exercise_rules()) for _ in range(2))
    assert first is not None
    assert first == second
    item = next(item for item in plan.sheet.items if item.kind is ItemKind.LIP_SLURS)
    lasts_s = item.lasts_s + plan.sheet.items[plan.sheet.items.index(item) + 1].rest_s
    assert first.play_s + first.rest_s <= lasts_s + 1e-6

"""Pages of a take: lanes under the heads of the notes, all on the sheet, the same bytes each time."""

import re
from dataclasses import replace
from datetime import date

import pytest
from lxml import etree

from builders.measured_takes import Turn, faulty_take, good_take, taken, tune_study
from slurwright.devices.engraver import engrave_systems
from slurwright.formats.pages.request import Paper
from slurwright.jobs.take.pages import STAVES_FROM_MM, STAVES_TO_MM, engraving_request, take_pages
from slurwright.listen.followed import Following
from slurwright.wiring.take_page import take_page_pdf, take_page_svgs

DAY = date(2026, 1, 31)
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def pages() -> tuple[str, ...]:
    return take_page_svgs(faulty_take(), played_on=DAY)


def words(pages: tuple[str, ...]) -> str:
    texts = [
        "".join(map(str, text.itertext()))
        for page in pages
        for text in etree.fromstring(page.encode()).iter(f"{SVG}text")
    ]
    return "\n".join(texts)


def test_systems_know_where_their_heads_are() -> None:
    take = faulty_take()
    systems = engrave_systems(engraving_request(take), left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM)
    found = [note for system in systems for note in system.heads]
    assert found == list(range(len(take.study.part.notes)))
    for system in systems:
        heads = list(system.heads.values())
        assert heads == sorted(heads)
        assert system.left == pytest.approx(STAVES_FROM_MM, abs=0.1)
        assert system.right == pytest.approx(210.0 - STAVES_TO_MM, abs=0.2)
        assert all(system.left < head < system.right for head in heads)
        bars = [take.study.part.notes[note].measure for note in system.heads]
        ends = [max(head for head, at in zip(heads, bars, strict=True) if at == bar) for bar in dict.fromkeys(bars)]
        starts = [*heads[1:], system.right + 0.2]
        for line, end in zip(system.bar_lines, ends, strict=True):
            assert end < line < starts[heads.index(end)], "a bar line stands behind the last head of its bar"


def test_lanes_stand_under_the_heads(pages: tuple[str, ...]) -> None:
    take = faulty_take()
    systems = engrave_systems(engraving_request(take), left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM)
    lines = {
        float(line.get("x1", "0"))
        for page in pages
        for line in etree.fromstring(page.encode()).iter(f"{SVG}line")
        if line.get("x1") == line.get("x2")
    }
    sounding = {take.study.line.sounds[sound].notes[0] for sound in take.sounds}
    missed = {take.study.line.sounds[take.sounds[asked]].notes[0] for asked in take.measure.following.missed}
    for system in systems:
        for note, head in system.heads.items():
            if note in sounding - missed:
                assert min(abs(line - head) for line in lines) < 0.02, note


def test_pages_hold_all_that_is_to_be_said(pages: tuple[str, ...]) -> None:
    said = " ".join(words(pages).split())
    for wanted in (
        "Lanterns on Weir Street",
        "2026-01-31",
        "9 of 14 slurs spoke, 3 broke",
        "It is clipped",
        "bar 2, beat 3: E♭3 −14 ±1 cents",
        "85 ±9 ms of silence",
        "Signs",
        "provisional",
        "stop if it hurts",
        f"1/{len(pages)}",
    ):
        assert wanted in said, wanted


def test_names_are_not_used_twice_for_different_things(pages: tuple[str, ...]) -> None:
    for page in pages:
        root = etree.fromstring(page.encode())
        defined = [sign.get("id") for defs in root.iter(f"{SVG}defs") for sign in defs]
        assert len(set(defined)) == len(defined)
        used = set(re.findall(r'href="#([^"]+)"', page))
        assert used <= set(defined)


def test_the_same_take_gives_the_same_pages(pages: tuple[str, ...]) -> None:
    assert take_page_svgs(faulty_take(), played_on=DAY) == pages


@pytest.mark.parametrize("paper", list(Paper))
def test_without_notation_note_names_stand_over_the_lanes(paper: Paper) -> None:
    plain = take_pages(good_take(), played_on=DAY, paper=paper, remark="after a rest")
    said = words(plain)
    assert "after a rest" in said
    assert all(page.startswith("<svg") for page in plain)
    assert "G3" in said.splitlines()


def test_only_systems_in_which_something_sounded_are_shown() -> None:
    part_only = taken(tune_study(), [Turn(index) for index in range(20, 27)])
    whole = "".join(take_page_svgs(good_take(), played_on=DAY))
    some = "".join(take_page_svgs(part_only, played_on=DAY))
    assert whole.count('class="system"') == 3
    assert some.count('class="system"') == 1


def test_a_pdf_has_as_many_sheets_as_there_are_pages() -> None:
    pdf = take_page_pdf(good_take(), played_on=DAY, paper=Paper.LETTER)
    assert pdf.startswith(b"%PDF")
    svgs = take_page_svgs(good_take(), played_on=DAY, paper=Paper.LETTER)
    assert len(re.findall(rb"/Type ?/Page\b", pdf)) == len(svgs)


def test_ten_tries_at_one_bar_go_on_over_the_page() -> None:
    turns = [Turn(asked) for _ in range(10) for asked in range(4)]
    restarts = tuple(range(4, 40, 4))
    pages = take_page_svgs(taken(tune_study(), turns, restarts=restarts), played_on=DAY)
    assert len(pages) > 1
    assert "".join(pages).count('class="system"') == 1
    assert "".join(pages).count("went back to bar 1") == 9
    for page in pages:
        root = etree.fromstring(page.encode())
        assert all(float(text.get("y", "0")) < 297 for text in root.findall(f"{SVG}text"))


def test_a_take_in_which_nothing_was_played_has_a_page_too() -> None:
    take = good_take()
    silent = replace(take, measure=replace(take.measure, following=Following((), ()), notes=(), slurs=()))
    pages = take_page_svgs(silent, played_on=None)
    assert len(pages) == 1
    assert "No slur was played that could be judged." in words(pages)

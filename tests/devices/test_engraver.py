import subprocess
from dataclasses import replace
from itertools import groupby, pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from builders.drawn import SVG, drawn_labels, ink_on_labels, signs_under_row
from builders.pages import in_treble, page_request, rich_part
from builders.stand import stand_part
from slurwright.devices import engraver
from slurwright.devices.child import ChildLimits
from slurwright.devices.engraver import engrave_pdf, engrave_svg
from slurwright.errors import EngravingError
from slurwright.formats.pages import PageRequest, Paper, Picture, RowLabel, RowStyle
from slurwright.formats.pages.mei_page import page_mei
from slurwright.formats.pages.row import labels_to_print
from slurwright.formats.pages.svg_text import TEXT_FONTS
from slurwright.pitch import Clef
from slurwright.score import Direction, DirectionKind, Hairpin, Slur

_REQUESTS = {
    "bass, A4": page_request(),
    "treble, Letter": replace(page_request(in_treble(rich_part())), paper=Paper.LETTER),
    "changes only": replace(page_request(), row_style=RowStyle.CHANGES),
}
_PRINTED = pytest.mark.needs("pdftotext")


def _text_of(pdf: bytes, tmp_path: Path, *options: str) -> str:
    file = tmp_path / "pages.pdf"
    file.write_bytes(pdf)
    run = subprocess.run(["pdftotext", *options, str(file), "-"], capture_output=True, text=True, check=True)
    return run.stdout


def assert_clear_row(pages: tuple[str, ...], request: PageRequest) -> None:
    """Check the row: straight, nothing on nothing, and nothing lost."""
    labels = drawn_labels(pages)
    for system, group in groupby(labels, key=lambda label: label.system):
        row = sorted(group, key=lambda label: label.left)
        assert len({round(label.baseline) for label in row}) == 1, f"the row of system {system} is not straight"
        for one, other in pairwise(row):
            assert one.right <= other.left, f"{one.name} and {other.name} run into each other"
    assert signs_under_row(pages) == [], "the row is the lowest line of its system"
    for number, page in enumerate(pages, start=1):
        assert ink_on_labels(page) == 0, f"something is drawn over the row on page {number}"
    words = " ".join(label.text for label in labels).split()
    assert sorted(words) == sorted(label.text for label in labels_to_print(request).values())


@pytest.mark.parametrize("name", _REQUESTS)
def test_the_row_is_straight_clear_and_complete(name: str) -> None:
    request = _REQUESTS[name]
    assert_clear_row(engrave_svg(request), request)


_FINGERINGS = ("0", "1", "2", "1-2", "2-3", "1-3", "1-2-3", "1-2-3-4", "T1-2-3")


@st.composite
def _crowded(draw: st.DrawFn) -> PageRequest:
    """Low notes, long labels, slurs over bar lines, hairpins and dynamics anywhere."""
    value, count = draw(st.sampled_from((("q", 4), ("e", 8), ("s", 16), ("e3", 12))))
    bars = draw(st.integers(2, 5))
    pitches = st.sampled_from(
        [f"{letter}{octave}" for letter in ("C", "Eb", "F#", "A", "Bb") for octave in (1, 2, 3)]
    )
    music = " | ".join(" ".join(f"{value}:{draw(pitches)}" for _ in range(count)) for _ in range(bars))
    part = stand_part(music, clef=draw(st.sampled_from((Clef.BASS, Clef.TENOR))))
    edges = sorted(draw(st.sets(st.integers(0, len(part.notes) - 1), max_size=8)))
    places = st.integers(0, 4 * bars - 1).map(lambda beat: part.measures[0].onset_quarter + beat)
    pins = sorted(draw(st.sets(places, max_size=6)))
    loud = draw(st.sets(places, max_size=4))
    return PageRequest(
        part=replace(
            part,
            slurs=tuple(Slur(*pair) for pair in zip(edges[0::2], edges[1::2], strict=False)),
            hairpins=tuple(Hairpin(*pair, grows=True) for pair in zip(pins[0::2], pins[1::2], strict=False)),
            directions=tuple(
                Direction(DirectionKind.DYNAMIC, int(place // 4), place, "mf", above=False) for place in sorted(loud)
            ),
        ),
        title="Crowded",
        labels={note.index: RowLabel(draw(st.sampled_from(_FINGERINGS)), draw(st.booleans())) for note in part.notes},
    )


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(_crowded())
def test_the_row_stays_clear_however_crowded_the_part(request: PageRequest) -> None:
    assert_clear_row(engrave_svg(request), request)


def test_pages_are_the_same_on_every_run() -> None:
    request = page_request()
    assert engrave_pdf(request) == engrave_pdf(request)


def test_pages_have_the_papers_size_and_number() -> None:
    part = stand_part(" | ".join(["s:C3 s:D3 s:E3 s:F3 " * 4] * 40))
    pages = engrave_svg(PageRequest(part=part, title="Long", paper=Paper.LETTER))
    assert len(pages) == 2
    for number, page in enumerate(pages, start=1):
        root = etree.fromstring(page.encode())
        assert (root.get("width"), root.get("height")) == ("215.9mm", "279.4mm")
        assert f"{number}/2" in "".join(str(words) for words in root.itertext())


def test_notes_keep_their_names_in_the_drawing() -> None:
    request = page_request()
    names = {group.get("id") for page in engrave_svg(request) for group in etree.fromstring(page.encode()).iter()}
    assert {f"n{note.index}" for note in request.part.notes} <= names
    assert {f"s{mark.number}" for mark in request.weak} <= names


def test_no_page_needs_a_font_that_readers_lack() -> None:
    (page,) = engrave_svg(page_request())
    root = etree.fromstring(page.encode())
    fonts = {element.get("font-family") for element in root.iter() if element.get("font-family")}
    assert fonts == {TEXT_FONTS}
    letters = "".join(str(words) for words in root.itertext())
    assert not any("\ue000" <= letter <= "\uf8ff" or letter in "♭♯♮" for letter in letters)


def test_feet_of_marks_reach_from_note_to_note() -> None:
    request = page_request()
    (page,) = engrave_svg(request)
    root = etree.fromstring(page.encode())
    groups = {group.get("id"): group for group in root.iter(f"{SVG}g") if group.get("id")}
    for mark in request.weak:
        (foot,) = (shape for shape in groups[f"s{mark.number}"].iter(f"{SVG}path") if shape.get("class") == "foot")
        corners = [float(word.lstrip("ML")) for word in (foot.get("d") or "").split()[0::2]]
        heads = [_head(groups[f"n{note}"]) for note in (mark.first_note, mark.last_note)]
        assert heads[0] < corners[0] < heads[0] + 320
        assert heads[1] < corners[-1] < heads[1] + 320


def _head(note: etree._Element) -> float:
    use = next(iter(next(g for g in note.iter(f"{SVG}g") if g.get("class") == "notehead").iter(f"{SVG}use")))
    return float((use.get("transform") or "").split("(")[1].split(",")[0])


@_PRINTED
def test_the_print_says_all_that_was_asked_for(tmp_path: Path) -> None:
    picture = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 5"><path d="M0 0h10v5z"/></svg>'
    request = replace(page_request(), pictures=(Picture("Partial ladder", picture),))
    said = " ".join(_text_of(engrave_pdf(request), tmp_path, "-layout").split())
    wanted = (
        *(request.title, "Euphonium · four valves", "A. N. Inventor", "Andante", "cantabile", "S3 55 %"),
        *("1/3", "2/3", "3/3"),
        *("Partial ladder", "Choices at the weak slurs", "Legato", "tongue", "F3 to D4", "1-3 on F3: 9 %, +14 cents"),
        *(
            "not the normal fingering",
            "Weak slur",
            "A line of the legend.",
            "priors",
            "Take care",
            "Stop if it hurts.",
        ),
    )
    for words in wanted:
        assert words in said, words


@_PRINTED
def test_a_long_table_repeats_its_head(tmp_path: Path) -> None:
    request = page_request()
    table = tuple(replace(row, number=number) for number, row in enumerate(request.table * 9, start=1))
    said = _text_of(engrave_pdf(replace(request, table=table)), tmp_path, "-layout")
    assert said.count("Other fingerings") > 1
    assert "S63" in said


@_PRINTED
def test_text_cannot_speak_to_the_typesetter(tmp_path: Path) -> None:
    request = replace(page_request(), title='#panic() $x$ [a] *b* \\ "q"', legend=('#read("/etc/passwd")',))
    said = _text_of(engrave_pdf(request), tmp_path)
    assert "#panic() $x$ [a] *b*" in said
    assert "#read" in said


def test_a_part_without_notes_is_still_a_page() -> None:
    assert len(engrave_svg(PageRequest(part=stand_part("- | - | -"), title="Tacet"))) == 1


def test_a_broken_picture_is_said_in_words() -> None:
    request = replace(page_request(), pictures=(Picture("Broken", "<svg"),))
    with pytest.raises(EngravingError, match="sheets could not be set"):
        engrave_pdf(request)


def test_too_little_time_is_said_in_words() -> None:
    with pytest.raises(EngravingError, match="took too long"):
        engrave_svg(page_request(), limits=ChildLimits(wall_s=0.01))


def test_too_little_memory_is_said_in_words() -> None:
    with pytest.raises(EngravingError, match="gave up on this part"):
        engrave_svg(page_request(), limits=ChildLimits(memory_bytes=40_000_000))


def test_an_engraver_that_never_ends_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engraver, "page_mei", lambda request: page_mei(request).replace('num="4"', 'num="-4"'))
    with pytest.raises(EngravingError, match="more processor time"):
        engrave_svg(page_request(), limits=ChildLimits(cpu_s=1))


def test_what_the_engraver_cannot_read_is_said_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engraver, "page_mei", lambda request: "no music at all")
    with pytest.raises(EngravingError, match="could not read"):
        engrave_svg(page_request())


def test_a_long_part_has_several_pages() -> None:
    part = stand_part(" | ".join(["e:C3 e:D3 e:E3 e:F3 s:C3 s:D3 s:E3 s:F3 q:G3"] * 50))
    request = replace(page_request(part), weak=(), table=())
    assert len(engrave_svg(request)) >= 2


_LADDER = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 {height}"><path d="M0 0h100v{height}z"/></svg>'


def _pages_of(pdf: bytes, folder: Path) -> list[str]:
    return _text_of(pdf, folder, "-layout").split("\f")[:-1]


@_PRINTED
def test_the_whole_document_has_one_numbering(tmp_path: Path) -> None:
    part = stand_part(" | ".join(["s:C3 s:D3 s:E3 s:F3 " * 4] * 60))
    asked = page_request()
    request = replace(asked, part=part, weak=(), labels={}, running="Harbour Steps · Solo")
    pages = _pages_of(engrave_pdf(request), tmp_path)
    assert len(pages) > 2
    for number, words in enumerate(pages, start=1):
        assert f"{number}/{len(pages)}" in words
        assert ("Harbour Steps · Solo" in words) == (number > 1)


@_PRINTED
@pytest.mark.parametrize("height", range(96, 136, 8))
def test_the_tables_heading_never_stands_alone(height: int, tmp_path: Path) -> None:
    picture = Picture("Partial ladder", _LADDER.format(height=height))
    pages = _pages_of(engrave_pdf(replace(page_request(), pictures=(picture,))), tmp_path)
    (with_heading,) = (words for words in pages if "Choices at the weak slurs" in words)
    assert "F3 to D4" in with_heading


@_PRINTED
def test_a_short_tune_is_one_sheet(tmp_path: Path) -> None:
    asked = page_request(stand_part("q:F3 q:Bb3 q:A3 q:F3 | w:Bb3"))
    pages = _pages_of(engrave_pdf(replace(asked, weak=(), table=())), tmp_path)
    assert len(pages) == 1
    assert "Take care" in pages[0]
    assert "1/1" in pages[0]


@_PRINTED
def test_what_does_not_fit_under_the_music_follows_it(tmp_path: Path) -> None:
    part = stand_part(" | ".join(["s:C3 s:D3 s:E3 s:F3 " * 4] * 20))
    pages = _pages_of(engrave_pdf(replace(page_request(part), weak=(), table=())), tmp_path)
    assert "Take care" not in pages[0]
    assert sum("Take care" in words for words in pages) == 1


def test_the_last_bars_are_drawn_closer_to_spare_a_turn() -> None:
    def systems(bars: int) -> list[int]:
        part = stand_part(" | ".join(["e:C3 e:D3 e:E3 e:F3 e:G3 e:A3 e:Bb3 e:C4"] * bars))
        return [page.count('class="system"') for page in engrave_svg(PageRequest(part=part, title="Long"))]

    found = [systems(bars) for bars in range(26, 42, 3)]
    assert [1] not in [counts[1:] for counts in found], found
    assert any(len(counts) == 1 and counts[0] > 8 for counts in found), found

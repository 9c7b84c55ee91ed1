import json
from dataclasses import replace

from builders.pages import page_request
from slurwright.formats.pages import Paper, Picture, RowStyle
from slurwright.formats.pages.sheets import sheet_inputs, sheet_source


def test_no_word_of_a_part_reaches_the_source() -> None:
    request = replace(page_request(), title="#panic() $x$ *b*")
    assert "panic" not in sheet_source()
    assert json.loads(sheet_inputs(request, ("<svg/>",))["said"])["title"] == "#panic() $x$ *b*"


def test_drawings_come_in_order_beside_what_is_said() -> None:
    request = replace(page_request(), pictures=(Picture("Ladder", "<svg id='p'/>"),), paper=Paper.LETTER)
    inputs = sheet_inputs(request, ("<svg id='1'/>", "<svg id='2'/>"))
    said = json.loads(inputs["said"])
    assert [inputs[key] for key in said["pages"]] == ["<svg id='1'/>", "<svg id='2'/>"]
    assert [(picture["title"], inputs[picture["key"]]) for picture in said["pictures"]] == [
        ("Ladder", "<svg id='p'/>")
    ]
    assert (said["width"], said["height"]) == (215.9, 279.4)


def test_only_signs_that_are_there_are_explained() -> None:
    request = page_request()
    kinds = [sign["kind"] for sign in json.loads(sheet_inputs(request, ())["said"])["signs"]]
    assert kinds == ["changed", "plain", "small", "box"]
    bare = replace(request, labels={}, weak=(), table=())
    assert json.loads(sheet_inputs(bare, ())["said"])["signs"] == []


def test_on_a_slide_there_are_positions_and_no_half_valve() -> None:
    request = page_request()
    valved, slide = (
        json.loads(sheet_inputs(replace(request, positions=positions), ())["said"]) for positions in (False, True)
    )
    assert len(slide["columns"]) == len(valved["columns"]) - 1
    assert "Half-\nvalve" in valved["columns"]
    words = " ".join((*slide["columns"], slide["table_note"], *(sign["meaning"] for sign in slide["signs"])))
    assert "position" in words
    assert "fingering" not in words
    assert "valve" not in words


def test_a_row_of_changes_says_what_its_gaps_mean() -> None:
    request = replace(page_request(), row_style=RowStyle.CHANGES)
    meanings = [sign["meaning"] for sign in json.loads(sheet_inputs(request, ())["said"])["signs"]]
    assert any("No fingering" in meaning for meaning in meanings)

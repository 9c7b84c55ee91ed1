"""The ladder shows what it is given: places, path, gaps, risks and helps; and its words keep clear of each other."""

import itertools
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from builders.stand import stand_part
from builders.studies import hand_made_study, percent
from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError
from slurwright.formats.musicxml import open_musicxml
from slurwright.picture import Picture, columns_of, ladder, rungs_of
from slurwright.picture.metrics import CAP_HEIGHT, text_width
from slurwright.picture.placing import Area, around
from slurwright.picture.shapes import Anchor, Circle, Group, Polyline, Segment, Shape, Text
from slurwright.picture.stage import CENTS_PER_MM, RUNG_MM
from slurwright.plan import Technique
from slurwright.plan.study import Study
from slurwright.score import Move

DEMO = Path(__file__).parents[2] / "src/slurwright/data/demo/lanterns-on-weir-street.musicxml"


def drawn(study: Study, *, bars: tuple[int, int] | None = None, width_mm: float = 180.0) -> tuple[Picture, ...]:
    return ladder(
        study.line,
        study.plan,
        study.ways,
        study.reports,
        columns=columns_of(study.part, study.line),
        rungs=rungs_of(study.horn, study.reading),
        percent=percent,
        bars=bars,
        width_mm=width_mm,
    )


def demo_study(reading: int = 0) -> Study:
    score = open_musicxml(DEMO.read_bytes(), where=DEMO.name)
    return hand_made_study(score.part(score.headings[0]), reading=reading, chosen={41: "4"})


def lip_and_valve() -> Study:
    """F3 to B♭3 by the lips, then B♭3 to A3 by the valves, then F3 tongued."""
    return hand_made_study(stand_part("q:F3 q:Bb3 q:A3 q:F3", slurs=((0, 2),)))


def flat(shapes: tuple[Shape, ...]) -> Iterator[Shape]:
    for shape in shapes:
        if isinstance(shape, Group):
            yield from flat(shape.shapes)
        else:
            yield shape


def words_of(picture: Picture) -> list[str]:
    return [shape.words for shape in flat(picture.shapes) if isinstance(shape, Text)]


def rings(picture: Picture) -> list[Circle]:
    groups = [shape for shape in picture.shapes if isinstance(shape, Group) and shape.css_class == "chosen"]
    return [next(s for s in group.shapes if isinstance(s, Circle) and s.stroke) for group in groups]


def test_each_note_is_ringed_once_in_time_order() -> None:
    (picture,) = drawn(lip_and_valve())
    xs = [ring.x for ring in rings(picture)]
    assert len(xs) == 4
    assert xs == sorted(xs)


def test_a_rung_lies_a_step_above_and_a_valve_slur_stays_on_it() -> None:
    study = lip_and_valve()
    (picture,) = drawn(study)
    ys = [ring.y for ring in rings(picture)]
    level = [y + way.cents / CENTS_PER_MM for y, way in zip(ys, study.plan.ways, strict=True)]
    assert level[0] - level[1] == pytest.approx(RUNG_MM)
    assert level[1] == pytest.approx(level[2])


def test_sharp_is_lifted_and_flat_is_dropped_by_the_stated_scale() -> None:
    study = hand_made_study(stand_part("q:D4 q:C#4 q:F4"))
    (picture,) = drawn(study)
    by_partial = {5: [], 6: []}  # type: dict[int, list[float]]
    for ring, way in zip(rings(picture), study.plan.ways, strict=True):
        by_partial[way.partial].append(ring.y + way.cents / CENTS_PER_MM)
    assert by_partial[5][0] == pytest.approx(by_partial[5][1])
    d4 = next(ring for ring, way in zip(rings(picture), study.plan.ways, strict=True) if way.partial == 5)
    assert d4.y > by_partial[5][0], "the flat fifth partial hangs below its rung"


def test_the_lips_step_carries_its_gap_number_and_risk_and_its_help() -> None:
    (picture,) = drawn(lip_and_valve())
    words = words_of(picture)
    # 4/3 is 498.0 cents (just intonation, derived).
    assert "498 c" in words
    assert "S1 25 %" in words
    assert "2 %" in words, "the risk that is left with the fourth valve on F3"
    assert (
        "Weak slur S1 25 %, F3 to B♭3 in bar 1, the lips cross 498 cents; 4 to 0 leaves 2 %." in picture.description
    )


def test_the_help_is_in_tune_where_that_is_as_safe() -> None:
    study = lip_and_valve()
    (report,) = (report for report in study.reports if report.weak)
    assert {"4 to 0", "1-3 to 0"} <= {choice.name for choice in report.choices}, "1-3 is 30 cents sharp, 4 in tune"
    (picture,) = drawn(
        replace(study, reports=(replace(report, choices=(report.choices[0], *report.choices[:0:-1])),))
    )
    assert "4 to 0 leaves 2 %" in picture.description


def test_the_help_is_dashed_and_level() -> None:
    (picture,) = drawn(lip_and_valve())
    dashed = [s for s in picture.shapes if isinstance(s, Segment) and s.stroke.dash and s.x1 > 25]
    in_ladder = [s for s in dashed if s.y1 < 30 and s.stroke.width > 0.3]
    assert len(in_ladder) == 1
    assert in_ladder[0].y1 == pytest.approx(in_ladder[0].y2, abs=0.3)


def test_a_changed_fingering_is_hollow_in_its_ring_and_the_normal_way_stays_in_sight() -> None:
    study = hand_made_study(stand_part("q:F3 q:Bb3", slurs=((0, 1),)), chosen={0: "4"})
    (picture,) = drawn(study)
    groups = [shape for shape in picture.shapes if isinstance(shape, Group)]
    f3 = [group for group in groups if group.title.startswith("F3")]
    chosen = next(group for group in f3 if group.css_class == "chosen")
    assert "4 on partial 4" in chosen.title
    assert all(shape.fill == 0.0 for shape in chosen.shapes if isinstance(shape, Circle))
    normal = next(group for group in f3 if "normal" in group.title)
    assert "0 on partial 3" in normal.title
    assert any(shape.fill == 1.0 for shape in normal.shapes if isinstance(shape, Circle))


def test_beyond_the_scale_an_arrowhead_and_the_figure() -> None:
    study = hand_made_study(stand_part("q:F3"), chosen={0: "1-2-3"})
    assert study.plan.ways[0].cents == pytest.approx(-46.4, abs=0.2)
    (picture,) = drawn(study)
    group = next(shape for shape in picture.shapes if isinstance(shape, Group) and shape.css_class == "chosen")
    assert any(isinstance(shape, Polyline) and shape.filled for shape in group.shapes)
    assert "1-2-3 −46 c" in [shape.words for shape in group.shapes if isinstance(shape, Text)]


def test_a_slide_smears_on_a_held_partial() -> None:
    study = hand_made_study(stand_part("q:Bb3 q:A3", slurs=((0, 1),)), horn=load_horn("trombone"))
    (picture,) = drawn(study)
    zigzags = [s for s in picture.shapes if isinstance(s, Polyline) and len(s.points) > 6 and s.points[0][1] < 30]
    assert zigzags, "the held partial is drawn as a smear"
    assert "S1 35 %" in words_of(picture)


@pytest.mark.parametrize(
    ("technique", "strokes", "words"),
    [(Technique.LEGATO_TONGUE, 1, "legato tongue"), (Technique.HALF_VALVE, 2, "half valve")],
)
def test_a_technique_of_the_plan_is_a_stroke_across_its_slur(technique: Technique, strokes: int, words: str) -> None:
    study = lip_and_valve()
    plan = replace(study.plan, techniques=(Technique.PLAIN, technique, Technique.PLAIN))
    (plain,), (picture,) = drawn(study), drawn(replace(study, plans=(plan,)))
    level = rings(picture)[1].y
    upright = [
        s for s in picture.shapes if isinstance(s, Segment) and s not in plain.shapes and abs(s.x1 - s.x2) < 1e-6
    ]
    assert len([s for s in upright if s.y1 > level > s.y2]) == strokes
    assert words in words_of(picture)
    assert words not in words_of(plain)


def test_a_slur_into_a_repeat_says_where_it_leads() -> None:
    part = stand_part("q:Bb3 q:F3", slurs=((0, 1),))
    study = hand_made_study(part)
    report = replace(study.reports[0], move=0)
    back = Move(source=1, target=0, slurred=True, time_s=0.8, gap_s=0.0, dynamic=0.0)
    line = replace(study.line, moves=(back,))
    plan = replace(study.plan, techniques=(Technique.PLAIN,))
    (picture,) = drawn(replace(study, line=line, plans=(plan,), reports=(report,)))
    assert any(word.endswith("→ bar 1") for word in words_of(picture))


def test_all_fingerings_names_and_bars_of_the_demo_stand_in_it() -> None:
    study = demo_study()
    pictures = drawn(study)
    words = [word for picture in pictures for word in words_of(picture)]
    chosen = [
        text.words
        for picture in pictures
        for group in picture.shapes
        if isinstance(group, Group) and group.css_class == "chosen"
        for text in group.shapes
        if isinstance(text, Text)
    ]
    assert chosen == [way.fingering for way in study.plan.ways]
    assert {str(bar) for bar in range(1, 26) if bar != 8} <= set(words)
    assert {"p", "mf", "mp", "f", "pp"} <= set(words)
    for number, report in enumerate(study.weak, start=1):
        assert f"S{number} {percent(report.break_risk)}" in words


def boxes(picture: Picture) -> list[tuple[str, Area]]:
    """Upright words as rectangles, a little tighter than the room that they ask for."""
    found = []
    for text in flat(picture.shapes):
        if not isinstance(text, Text) or text.turn_degrees:
            continue
        width, height = 0.92 * text_width(text.words, text.size, bold=text.bold), CAP_HEIGHT * text.size
        shift = {Anchor.START: 0.5, Anchor.MIDDLE: 0.0, Anchor.END: -0.5}[text.anchor] * width
        area = around(text.x + shift, text.y - height / 2, half_width=width / 2, half_height=height / 2)
        found.append((text.words, area))
    return found


@pytest.mark.parametrize("reading", [0, 1])
def test_words_keep_clear_of_each_other_and_of_the_edge(reading: int) -> None:
    for picture in drawn(demo_study(reading)):
        found = boxes(picture)
        for word, area in found:
            assert area.left >= 0 <= area.top, word
            assert area.right <= picture.width_mm + 0.5, word
            assert area.bottom <= picture.height_mm, word
        clashes = [(a, b) for (a, one), (b, other) in itertools.combinations(found, 2) if one.overlap(other) > 0.15]
        assert not clashes


def test_words_keep_clear_of_the_rings() -> None:
    for picture in drawn(demo_study()):
        for (word, area), ring in itertools.product(boxes(picture), rings(picture)):
            mark = around(ring.x, ring.y, half_width=1.0, half_height=1.0)
            assert area.overlap(mark) < 0.4, word


def test_rows_fill_the_width_and_fit_on_a_page() -> None:
    pictures = drawn(demo_study())
    assert len(pictures) == 3
    assert all(picture.width_mm == 180.0 for picture in pictures)
    assert sum(picture.height_mm for picture in pictures) < 250.0, "one A4 sheet"


def test_some_bars_only() -> None:
    (picture,) = drawn(demo_study(), bars=(18, 19))
    assert picture.title == "Partial ladder, bars 18 to 19"
    assert len(rings(picture)) == 5
    with pytest.raises(RequestError, match="no note begins"):
        drawn(demo_study(), bars=(40, 44))


def test_a_narrow_picture_breaks_a_long_bar_rather_than_overflow() -> None:
    music = " ".join(["s:F3 s:Bb3 s:D4 s:Bb3"] * 4)
    pictures = drawn(hand_made_study(stand_part(music)), width_mm=90.0)
    assert len(pictures) > 1
    assert sum(len(rings(picture)) for picture in pictures) == 16


def test_a_weak_slur_over_a_row_end_keeps_its_words_once() -> None:
    music = " ".join(["q:F3 q:Bb3"] * 16)
    study = hand_made_study(stand_part(music), chosen={})
    joined = hand_made_study(stand_part(music, slurs=((0, 31),)))
    assert not study.weak
    pictures = drawn(joined, width_mm=100.0)
    assert len(pictures) > 1
    words = [word for picture in pictures for word in words_of(picture) if word.startswith("S") and word != "S1 24 %"]
    numbers = [word.split()[0] for word in words if "weak slur" not in word]
    assert sorted(numbers) == sorted(f"S{n}" for n in range(1, len(joined.weak) + 1))


def test_the_same_study_draws_the_same() -> None:
    assert drawn(demo_study()) == drawn(demo_study())

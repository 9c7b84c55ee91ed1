"""The terminal reports: what they say, that they fit 80 columns, and that no meaning hangs on colour."""

import io
import re
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console

from builders.stand import stand_part
from builders.studies import hand_made_study
from slurwright.cli.console import people_console
from slurwright.cli.note_report import print_note
from slurwright.cli.report import print_study
from slurwright.devices.packaged import load_horn
from slurwright.formats.musicxml import open_musicxml
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Technique
from slurwright.plan.study import Study
from slurwright.plan.ways import tie_groups, ways_of
from slurwright.score import Notice

from .conftest import Run

DEMO = Path(__file__).parents[2] / "src/slurwright/data/demo/lanterns-on-weir-street.musicxml"
SNAPSHOTS = Path(__file__).parents[1] / "snapshots/reports"


def printed(study: Study, *, width: int = 80, colour: bool = False) -> str:
    out = io.StringIO()
    console = Console(
        file=out, width=width, force_terminal=colour, color_system="standard" if colour else None, highlight=False
    )
    print_study(study, console=console)
    return out.getvalue()


def lines(text: str) -> list[str]:
    return [line.rstrip() for line in text.splitlines()]


def one_line(text: str) -> str:
    return " ".join(text.split())


def small_study(**chosen: str) -> Study:
    part = stand_part("q:F3 q:Bb3 q:A3 q:F3 | h:F3 h:Bb3", slurs=((0, 2), (4, 5)))
    return hand_made_study(part, chosen={int(index[1:]): fingering for index, fingering in chosen.items()})


@pytest.fixture(scope="module")
def demo() -> Study:
    score = open_musicxml(DEMO.read_bytes(), where=DEMO.name)
    return hand_made_study(score.part(score.headings[0]), chosen={41: "4"})


def test_the_head_says_what_was_read_and_how() -> None:
    study = replace(small_study(), notices=(Notice("no tempo is marked", "bar 1"),))
    text = one_line(printed(study))
    assert "Harbour Steps" in text
    assert "Harbour Steps Horn: Euphonium in B♭, four valves, compensating (euphonium-4c), slides: exact" in text
    assert "Read in bass clef, at concert pitch: 2 bars, 6 notes, 3 slurred moves, 2 of them weak" in text
    assert "note: bar 1: no tempo is marked" in text


def test_a_part_is_named_where_that_says_something() -> None:
    study = small_study()
    first_chair = replace(study, part=replace(study.part, name="1st Euphonium", title=""))
    assert printed(first_chair).startswith("1st Euphonium\nHorn: Euphonium in")
    titled = replace(study, part=replace(study.part, name="Solo"))
    assert "Part: Solo. Horn: Euphonium in" in one_line(printed(titled))
    nameless = replace(study, part=replace(study.part, name="P1", part_id="P1", title=" "))
    assert printed(nameless).startswith("P1\nHorn: ")
    blank = replace(study, part=replace(study.part, name="", title=""))
    assert printed(blank).startswith("Euphonium in B♭, four valves, compensating\nHorn: ")


def test_one_of_a_kind_is_said_as_one() -> None:
    study = hand_made_study(stand_part("q:F3 h.:Bb3", slurs=((0, 1),)))
    assert "1 bar, 2 notes, 1 slurred move, 1 of them weak" in one_line(printed(study))


def test_a_note_that_comes_again_and_again_is_said_once() -> None:
    part = stand_part("q:F3 q:F3 q:F3 q:Bb3 | q:F3 q:F3 q:Bb3 q:Bb3", slurs=((5, 6),))
    text = printed(hand_made_study(part))
    assert "    1) 3x F3 0  Bb3 0 | F3 0  (F3 0 <S1>  Bb3 0)  Bb3 0" in lines(text)
    assert "3x three times the same" in one_line(text)
    assert "three times" not in printed(small_study())


def test_no_line_ends_in_spaces(demo: Study) -> None:
    shown = replace(demo, trade_offs=demo.plans)
    assert [line for line in printed(shown).splitlines() if line != line.rstrip()] == []


def test_an_ordinary_part_fits_two_screens(run: Run, demo_file: Path) -> None:
    shown = run("part", demo_file, "--horn", "euphonium-4c").out
    # A screen of a terminal that is opened wide for reading shows about 55 lines (common practice).
    assert len(lines(shown)) <= 2 * 55


def test_a_place_is_written_as_a_pin_takes_it() -> None:
    part = stand_part("e3:F3 e3:Bb3 e3:F3 e:Bb3 e:F3 h:Bb3")
    study = hand_made_study(part, chosen={2: "4", 4: "4"})
    rows = lines(printed(study))
    assert "  - bar 1, beat 5/3: F3 4 (normal: 0)" in rows
    assert "  - bar 1, beat 2.5: F3 4 (normal: 0)" in rows


def test_trade_offs_stand_in_a_table() -> None:
    study = small_study()
    smooth = replace(small_study(n0="4", n3="4", n1="2-3").plan, chance_slurs=0.9, chance_in_tune=0.6)
    text = printed(replace(study, trade_offs=(smooth, study.plan)))
    start = lines(text).index("Between smooth, in tune and familiar")
    table = lines(text)[start + 1 : start + 5]
    assert table[0].split("  ")[-1] == "differs from the best plan"
    assert re.fullmatch(r" +90 % +60 % +90 % +3  2x F3 4 instead of 0, Bb3 2-3 instead of 0", table[1])
    assert re.fullmatch(r" +50 % +80 % +90 % +0  the best plan", table[2])
    assert "Between smooth" not in printed(study)


def test_trade_offs_of_long_parts_are_told_by_slips() -> None:
    study = small_study()
    plans = tuple(replace(study.plan, chance_in_tune=chance) for chance in (0.002, 0.0001))
    text = one_line(printed(replace(study, trade_offs=plans)))
    # -ln 0.002 is 6.2 and -ln 0.0001 is 9.2 (derived).
    assert "6.2 slips" in text
    assert "9.2 slips" in text
    assert "slips to expect where every chance is small" in text


def test_every_bar_stands_with_slurs_weak_slurs_and_changes() -> None:
    rows = lines(printed(small_study(n4="4")))
    assert "    1) (F3 0 <S1>  Bb3 0  A3 2)  F3 0 | (F3 4*  Bb3 0)" in rows
    assert "  - bar 2, beat 1: F3 4 (normal: 0)" in rows
    assert "  * changed from the normal fingering, because it pays here:" in rows


def test_without_changes_it_says_so() -> None:
    assert "  All of them are the normal fingerings." in lines(printed(small_study()))


def test_slurs_that_are_alike_share_a_table_with_numbered_choices() -> None:
    rows = lines(printed(small_study()))
    head = next(i for i, row in enumerate(rows) if row.startswith("S1"))
    assert rows[head] == "S1, S2  bars 1, 2: F3 to Bb3, lip slur up, the lips cross 498 cents"
    assert re.fullmatch(r" +1 +25 % +\+2, 0 +as it stands", rows[head + 2])
    assert re.fullmatch(r" +2 +12 % +\+2, 0 +legato tongue: touch it", rows[head + 3])
    assert re.fullmatch(r" +3 +2 % +0, 0 +4 to 0 it is \(a\)", rows[head + 4])
    assert "  - (a) because 4 to 0." in rows
    assert sum(row.startswith("S2") for row in rows) == 0


def test_slurs_whose_choices_tie_in_another_order_are_alike() -> None:
    study = small_study()
    first, *rest = study.reports[2].choices
    other = replace(study.reports[2], choices=(first, *reversed(rest)))
    rows = lines(printed(replace(study, reports=(*study.reports[:2], other))))
    assert any(row.startswith("S1, S2  bars 1, 2:") for row in rows)


def test_slurs_that_differ_do_not_share() -> None:
    part = stand_part("q:F3 q:Bb3 q:Bb3 q:F3", slurs=((0, 1), (2, 3)))
    rows = lines(printed(hand_made_study(part)))
    assert any(row.startswith("S1  bar 1: F3 to Bb3, lip slur up") for row in rows)
    assert any(row.startswith("S2  bar 1: Bb3 to F3, lip slur down") for row in rows)


def test_what_was_told_of_a_choice_is_not_told_again() -> None:
    study = small_study()
    harder = replace(study.reports[2], break_risk=0.5, choices=study.reports[2].choices)
    text = one_line(printed(replace(study, reports=(*study.reports[:2], harder))))
    assert re.search(
        r"S2 [^%]+cents breaks 50 % as it stands; legato tongue 12 %; 4 to 0 2 %; [^S]*; choices as for S1", text
    )


def test_reasons_that_hold_everywhere_are_given_once() -> None:
    text = one_line(printed(small_study()))
    assert text.count("legato tongue: because legato tongue") == 1
    assert text.count("as it stands: because as it stands") == 1


def test_a_slide_names_its_smear() -> None:
    study = hand_made_study(stand_part("q:Bb3 q:A3", slurs=((0, 1),)), horn=load_horn("trombone"))
    text = one_line(printed(study))
    assert "S1 bar 1: Bb3 to A3, smear on one partial" in text
    assert "All of them are the normal positions." in text
    assert "slides:" not in text


def test_techniques_of_the_plan_have_their_signs() -> None:
    study = small_study()
    techniques = (Technique.LEGATO_TONGUE, Technique.HALF_VALVE, *study.plan.techniques[2:])
    text = printed(replace(study, plans=(replace(study.plan, techniques=techniques),)))
    assert "    1) (F3 0 <S1> <t>  Bb3 0 <h>  A3 2)" in text
    assert "<t> legato tongue; <h> half valve" in one_line(text)
    assert "<t>" not in printed(study)


def test_the_sum_has_its_three_factors_and_says_prior() -> None:
    text = printed(small_study())
    # 0.8 x 0.5 x 0.9 is 0.36; -ln of each is 0.22, 0.69, 0.11 and 1.02 (derived).
    for row in ("in tune and even 80 % 0.2", "slurs speak 50 % 0.7", "fingers make it 90 % 0.1"):
        assert row in one_line(text)
    assert "all of it clean 36 % 1.0" in one_line(text)
    assert "Prior: not yet learnt from your playing" in one_line(text)


def test_other_plans_say_where_they_differ() -> None:
    study = small_study()
    other = small_study(n4="4").plan
    text = one_line(printed(replace(study, plans=(study.plan, other))))
    assert "plan 2: clean 36 %, slips to expect 1.0; bar 2, beat 1: F3 4 instead of 0" in text
    same = replace(study.plan, techniques=tuple(reversed(study.plan.techniques)))
    assert "the same fingerings, other techniques" in one_line(printed(replace(study, plans=(study.plan, same))))


def test_it_ends_with_what_to_do_and_the_cautions() -> None:
    text = one_line(printed(small_study()))
    assert "Practise it as it stands first, then with the rescue." in text
    assert text.count("Practise it as it stands first") == 1, "the same advice is given once"
    assert "stop if it hurts" in text
    assert "medical professional" in text


def test_a_part_without_weak_slurs_says_so() -> None:
    text = printed(hand_made_study(stand_part("q:Bb3 q:A3", slurs=((0, 1),))))
    assert "  None is above your limit." in lines(text)
    assert "S1  bar" not in text


@pytest.mark.parametrize("width", [60, 80, 120])
def test_nothing_is_wider_than_the_terminal(demo: Study, width: int) -> None:
    assert max(len(line) for line in lines(printed(demo, width=width))) <= width


def test_each_fingering_of_the_demo_is_there(demo: Study) -> None:
    rows = [row for row in lines(printed(demo)) if re.match(r" *\d+\) |       +\S", row)]
    words = " ".join(rows)
    found = re.findall(r"\(?([A-G][b#]?\d) ([\d-]+)\*?\)?(?= |$)", words)
    assert [fingering for _, fingering in found[: len(demo.plan.ways)]] == [way.fingering for way in demo.plan.ways]


def test_colour_adds_nothing_but_weight(demo: Study) -> None:
    coloured = printed(demo, colour=True)
    assert "\x1b[" in coloured
    assert set(re.findall(r"\x1b\[([\d;]*)m", coloured)) <= {"0", "1"}, "bold only, no colour"
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == printed(demo)


def test_no_escape_codes_where_nobody_sees_them(capsys: pytest.CaptureFixture[str]) -> None:
    print_study(small_study())
    assert "\x1b" not in capsys.readouterr().out


def test_a_terminal_without_the_letters_gets_others(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr("sys.stdout", io.TextIOWrapper(raw, encoding="ascii"))
    console = people_console()
    console.print("Euphonium in B♭")
    console.file.flush()
    assert raw.getvalue().decode("ascii").strip() == "Euphonium in B?"


def test_words_in_brackets_are_words(demo: Study) -> None:
    study = replace(demo, part=replace(demo.part, title="[bold]March[/bold] :trumpet:"))
    assert printed(study).startswith("[bold]March[/bold] :trumpet:")


def test_the_report_is_the_one_that_was_read() -> None:
    text = "\n".join(lines(printed(small_study(n4="4")))) + "\n"
    assert text == (SNAPSHOTS / "study.txt").read_text(encoding="utf-8")


def note_text(name: str, *, horn_id: str = "euphonium-4c", width: int = 80) -> str:
    horn = load_horn(horn_id)
    sounding = SoundingPitch.named(name)
    out = io.StringIO()
    console = Console(file=out, width=width, highlight=False)
    written = horn.readings[0].transposition.to_written(sounding)
    print_note(sounding, written, horn, ways_of(sounding, horn), console=console)
    return out.getvalue()


def test_a_note_lists_every_way_with_cents_and_spread() -> None:
    rows = lines(note_text("F3"))
    assert rows[0].startswith("F3 on Euphonium in B♭")
    # Open third partial: 1200 log2(3/2) - 700 = +2.0 cents; 1-3 on the fourth partial +30.3 (derived).
    assert any(re.match(r" 0 normal +3 +\+2 +± 12 ", row) for row in rows)
    assert any(re.match(r" 4 +4 +0 +± 13 ", row) for row in rows)
    assert any(re.match(r" 1-3 +4 +\+30 +± 15 ", row) for row in rows)


def test_ways_that_tie_share_a_letter() -> None:
    horn = load_horn("euphonium-4c")
    ways = ways_of(SoundingPitch.named("F3"), horn)
    tied = {way.fingering for way in tie_groups(ways)[0]}
    assert {"0", "4"} <= tied
    for row in lines(note_text("F3")):
        match = re.match(r" (\S+)(?: normal)? +\d+ +\S+ +± \d+ +([a-z])? ", row)
        if match and match[1] in tied:
            assert match[2] == "a"


def test_a_transposed_note_has_both_names() -> None:
    assert note_text("Bb4", horn_id="trumpet-b").startswith("written C5, sounding Bb4 on ")


def test_a_note_fits_a_narrow_terminal() -> None:
    assert max(len(line) for line in lines(note_text("C4", width=60))) <= 60


def test_written_and_sounding_alike_are_said_once() -> None:
    horn = load_horn("euphonium-4c")
    out = io.StringIO()
    pitch = SoundingPitch.named("F3")
    print_note(pitch, WrittenPitch.named("F3"), horn, ways_of(pitch, horn), console=Console(file=out, width=80))
    assert out.getvalue().startswith("F3 on ")


def test_a_sentence_of_advice_is_not_said_twice() -> None:
    study = small_study()
    advice = ("Practise it up. Keep a rescue.", "Practise it down. Keep a rescue.")
    reports = tuple(replace(report, advice=words) for report, words in zip(study.weak, advice, strict=True))
    text = one_line(printed(replace(study, reports=reports)))
    assert "- Practise it up. Keep a rescue. - Practise it down. -" in text


def many_weak() -> Study:
    """A part of twenty bars whose slurs are harder from bar to bar."""
    part = stand_part(" | ".join(["h:F3 h:Bb3", "h:F3 h:D4"] * 10), slurs=[(n, n + 1) for n in range(0, 40, 2)])
    study = hand_made_study(part)
    reports = tuple(replace(report, break_risk=0.3 + 0.02 * place) for place, report in enumerate(study.reports))
    return replace(study, reports=reports)


def test_where_many_slurs_are_weak_the_hardest_have_tables() -> None:
    rows = lines(printed(many_weak()))
    tables = [row.split("  ")[0] for row in rows if re.match(r"S\d+  bar", row)]
    assert tables == [f"S{number}" for number in range(13, 21)]
    assert any(row.startswith("  - S2, S4, S6, S8 and 2 more: F3 to D4 breaks 32 to 52 %") for row in rows)
    assert any(row.startswith("  - S1, S3, S5, S7 and 2 more: F3 to Bb3 breaks 30 to 50 %") for row in rows)


def test_what_is_not_told_of_very_many_weak_slurs_is_counted() -> None:
    names = ("C", "D", "Eb", "F", "G", "A", "Bb")
    bars = [f"h:{low}3 h:{high}4" for low in names for high in ("F", "G", "A")]
    study = hand_made_study(stand_part(" | ".join(bars), slurs=[(n, n + 1) for n in range(0, 42, 2)]))
    assert len(study.weak) > 18
    text = one_line(printed(study))
    assert f"and {len(study.weak) - 18} more slurs" in text


def test_a_planned_technique_is_told_where_the_slur_stands() -> None:
    study = small_study()
    report = study.reports[0]
    planned = replace(report.choices[0], technique=Technique.HALF_VALVE)
    reports = (replace(report, choices=(planned, *report.choices[1:])), *study.reports[1:])
    rows = lines(printed(replace(study, reports=reports)))
    assert any(re.fullmatch(r" +1 +25 % +\+2, 0 +as it stands, half valve", row) for row in rows)

"""What is said on pages of a studied part: headings, the table of choices, and what is not said twice."""

from dataclasses import replace

from builders.stand import stand_part
from builders.studies import hand_made_study
from slurwright.devices.packaged import load_horn
from slurwright.jobs.pages import page_request
from slurwright.plan.study import Study


def study_of(*, title: str = "Harbour Steps", name: str = "Solo") -> Study:
    part = stand_part("q:F3 q:Bb3 q:A3 q:F3 | h:F3 h:Bb3", slurs=((0, 2), (4, 5)), title=title, name=name)
    return hand_made_study(part)


def headings(study: Study) -> tuple[str, str, str]:
    request = page_request(study)
    return request.title, request.subtitle, request.running


def test_headings_name_music_part_horn_and_reading() -> None:
    assert headings(study_of()) == (
        "Harbour Steps",
        "Solo · Euphonium in B♭, four valves, compensating · bass clef, at concert pitch",
        "Harbour Steps · Solo",
    )


def test_headings_say_nothing_twice() -> None:
    horn = "Euphonium in B♭, four valves, compensating"
    reading = "bass clef, at concert pitch"
    assert headings(study_of(name="Euphonium")) == (
        "Harbour Steps",
        f"{horn} · {reading}",
        "Harbour Steps · Euphonium in B♭",
    )
    assert headings(study_of(title="", name="Cello")) == ("Cello", f"{horn} · {reading}", "Cello · Euphonium in B♭")
    assert headings(study_of(name="3. Harbour Steps")) == headings(study_of(name="Euphonium"))
    assert headings(study_of(title=" ", name="")) == (horn, reading, horn)


def test_an_id_in_place_of_a_name_is_left_out() -> None:
    study = study_of(name="P1")
    study = replace(study, part=replace(study.part, part_id="P1"))
    assert headings(study)[1].startswith("Euphonium in B♭")
    assert headings(study)[2] == "Harbour Steps · Euphonium in B♭"


def test_a_transposed_reading_is_named_as_parts_name_it() -> None:
    study = hand_made_study(stand_part("q:F3 q:Bb3 h:F3"), horn=load_horn("euphonium-4c"), reading=1)
    assert headings(study)[1].endswith("· treble clef in B♭")


def test_other_fingerings_stand_short_in_the_table() -> None:
    first, second = page_request(study_of()).table
    assert first.others[0] == "4 to 0: 2 % (0, 0)"
    assert second.others == ("as S1",)
    assert second.why == "as S1"


def test_a_reason_is_said_once_even_where_the_risks_differ() -> None:
    study = study_of()
    harder = replace(
        study.reports[2],
        choices=tuple(replace(choice, break_risk=choice.break_risk + 0.01) for choice in study.reports[2].choices),
    )
    first, second = page_request(replace(study, reports=(*study.reports[:2], harder))).table
    assert second.others != ("as S1",)
    assert second.others[0].startswith("4 to 0: 3 %")
    assert first.why
    assert second.why == "as S1"


def test_choices_that_tie_in_another_order_are_not_said_again() -> None:
    study = study_of()
    first, *rest = study.reports[2].choices
    turned = replace(study.reports[2], choices=(first, *reversed(rest)))
    assert page_request(replace(study, reports=(*study.reports[:2], turned))).table[1].others == ("as S1",)

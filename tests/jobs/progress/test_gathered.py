"""How a player got on, as it is asked for and as it is said."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from builders.kept_progress import TODAY, KeptInMind, autumn, logged
from builders.parts import part_of
from builders.practised import slur
from builders.studies import hand_made_study
from slurwright.devices.packaged import load_beliefs, load_chances, load_horn, load_progress
from slurwright.errors import RequestError, StoreError
from slurwright.evidence.attempts import Ear
from slurwright.horn.owned import Player
from slurwright.jobs.progress.answers import progress_answer
from slurwright.jobs.progress.gathered import ProgressAnswer, ProgressRequest, progress_for
from slurwright.jobs.progress.pages import progress_pages
from slurwright.jobs.progress.words import Section, sections_of


def told(kept: KeptInMind, request: ProgressRequest | None = None, *, today: date = TODAY) -> ProgressAnswer:
    return progress_for(
        kept,
        request or ProgressRequest(),
        catalogue=load_horn,
        chances=load_chances(),
        beliefs=load_beliefs(),
        table=load_progress(),
        today=today,
    )


@cache
def answer() -> ProgressAnswer:
    return told(autumn())


def sentences(one: ProgressAnswer) -> Mapping[str, tuple[str, ...]]:
    return {section.heading: section.sentences for section in sections_of(one)}


def test_an_autumn_is_told_in_sentences() -> None:
    said = sentences(answer())
    assert any(words.startswith("F3 to Bb3 (12:3), 0 to 0: speaks") for words in said["Got better"])
    assert any("sure that it is better; " in words for words in said["Got better"])
    assert any(words.startswith("Bb3 to D4 (3:1)") for words in said["Good, and stays so"])
    assert said["Fewer than 8 attempts: too few to say"] == ("C4 to F4, 1 to 0: 1 of 3 spoke.",)
    assert any("4 to 0" in words and "Practise that one" in words for words in said["To drop"])
    (nearer,) = said["Notes whose pitch changed"]
    assert nearer.startswith("Eb3 on 0")
    assert "nearer to its target" in nearer
    assert any("24 Oct" in words and "sharp" in words for words in said["Whole takes that were off"])


def test_nothing_yet_is_said_so_everywhere() -> None:
    nothing = told(KeptInMind())
    assert sections_of(nothing) == ()
    assert progress_answer(nothing)["slurs"] == []
    assert "Nothing was tried yet" in " ".join(progress_pages(nothing))


def test_one_day_is_no_progress() -> None:
    day = logged(slur("F3", "Bb3"), (0,) * 12, (Ear.GOOD,) * 12)
    assert "all on one day: come back to it" in sentences(told(KeptInMind(day)))["Too little known to say"][0]


def test_one_slur_by_its_notes() -> None:
    one = told(autumn(), ProgressRequest(slur="F3 to Bb3"))
    assert [slur_told.notes for slur_told in one.progress.slurs] == [("F3", "Bb3")]
    assert one.progress.notes == ()
    assert one.attempts == 166
    whole = next(each for each in answer().progress.slurs if each.notes == ("F3", "Bb3"))
    assert one.progress.slurs[0].curves[0].curve == whole.curves[0].curve


def test_a_slur_that_was_never_tried_names_those_that_were() -> None:
    with pytest.raises(RequestError, match="never tried; got A3 C4; allowed: F3 Bb3"):
        told(autumn(), ProgressRequest(slur="A3 C4"))


@pytest.mark.parametrize("words", ["F3", "12:3", "F3 Bb3 D4", "loud soft"])
def test_words_that_mean_no_slur_are_refused(words: str) -> None:
    with pytest.raises(RequestError, match="not a slur"):
        told(autumn(), ProgressRequest(slur=words))


def test_one_part_leaves_its_own_slurs_and_notes() -> None:
    study = hand_made_study(part_of("(D4 F4) r/2 | D3/4"))
    one = told(autumn(), ProgressRequest(study=study))
    assert [slur_told.notes for slur_told in one.progress.slurs] == [("D4", "F4")]
    assert {note.way.sounding.midi for note in one.progress.notes} == {50}
    by_place = told(autumn(), ProgressRequest(study=study, slur="1:1"))
    assert [slur_told.notes for slur_told in by_place.progress.slurs] == [("D4", "F4")]


def test_a_slur_is_said_where_it_stands_in_the_part_that_is_meant() -> None:
    one = told(autumn(), ProgressRequest(study=hand_made_study(part_of("r r (F3 Bb3) | (F3 Bb3) r r"))))
    assert [slur_told.label for slur_told in one.progress.slurs] == ["1:3"]
    assert {slur_told.label for slur_told in answer().progress.slurs} > {"12:3"}


def test_only_since_a_day() -> None:
    one = told(autumn(), ProgressRequest(since=date(2026, 11, 1)))
    assert one.attempts < answer().attempts
    assert all(point.day >= date(2026, 11, 1) for note in one.progress.notes for point in note.points)
    with pytest.raises(RequestError, match="still to come"):
        told(autumn(), ProgressRequest(since=date(2026, 12, 1)))


def test_a_clock_that_was_set_back_is_said() -> None:
    early = told(autumn(), today=date(2026, 11, 1))
    assert any("dated after 2026-11-01" in words for words in early.progress.notices)
    assert max(slur_told.curves[0].curve[-1].day for slur_told in early.progress.slurs) <= date(2026, 11, 1)


def test_a_horn_that_was_put_away_is_left_out_in_words() -> None:
    kept = replace(autumn(), owned=(), notes=())
    one = told(kept)
    assert one.progress.slurs == ()
    assert any("horn that is not known here" in words for words in one.progress.notices)


def test_whose_and_which_horn() -> None:
    with pytest.raises(StoreError, match="no such horn"):
        told(autumn(), ProgressRequest(horn="brass band"))
    assert told(autumn(), ProgressRequest(horn="Old  Silver")).attempts == answer().attempts
    two = replace(autumn(), owners=(*autumn().owners, replace(autumn().owners[0], id="p2", name="Ida")))
    with pytest.raises(RequestError, match="several players"):
        told(two)
    assert told(two, ProgressRequest(player="Ida")).attempts == 0


def test_attempts_on_a_model_are_told_under_its_id() -> None:
    base = logged(slur("F3", "Bb3"), range(12), (Ear.GOOD,) * 12)
    on_model = tuple(replace(one, about=replace(one.about, horn_id=None)) for one in base)
    one = told(KeptInMind(on_model), ProgressRequest(horn="euphonium-4c"))
    assert list(one.horns.values()) == ["euphonium-4c"]
    assert one.attempts == 12


def test_long_lists_are_cut_short() -> None:
    many = [
        logged(slur(first, second), (0,), (Ear.GOOD,))
        for first in ("F3", "G3", "A3", "Bb3", "C4")
        for second in ("D4", "Eb4", "E4", "F4", "G4")
    ]
    (only,) = sections_of(told(KeptInMind(tuple(one for each in many for one in each))))
    assert isinstance(only, Section)
    (sentence,) = only.sentences
    assert sentence.count(" spoke") == 20
    assert sentence.endswith("; and 5 more, which the table holds.")


def test_pages_hold_every_slur_and_its_figures() -> None:
    pages = progress_pages(answer())
    text = " ".join(pages)
    assert all(page.startswith("<svg") for page in pages)
    assert text.count('class="panel"') == 5 + 8
    assert "Chances are learnt from" in text
    assert "stop if it hurts" in text
    assert pages == progress_pages(told(autumn()))


def test_a_player_needs_a_name() -> None:
    nobody: tuple[Player, ...] = ()
    with pytest.raises(RequestError, match="no horn has been added yet"):
        told(replace(autumn(), owners=nobody))

"""The page of a round: every try in its place, readable notation, fingerings that the horn has."""

from dataclasses import replace

import pytest

from builders.musicxml_schema import schema_errors
from builders.trials import trial_of
from slurwright.devices.notation import abc_to_musicxml, humdrum_to_mei
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.errors import FingeringError
from slurwright.evidence.trial.tries import page_slots
from slurwright.evidence.trial.values import TrialDesign
from slurwright.formats.musicxml_writer import write_musicxml
from slurwright.formats.sniff import open_score
from slurwright.jobs.passage import passage_of
from slurwright.jobs.trial.block import RoundPage, round_page
from slurwright.plan import Technique


def page_of(design: TrialDesign, block: int = 0) -> RoundPage:
    return round_page(
        design,
        block,
        load_horn("euphonium-4c"),
        title="F3 to Bb3: blocks 1 to 4",
        chances=load_chances(),
        familiarity=load_familiarity(),
    )


@pytest.mark.parametrize("arms", [2, 3, 4])
def test_every_try_stands_in_its_place(arms: int) -> None:
    design = trial_of(arms)
    page = page_of(design)
    study = page.study
    slurred = [index for index, move in enumerate(study.line.moves) if move.slurred]
    assert len(slurred) == len(page.slots) == arms * design.round_blocks
    for move, slot in zip(slurred, page.slots, strict=True):
        source = study.line.moves[move].source
        fingered = [study.plan.ways[sound].fingering for sound in (source, source + 1)]
        assert fingered == [way.fingering for way in design.arms[slot.arm].ways]
        assert study.line.moves[move].dynamic == -3.0
        assert study.line.moves[move].time_s == pytest.approx(design.time_s, rel=0.02)
        technique = design.arms[slot.arm].technique
        assert page.take.tried[slot.block * arms + page.slots[slot.block * arms :].index(slot)].endswith(technique)


def test_the_bars_add_up_and_every_try_is_followed_by_a_rest() -> None:
    part = page_of(trial_of()).study.part
    for measure in part.measures:
        notes = [note.duration_quarter for note in part.notes if note.measure == measure.index]
        rests = [rest.duration_quarter for rest in part.rests if rest.measure == measure.index]
        assert sum(notes) + sum(rests) == measure.duration_quarter == measure.time.length_quarter
        assert len(notes) == (0 if measure.index % 2 else 2)
    assert passage_of(page_of(trial_of()).study).passage.joined() == tuple((2 * k, 2 * k + 1) for k in range(8))


@pytest.mark.parametrize(("time_s", "hold_s"), [(0.1, 0.1), (0.25, 3.0), (4.0, 0.5), (1 / 3, 2 / 3), (20.0, 20.0)])
def test_any_slur_can_be_written(time_s: float, hold_s: float) -> None:
    design = replace(trial_of(), time_s=time_s, hold_s=hold_s)
    page = page_of(design)
    move = next(move for move in page.study.line.moves if move.slurred)
    if time_s <= 1.5:
        assert move.time_s == pytest.approx(time_s, rel=0.05)
    write_musicxml(page.study.part, fingerings=page.fingerings)


def test_the_notation_is_valid_and_read_again_the_same() -> None:
    page = page_of(trial_of(3))
    data = write_musicxml(page.study.part, fingerings=page.fingerings)
    assert schema_errors(data) == []
    score = open_score(data, name="round.musicxml", to_mei=humdrum_to_mei, to_musicxml=abc_to_musicxml)
    again = score.part(score.headings[0])
    assert [note.sounding for note in again.notes] == [note.sounding for note in page.study.part.notes]
    assert again.slurs == page.study.part.slurs
    assert [note.fingerings for note in again.notes] == [page.fingerings[note.index] for note in again.notes]
    words = " ".join(direction.text for direction in again.directions)
    assert "legato tongue" in words
    assert "pp" in words


def test_a_later_page_holds_what_is_left() -> None:
    page = page_of(trial_of(), 6)
    assert page.slots == page_slots(trial_of(), 6)
    assert {slot.block for slot in page.slots} == {6, 7}


def test_a_horn_that_has_the_fingering_no_longer() -> None:
    design = trial_of()
    with pytest.raises(FingeringError, match="cannot sound F3"):
        round_page(
            design,
            0,
            load_horn("euphonium-3"),
            title="",
            chances=load_chances(),
            familiarity=load_familiarity(),
        )


def test_techniques_are_told_to_the_take() -> None:
    page = page_of(trial_of(3))
    arms = trial_of(3).arms
    told = [word.partition("=")[2] for word in page.take.tried]
    assert told == [arms[slot.arm].technique.value for slot in page.slots]
    assert Technique.LEGATO_TONGUE.value in told

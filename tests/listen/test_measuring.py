"""A take that goes on beyond what was asked for."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from builders.parts import part_of
from builders.studies import hand_made_study
from builders.takes import heard
from slurwright.devices.packaged import load_listening
from slurwright.jobs.passage import passage_of
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measuring import measure_take
from slurwright.listen.passage import Passage
from slurwright.listen.sound import HeldSound
from slurwright.synth import EUPHONIUM, Place, Player, Room
from slurwright.synth.faults import Fault, Manner, WrongNote
from slurwright.synth.performing import perform
from slurwright.synth.rendering import render

ASKED = "B3 (C4 D4) B3 | A3 (G3 A3) C4 | B3 D4 (C4 A3) | G3 A3 B3 C4 | "
LIKE_IT = "D4 (C4 D4) A3 | G3 (G3 A3) D4 | B3 C4 (C4 A3) | A3 A3 C4 B3"


def _played(passage: Passage, rng: np.random.Generator, faults: Sequence[Fault] = ()) -> HeldSound:
    script = perform(passage.notes, rng=rng, faults=faults, manner=Manner(voice=EUPHONIUM), player=Player())
    return heard(render(script, rng=rng, place=Place(Room(decay_s=0.4, direct_db=12.0), noise_db=50.0)))


def test_music_like_it_that_follows_is_not_taken_for_what_was_asked() -> None:
    whole = passage_of(hand_made_study(part_of(ASKED + LIKE_IT))).passage
    notes = whole.notes[:16]
    asked = Passage((*notes[:-1], replace(notes[-1], slurred_to_next=False)))
    rng = np.random.default_rng(1000)
    sound, limits = _played(whole, rng), load_listening()
    alone = measure_take(sound, asked, limits=limits)
    assert any(played.played_as is not PlayedAs.ASKED for played in alone.following.played), (
        "the tune is a fair trial"
    )
    measured = measure_take(sound, asked, limits=limits, within=(whole, 0))
    assert [played.asked for played in measured.following.played] == list(range(16))
    assert {played.played_as for played in measured.following.played} == {PlayedAs.ASKED}
    assert [(slur.first, slur.second) for slur in measured.slurs] == list(asked.joined())


def test_a_wrong_note_in_bars_that_are_only_found_in_the_whole_is_told() -> None:
    whole = passage_of(hand_made_study(part_of(ASKED + LIKE_IT))).passage
    asked = Passage((*whole.notes[10:13], replace(whole.notes[13], slurred_to_next=False)))
    rng = np.random.default_rng(1001)
    sound = _played(whole, rng, [WrongNote(12, whole.notes[12].hz * 2.0 ** (4.0 / 12.0))])
    limits = load_listening()
    assert not measure_take(sound, asked, limits=limits).notes, "four notes are too few by themselves"
    measured = measure_take(sound, asked, limits=limits, within=(whole, 10))
    found = {played.asked: played.played_as for played in measured.following.played if played.asked is not None}
    assert found == {0: PlayedAs.ASKED, 1: PlayedAs.ASKED, 2: PlayedAs.WRONG, 3: PlayedAs.ASKED}

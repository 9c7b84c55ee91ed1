"""A take that goes on beyond what was asked for."""

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
from slurwright.synth import EUPHONIUM, Place, Player, Room
from slurwright.synth.faults import Manner
from slurwright.synth.performing import perform
from slurwright.synth.rendering import render

ASKED = "B3 (C4 D4) B3 | A3 (G3 A3) C4 | B3 D4 (C4 A3) | G3 A3 B3 C4 | "
LIKE_IT = "D4 (C4 D4) A3 | G3 (G3 A3) D4 | B3 C4 (C4 A3) | A3 A3 C4 B3"


def test_music_like_it_that_follows_is_not_taken_for_what_was_asked() -> None:
    whole = passage_of(hand_made_study(part_of(ASKED + LIKE_IT))).passage
    notes = whole.notes[:16]
    asked = Passage((*notes[:-1], replace(notes[-1], slurred_to_next=False)))
    rng = np.random.default_rng(1000)
    script = perform(whole.notes, rng=rng, manner=Manner(voice=EUPHONIUM), player=Player())
    sound = heard(render(script, rng=rng, place=Place(Room(decay_s=0.4, direct_db=12.0), noise_db=50.0)))
    limits = load_listening()
    alone = measure_take(sound, asked, limits=limits)
    assert any(played.played_as is not PlayedAs.ASKED for played in alone.following.played), (
        "the tune is a fair trial"
    )
    measured = measure_take(sound, asked, limits=limits, within=(whole, 0))
    assert [played.asked for played in measured.following.played] == list(range(16))
    assert {played.played_as for played in measured.following.played} == {PlayedAs.ASKED}
    assert [(slur.first, slur.second) for slur in measured.slurs] == list(asked.joined())

"""Does a performed passage hold the faults that were asked for, and nothing else?"""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.errors import RequestError
from slurwright.synth import Dwell, Note, Player, Rest, Retongue, Script, Slur, Standing, Tongue, Vibrato
from slurwright.synth.faults import (
    Breathing,
    Excerpt,
    ExtraNote,
    Fault,
    GoBack,
    LeaveOut,
    Manner,
    OctaveAway,
    OutOfTune,
    Pause,
    ScoopInto,
    SlurAs,
    TongueAgain,
    WrongNote,
)
from slurwright.synth.performing import perform
from slurwright.synth.rendering import render


@dataclass(frozen=True, slots=True)
class Asked:
    hz: float
    onset_s: float
    length_s: float
    slurred_to_next: bool = False
    series_hz: tuple[float, ...] = ()


TUNE = (
    Asked(200.0, 0.0, 0.5, True),
    Asked(250.0, 0.5, 0.5, True),
    Asked(300.0, 1.0, 0.5),
    Asked(300.0, 1.5, 0.5),
    Asked(250.0, 2.5, 0.5, True),
    Asked(200.0, 3.0, 1.0),
)
"""Three slurred notes, the last one again, a rest, two slurred notes."""


def play(*faults: Fault, manner: Manner | None = None, seed: int = 1) -> Script:
    return perform(TUNE, rng=np.random.default_rng(seed), faults=faults, manner=manner or Manner())


def asked(script: Script) -> list[int | None]:
    return [note.asked for note in script.notes]


def test_a_faultless_take_is_the_passage() -> None:
    script = play()
    assert asked(script) == [0, 1, 2, 3, 4, 5]
    assert [note.hz for note in script.notes] == pytest.approx([note.hz for note in TUNE])
    assert [note.onset_s - 0.6 for note in script.notes] == pytest.approx([note.onset_s for note in TUNE])
    assert [type(note.join) for note in script.notes] == [Slur, Slur, Rest, Rest, Slur, Rest]
    assert all(note.standing is Standing.ASKED for note in script.notes)
    assert script.notes[2].length_s == pytest.approx(0.5 - 0.04)
    assert script.length_s == pytest.approx(0.6 + 4.0 + 1.0)


def test_a_tempo_may_be_free_and_still_comes_home() -> None:
    script = play(manner=Manner(rubato=0.15, timing_s=0.02, tempo=1.25))
    gaps = np.diff([note.onset_s for note in script.notes]) / np.diff([note.onset_s for note in TUNE])
    assert np.std(gaps) > 0.02
    assert 0.5 < np.median(gaps) < 1.2


def test_without_gaps_the_tongue_only_touches_the_sound() -> None:
    script = play(manner=Manner(gap_s=0.0))
    assert [type(note.join) for note in script.notes] == [Slur, Slur, Retongue, Rest, Slur, Rest]


def test_wrong_notes() -> None:
    script = play(WrongNote(1, 270.0), OctaveAway(3, -1), OutOfTune(4, 25.0))
    assert [note.standing for note in script.notes][:4] == [
        Standing.ASKED,
        Standing.WRONG,
        Standing.ASKED,
        Standing.OCTAVE,
    ]
    assert [script.notes[at].hz for at in (1, 3)] == [270.0, 150.0]
    assert 1200 * np.log2(script.notes[4].hz / 250.0) == pytest.approx(25.0)
    assert asked(script) == [0, 1, 2, 3, 4, 5]


def test_a_note_left_out_leaves_its_time_or_not() -> None:
    kept, closed = play(LeaveOut(1)), play(LeaveOut(1, closed_up=True))
    assert asked(kept) == asked(closed) == [0, 2, 3, 4, 5]
    assert kept.notes[1].onset_s - kept.notes[0].onset_s == pytest.approx(1.0)
    assert isinstance(kept.notes[0].join, Rest)
    assert closed.notes[1].onset_s - closed.notes[0].onset_s == pytest.approx(0.5)
    assert isinstance(closed.notes[0].join, Slur)


def test_an_extra_note_comes_in_the_slur_where_it_is_one() -> None:
    script = play(ExtraNote(1, 225.0, 0.2), ExtraNote(4, 225.0, 0.2))
    assert asked(script) == [0, None, 1, 2, 3, None, 4, 5]
    assert script.notes[1].standing is Standing.EXTRA
    assert isinstance(script.notes[0].join, Slur)
    assert isinstance(script.notes[1].join, Slur)
    assert isinstance(script.notes[5].join, Rest)
    assert script.notes[2].onset_s - script.notes[1].onset_s == pytest.approx(0.2)


def test_going_back() -> None:
    script = play(GoBack(1, 0, pause_s=1.0))
    assert asked(script) == [0, 1, 0, 1, 2, 3, 4, 5]
    assert script.notes[2].onset_s - script.notes[1].onset_s == pytest.approx(0.5 + 1.0)
    assert isinstance(script.notes[1].join, Rest)
    assert isinstance(script.notes[3].join, Slur)
    assert asked(play(GoBack(4, 3), GoBack(5, 2))) == [0, 1, 2, 3, 4, 3, 4, 5, 2, 3, 4, 5]


def test_what_goes_wrong_does_so_once_but_a_note_out_of_tune_stays_so() -> None:
    script = play(GoBack(1, 0), WrongNote(0, 222.0), OutOfTune(1, 30.0))
    assert [note.hz for note in script.notes[:4]] == pytest.approx(
        [222.0, 250.0 * 2 ** (30 / 1200), 200.0, 250.0 * 2 ** (30 / 1200)]
    )


def test_an_excerpt_and_its_slurs() -> None:
    script = play(Excerpt(1, 4))
    assert asked(script) == [1, 2, 3, 4]
    assert script.notes[0].onset_s == pytest.approx(0.6)
    assert isinstance(script.notes[-1].join, Rest)


def test_silence_and_breath() -> None:
    script = play(Pause(3, 0.9), Breathing(5, 0.3))
    assert script.notes[3].onset_s - script.notes[2].onset_s == pytest.approx(0.5 + 0.9)
    assert script.notes[5].onset_s - script.notes[4].onset_s == pytest.approx(0.5)
    assert isinstance(script.notes[4].join, Rest)
    assert script.notes[4].length_s == pytest.approx(0.25)
    (breath,) = script.breaths
    assert script.notes[4].onset_s + 0.25 < breath.onset_s
    assert breath.onset_s + breath.length_s < script.notes[5].onset_s


def test_slurs_are_played_as_told_and_shortened_where_they_do_not_fit() -> None:
    split = Slur(dwells=(Dwell(220.0, 0.08),))
    script = play(SlurAs(0, split), SlurAs(1, Slur(tongue=Tongue())), TongueAgain(4))
    assert script.notes[0].join == split
    assert script.notes[1].join == Slur(tongue=Tongue())
    assert isinstance(script.notes[4].join, Retongue)
    quick = perform(TUNE, rng=np.random.default_rng(1), faults=(SlurAs(0, split),), manner=Manner(tempo=5.0))
    dwell = quick.notes[0].join.dwells[0]  # type: ignore[union-attr]
    assert 0.01 < dwell.length_s < 0.06


def test_a_scoop_into_a_note_and_vibrato_on_long_ones() -> None:
    script = play(ScoopInto(3, 60.0), manner=Manner(vibrato=Vibrato(5.0, 10.0), tempo=1.5))
    assert script.notes[3].attack.scoop_cents == 60.0
    assert script.notes[0].attack.scoop_cents == 0.0
    assert [note.vibrato is not None for note in script.notes] == [False, False, False, False, False, True]


def test_a_slur_on_one_pitch_is_a_soft_touch_of_the_tongue() -> None:
    pair = Asked(200.0, 0.0, 0.5, True), Asked(200.0, 0.5, 0.5)
    join = perform(pair, rng=np.random.default_rng(1)).notes[0].join
    assert isinstance(join, Retongue)
    assert join.depth_db == 12.0


def test_faults_that_do_not_fit_are_all_named() -> None:
    with pytest.raises(RequestError) as caught:
        play(WrongNote(9, 100.0), GoBack(1, -1), SlurAs(2, Slur()), SlurAs(0, Slur()))
    assert len(caught.value.faults) == 3
    assert "no slur is asked there" in str(caught.value)
    assert "allowed: 0 to 5" in str(caught.value)


PLACES = st.integers(0, 5)
FAULTS = st.one_of(
    st.builds(WrongNote, PLACES, st.floats(50.0, 900.0)),
    st.builds(OctaveAway, PLACES, st.sampled_from([-1, 1])),
    st.builds(LeaveOut, PLACES, st.booleans()),
    st.builds(ExtraNote, PLACES, st.floats(60.0, 600.0), st.floats(0.02, 0.5)),
    st.builds(GoBack, PLACES, PLACES, st.floats(0.0, 2.0)),
    st.builds(Pause, PLACES, st.floats(0.0, 2.0)),
    st.builds(Breathing, PLACES, st.floats(0.05, 0.8)),
    st.builds(ScoopInto, PLACES, st.floats(0.0, 100.0)),
    st.builds(TongueAgain, PLACES),
    st.builds(SlurAs, st.just(1), st.builds(Slur, silence_s=st.floats(0.01, 0.4))),
    st.builds(
        SlurAs,
        st.just(4),
        st.builds(Slur, dwells=st.lists(st.builds(Dwell, st.floats(80, 700), st.floats(0.02, 0.3))).map(tuple)),
    ),
)


@settings(max_examples=40, deadline=None)
@given(
    faults=st.lists(FAULTS, max_size=6),
    tempo=st.floats(0.5, 6.0),
    gap=st.sampled_from([0.0, 0.04, 0.2]),
    seed=st.integers(0, 1000),
)
def test_whatever_goes_wrong_it_can_be_played(faults: list[Fault], tempo: float, gap: float, seed: int) -> None:
    manner = Manner(tempo=tempo, rubato=0.3, timing_s=0.05, gap_s=gap, tune_cents=10.0)
    script = perform(TUNE, rng=np.random.default_rng(seed), faults=faults, manner=manner)
    onsets = [note.onset_s for note in script.notes]
    assert (np.diff(onsets) > 0).all()
    take = render(script, rng=np.random.default_rng(seed), rate_hz=8000.0)
    assert np.isfinite(take.samples).all()
    assert len(take.truth.notes) == len(script.notes)
    assert (np.diff([note.onset_s for note in take.truth.notes]) > 0).all()


def test_the_same_seed_plays_the_same_and_another_does_not() -> None:
    def bytes_of(seed: int) -> bytes:
        script = play(manner=Manner(rubato=0.1, level_sd_db=1.0), seed=seed)
        return render(script, rng=np.random.default_rng(seed)).samples.tobytes()

    assert bytes_of(3) == bytes_of(3)
    assert bytes_of(3) != bytes_of(4)


def test_a_note_alone() -> None:
    script = perform((Asked(100.0, 0.0, 0.4),), rng=np.random.default_rng(1), player=Player())
    (note,) = script.notes
    assert isinstance(note, Note)
    assert (note.onset_s, note.length_s) == (0.6, 0.4)

"""Slurs of every kind, judged from their sound: what became of them, by which way, how smooth they were."""

from dataclasses import replace
from functools import cache

import pytest

from builders.slur_followed import slur_followed
from builders.slur_takes import KINDS, SlurTake, slur_take
from builders.takes import heard
from slurwright.devices.packaged import load_listening
from slurwright.listen.figure import Figure
from slurwright.listen.followed import Following, PlayedAs
from slurwright.listen.measures import Reason, SlurMeasure, SlurOutcome, SlurPath
from slurwright.listen.room import room_of
from slurwright.listen.slurs import measure_slur
from slurwright.listen.tracking import pitch_track

SEEDS = (1000, 1001)
BROKE = ("split", "fell back", "broken")


@cache
def taken(kind: str, room: str, seed: int) -> SlurTake:
    return slur_take(kind, room, seed=seed, lowest_hz=100.0)


def judged(slur: SlurTake, following: Following) -> SlurMeasure:
    sound = heard(slur.take)
    track = pitch_track(sound)
    room = room_of(sound, track, following)
    return measure_slur(sound, track, following, slur.passage, first=0, second=1, room=room, limits=load_listening())


@cache
def measured(kind: str, room: str, seed: int) -> SlurMeasure:
    slur = taken(kind, room, seed)
    return judged(slur, slur_followed(slur, seed=seed))


def outcome(kind: str) -> SlurOutcome:
    return SlurOutcome.BROKE if kind in BROKE else SlurOutcome.TONGUED if kind == "tongued" else SlurOutcome.CLEAN


def test_most_outcomes_are_right() -> None:
    right = [measured(kind, "near", seed).outcome is outcome(kind) for kind in KINDS for seed in SEEDS]
    assert sum(right) >= 0.85 * len(right)


def test_splits_are_found_and_named() -> None:
    slurs = [(measured("split", "near", seed), taken("split", "near", seed)) for seed in SEEDS]
    found = [(slur.foreign, slur.path, taken) for slur, taken in slurs if slur.foreign]
    assert len(found) == len(SEEDS)
    for foreign, path, slur in found:
        assert path is SlurPath.PARTIAL
        second = slur.passage.notes[1]
        assert foreign.partial is not None
        assert min(second.series_hz, key=lambda hz: abs(hz - foreign.hz)) == pytest.approx(foreign.hz, rel=0.03)


def test_a_fall_back_is_a_path_of_its_own() -> None:
    paths = [measured("fell back", "near", seed).path for seed in SEEDS]
    assert set(paths) == {SlurPath.FELL_BACK}


def test_broken_slurs_are_graded_below_good_ones() -> None:
    def grades(kind: str) -> list[float]:
        values = [measured(kind, "dry", seed).quality for seed in SEEDS]
        return sorted(value.value for value in values if isinstance(value, Figure))

    good, broken, tongued = grades("good"), grades("broken"), grades("tongued")
    assert good[0] > 0.4
    assert broken[-1] < 0.2
    assert tongued[-1] < good[-1]


def test_a_tongue_is_named_among_the_reasons() -> None:
    slurs = [measured("tongued", "dry", seed) for seed in SEEDS]
    for slur in slurs:
        assert (Reason.TONGUE in slur.reasons) == (slur.outcome is SlurOutcome.TONGUED)


def test_every_measure_holds_together() -> None:
    for kind in KINDS:
        slur = measured(kind, "near", SEEDS[0])
        assert 0.0 <= slur.outcome_chance <= 1.0
        assert (slur.foreign is not None) or slur.path is not SlurPath.PARTIAL
        if isinstance(slur.quality, Figure):
            assert 0.0 <= slur.quality.low <= slur.quality.value <= slur.quality.high <= 1.0


def test_landing_on_another_note_is_told() -> None:
    slur = taken("good", "dry", 1000)
    following = slur_followed(slur, seed=1)
    first, second = following.played
    wrong = replace(following, played=(first, replace(second, played_as=PlayedAs.WRONG)))
    found = judged(slur, wrong)
    assert found.outcome is SlurOutcome.WRONG_NOTE
    assert Reason.WRONG_NOTE in found.reasons


def test_a_take_an_octave_away_is_not_wrong_at_every_slur() -> None:
    slur = taken("good", "dry", 1000)
    following = slur_followed(slur, seed=1)
    played = tuple(replace(note, played_as=PlayedAs.OCTAVE) for note in following.played)
    assert judged(slur, replace(following, played=played)).outcome is not SlurOutcome.WRONG_NOTE


def test_a_player_who_stopped_between_broke_the_slur() -> None:
    slur = taken("good", "dry", 1000)
    first, second = slur_followed(slur, seed=1).played
    stopped = Following((replace(first, offset_s=second.onset_s - 0.42), second), ())
    found = judged(slur, stopped)
    assert found.outcome is SlurOutcome.BROKE
    assert found.reasons[0] is Reason.SILENCE
    assert isinstance(found.quality, Figure)
    assert found.quality.value < 0.05

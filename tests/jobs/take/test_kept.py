"""What of a measured take is kept."""

from dataclasses import replace

import pytest

from builders.measured_takes import good_take
from slurwright.jobs.take.kept import kept_measures, on_kept_ways, tried_before
from slurwright.listen.figure import Hidden, Veil
from slurwright.listen.followed import Following
from slurwright.listen.measures import SlurOutcome
from slurwright.plan import Technique
from slurwright.plan.conditions import with_pace


def test_a_slur_whose_second_note_never_came_is_kept_as_broken() -> None:
    taken = good_take()
    first, second = taken.measure.passage.joined()[0]
    played = taken.measure.following.played
    following = Following(tuple(note for note in played if note.asked != second), (second,))
    taken = replace(taken, measure=replace(taken.measure, following=following, notes=(), slurs=()))
    (slur,) = kept_measures(taken).slurs
    assert slur.asked == (first, second)
    assert slur.measure.first == slur.measure.second
    assert slur.measure.outcome is SlurOutcome.BROKE
    assert slur.measure.time_ms == Hidden(Veil.UNHEARD)


def test_a_good_take_has_none() -> None:
    taken = good_take()
    assert len(kept_measures(taken).slurs) == len(taken.measure.slurs)


def test_how_long_the_second_note_lasts_is_kept() -> None:
    taken = good_take()
    for slur in kept_measures(taken).slurs:
        assert slur.hold_s == taken.measure.passage.notes[slur.asked[1]].length_s


def test_the_tempo_is_the_one_that_was_asked_for() -> None:
    taken = good_take()
    faster = replace(taken, study=replace(taken.study, line=with_pace(taken.study.line, 1.5)))
    for before, after in zip(kept_measures(taken).slurs, kept_measures(faster).slurs, strict=True):
        assert after.tempo_qpm == pytest.approx(1.5 * before.tempo_qpm)


def test_a_take_is_measured_again_on_the_fingerings_and_techniques_of_then() -> None:
    taken = good_take()
    fingered = {0: next(way for way in taken.study.ways[0] if not way.normal)}
    ways = (fingered[0], *taken.study.plan.ways[1:])
    first = taken.measure.passage.joined()[0][0]
    study = replace(taken.study, plans=(replace(taken.study.plan, ways=ways),))
    then = replace(taken, study=study, techniques={first: Technique.HALF_VALVE})
    kept = kept_measures(then)
    again = on_kept_ways(taken.study, kept, first=0)
    assert again.plan.ways[0] == fingered[0]
    assert again.plan.ways[1:] == taken.study.plan.ways[1:]
    (said,) = tried_before(kept)
    assert said == f"{kept.slurs[0].label}=half-valve"

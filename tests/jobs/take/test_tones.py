"""Which notes of a take teach the horn, and as what."""

from dataclasses import replace
from datetime import date

import pytest

from builders.measured_takes import around, faulty_take, good_take
from slurwright.horn.owned import Source
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.tones import TakenTone, steady_tones
from slurwright.listen.followed import PlayedAs

DAY = date(2026, 3, 1)


def _tones(taken: MeasuredTake, *, temperature_c: float | None = None) -> tuple[TakenTone, ...]:
    return steady_tones(taken, played_on=DAY, session="2026-03-01 take", temperature_c=temperature_c)


def test_steady_notes_become_tones_on_the_plans_fingerings() -> None:
    taken = good_take()
    tones = _tones(taken)
    long_enough = [note for note in taken.measure.notes if note.steady_s[1] - note.steady_s[0] >= 0.25]
    assert len(tones) == len(long_enough) > 10
    for taken_tone in tones:
        way = taken.study.plan.ways[taken.sounds[taken_tone.asked]]
        tone = taken_tone.tone.tone
        assert (tone.fingering, tone.partial) == (way.fingering, way.partial)
        assert taken_tone.tone.source is Source.TAKE
        assert tone.session == "2026-03-01 take"
        assert taken_tone.tone.written is not None


def test_a_tone_says_what_was_measured_and_how_sure() -> None:
    taken = good_take()
    first = _tones(taken, temperature_c=18.0)[0]
    note = next(
        note for note in taken.measure.notes if taken.measure.following.played[note.played].asked == first.asked
    )
    assert first.tone.tone.cents == pytest.approx(note.cents.value, abs=0.01)  # type: ignore[union-attr]
    assert first.tone.tone.sd_cents == pytest.approx(1.2 / 1.645, abs=0.01)
    assert first.tone.tone.temperature_c == 18.0


def test_cents_are_told_against_a440_whatever_the_band_tunes_to() -> None:
    taken = good_take()
    plain, high = _tones(taken)[0], _tones(replace(taken, a4_hz=442.0))[0]
    assert high.tone.tone.cents - plain.tone.tone.cents == pytest.approx(7.85, abs=0.02)


def test_what_is_not_steady_teaches_nothing() -> None:
    taken = faulty_take()
    played = taken.measure.following.played
    used = {tone.asked for tone in _tones(taken)}
    strange = {note.asked for note in played if note.played_as is not PlayedAs.ASKED}
    assert used
    assert not used & strange
    assert 18 not in used, "its pitch could not be measured"


@pytest.mark.parametrize(
    "change",
    [
        {"cents": around(3.0, 6.5)},
        {"cents": around(85.0, 1.0)},
        {"wander_cents": around(14.0, 1.0)},
        {"drift_cents_s": around(200.0, 1.0)},
        {"steady_s": (1.0, 1.2)},
    ],
)
def test_each_limit_leaves_a_note_out(change: dict[str, object]) -> None:
    taken = good_take()
    asked = _tones(taken)[0].asked
    notes = tuple(
        replace(note, **change) if taken.measure.following.played[note.played].asked == asked else note  # type: ignore[arg-type]
        for note in taken.measure.notes
    )
    spoilt = replace(taken, measure=replace(taken.measure, notes=notes))
    assert asked not in {tone.asked for tone in _tones(spoilt)}

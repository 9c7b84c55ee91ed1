"""The room is judged from how notes die in it."""

import numpy as np
import pytest

from builders.takes import heard, place_named, voice_for
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.measures import Room
from slurwright.listen.room import room_of
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Note, Rest, Script, Slur
from slurwright.synth.rendering import RenderedTake, render


def take_in(room: str, seed: int) -> RenderedTake:
    rng = np.random.default_rng(seed)
    notes = []
    at = 0.4
    for number in range(5):
        length = float(rng.uniform(0.3, 0.6))
        hz = float(180.0 * 2.0 ** (rng.integers(-4, 9) / 12.0))
        joined = number % 2 == 1
        notes.append(Note(hz, at, length, Slur() if joined else Rest(), release_s=0.05))
        at += length + (0.0 if joined else 0.45)
    return render(
        Script(tuple(notes), at + 0.4, voice_for(180.0)),
        rng=rng,
        place=place_named(room, np.random.default_rng(seed)),
    )


def judged(take: RenderedTake) -> Room:
    played = tuple(
        PlayedNote(note.onset_s, 0.01, note.offset_s, note.hz, None, PlayedAs.EXTRA, note.joined_to_next)
        for note in take.truth.notes
    )
    sound = heard(take)
    return room_of(sound, pitch_track(sound), Following(played, ()))


@pytest.mark.parametrize("seed", [1301, 1302])
def test_decay_and_direct_level(seed: int) -> None:
    room = judged(take_in("mid", seed))
    true = place_named("mid", np.random.default_rng(seed)).room
    assert true is not None
    assert isinstance(room.decay_s, Figure)
    assert isinstance(room.direct_db, Figure)
    assert room.decay_s.value == pytest.approx(true.decay_s, rel=0.3)
    assert room.direct_db.value == pytest.approx(6.0, abs=5.0)
    assert room.decay_s.low < room.decay_s.value < room.decay_s.high


def test_a_dry_take_has_no_decay() -> None:
    room = judged(take_in("dry", 1303))
    assert room.decay_s == Hidden(Veil.SOFT)
    assert isinstance(room.direct_db, Figure)
    assert room.direct_db.value > 20.0


def test_rooms_come_in_order() -> None:
    levels = [judged(take_in(room, 1304)).direct_db for room in ("near", "mid", "laptop")]
    values = [level.value for level in levels if isinstance(level, Figure)]
    assert values == sorted(values, reverse=True)
    assert len(values) == 3


def test_nothing_to_judge_from() -> None:
    take = take_in("mid", 1305)
    sound = heard(take)
    room = room_of(sound, pitch_track(sound), Following((), ()))
    assert room == Room(Hidden(Veil.UNHEARD), Hidden(Veil.UNHEARD))

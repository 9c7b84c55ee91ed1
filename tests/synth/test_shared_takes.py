"""Are the takes that other tests build what they are called?"""

import numpy as np
import pytest

from builders.other_sounds import knocks, noise, speech
from builders.passages import SCENES, any_passage, faults_of, following_of, passage_take
from builders.slur_takes import KINDS, slur_take
from builders.spoiling import TiledSound, clipped, coarse, gained, hummed, resampled, suppressed, with_dropouts
from builders.takes import CONDITIONS, NOTES_HZ, RATE_HZ, ROOMS, heard, lone_note, place_named
from slurwright.listen.followed import PlayedAs
from slurwright.synth import Room


def level_db(samples: np.ndarray) -> float:
    return float(10 * np.log10(np.mean(samples.astype(np.float64) ** 2)))


def test_the_notes_span_what_is_promised() -> None:
    assert len(NOTES_HZ) == 25
    assert (NOTES_HZ[0], NOTES_HZ[-1]) == pytest.approx((29.0, 1400.0))


@pytest.mark.parametrize("condition", CONDITIONS)
def test_a_lone_note_has_its_noise_under_it(condition: str) -> None:
    take = lone_note(200.0, condition, seed=1)
    before = level_db(take.samples[: int(0.4 * RATE_HZ)])
    during = level_db(take.samples[int(0.8 * RATE_HZ) : int(1.8 * RATE_HZ)])
    assert during - before == pytest.approx(CONDITIONS[condition].place.noise_db, abs=1.5)
    assert (take.truth.notes[0].vibrato is not None) is (condition == "vibrato")


def test_rooms_get_more_live() -> None:
    ratios = [place_named(room, np.random.default_rng(1)).room for room in ROOMS]
    assert ratios[0] is None
    assert [room.direct_db for room in ratios if isinstance(room, Room)] == [12.0, 6.0, 3.0]
    assert all(0.4 <= room.decay_s <= 0.7 for room in ratios if room)


@pytest.mark.parametrize("kind", KINDS)
def test_slurs_of_a_kind_are_of_that_kind(kind: str) -> None:
    for seed in range(6):
        made = slur_take(kind, "dry", seed=seed)
        truth, asked = made.truth, made.passage.notes
        assert truth.tongued is (kind == "tongued")
        assert truth.half_valve is (kind == "half valve")
        assert (truth.silence_ms > 25) is (kind == "broken")
        assert truth.fell_back is (kind == "fell back")
        assert bool(truth.dwells) is (kind in {"split", "fell back"})
        assert truth.time_ms > 0
        if kind == "good":
            assert truth.dip_db < 5.01
            assert truth.scoop_cents < 40.0
        if kind == "dip":
            assert 5.9 < truth.dip_db < 15.1
        if kind == "split":
            off = 1200 * np.log2(np.array(asked[1].series_hz) / truth.dwells[0].hz)
            assert np.abs(off).min() < 30.0
            assert 0.05 <= truth.dwells[0].length_s <= 0.16
        for note, played in zip(asked, made.take.truth.notes, strict=True):
            assert 58.0 <= note.hz <= 1000.0
            assert note.series_hz[(note.partial or 0) - 1] == note.hz
            assert abs(1200 * np.log2(played.hz / note.hz)) < 60.0


def test_the_same_seed_makes_the_same_slur_in_every_room() -> None:
    dry, again, mid = (slur_take("split", room, seed=4) for room in ("dry", "dry", "mid"))
    assert dry.take.samples.tobytes() == again.take.samples.tobytes()
    assert dry.take.samples.tobytes() != mid.take.samples.tobytes()
    assert dry.truth == mid.truth
    assert dry.passage == mid.passage


@pytest.mark.parametrize("scene", SCENES)
def test_what_was_played_is_known(scene: str) -> None:
    passage, take = passage_take(scene, "near", seed=2, count=16)
    following = following_of(take, passage)
    kinds = [note.played_as for note in following.played]
    assert kinds.count(PlayedAs.WRONG) == (2 if scene == "wrong" else 0)
    assert kinds.count(PlayedAs.OCTAVE) == (scene == "octave")
    assert kinds.count(PlayedAs.EXTRA) == (scene == "extra")
    assert len(following.missed) == (2 if scene == "missed" else 0)
    assert bool(following.restarts) is (scene in {"restart", "retake"})
    assert (len(following.played) < 16 - len(following.missed)) is (scene == "excerpt")
    assert all(
        first.offset_s <= second.onset_s
        for first, second in zip(following.played, following.played[1:], strict=False)
    )
    joined = [note.joined_to_next for note in following.played]
    assert sum(joined) >= len(take.truth.slurs)
    if scene != "no gaps":
        assert sum(joined) == len(take.truth.slurs)


def test_passages_have_slurs_rests_and_repeated_notes() -> None:
    rng = np.random.default_rng(5)
    passages = [any_passage(rng) for _ in range(5)]
    for passage in passages:
        assert len(passage.notes) == 40
        assert 8 <= len(passage.joined()) <= 36
        assert all(
            first.onset_s + first.length_s <= second.onset_s + 1e-9
            for first, second in zip(passage.notes, passage.notes[1:], strict=False)
        )
        assert all(note.series_hz[(note.partial or 0) - 1] == pytest.approx(note.hz) for note in passage.notes)
    pairs = [pair for passage in passages for pair in zip(passage.notes, passage.notes[1:], strict=False)]
    assert any(a.hz == b.hz and not a.slurred_to_next for a, b in pairs)
    assert any(b.onset_s > a.onset_s + a.length_s + 0.1 for a, b in pairs)
    assert faults_of("plain", passages[0], rng) == ()


def test_bad_recordings_are_bad_in_their_own_way() -> None:
    take = lone_note(200.0, "clean", seed=1)
    samples = take.samples
    assert (np.abs(clipped(samples, over_db=6.0)) >= 1.0).mean() > 0.01
    assert len(np.unique(coarse(samples))) < 200
    assert level_db(hummed(np.zeros(22050, np.float32), RATE_HZ, level_db=-40.0)) == pytest.approx(-41.5, abs=0.5)
    lost = with_dropouts(samples, count=4, length=64, rng=np.random.default_rng(1))
    assert (lost == 0).sum() >= 64
    quiet = slice(int(0.1 * RATE_HZ), int(0.4 * RATE_HZ))
    steady = lone_note(200.0, "clean", seed=1, length_s=3.0).samples
    late = slice(int(3.0 * RATE_HZ), int(3.4 * RATE_HZ))
    assert level_db(suppressed(steady, RATE_HZ)[late]) - level_db(steady[late]) < -12.0
    lifted = gained(samples, RATE_HZ)
    assert level_db(lifted[quiet]) - level_db(samples[quiet]) > 15.0


def test_a_take_at_another_rate_is_the_same_take() -> None:
    times = np.arange(22050) / 22050.0
    tone = np.sin(2 * np.pi * 441.0 * times).astype(np.float32)
    slow = resampled(tone, 22050.0, 8000.0)
    assert slow[1000:7000] == pytest.approx(np.sin(2 * np.pi * 441.0 * np.arange(8000) / 8000.0)[1000:7000], abs=1e-3)


def test_a_tiled_take_reads_like_one_long_take() -> None:
    tile = np.arange(10, dtype=np.float32)
    sound = TiledSound(tile, 100.0, 35)
    assert sound.read(7, 13).tolist() == [7, 8, 9, 0, 1, 2]
    assert sound.read(-5, 2).tolist() == [0, 1]
    assert sound.read(33, 99).tolist() == [3, 4]
    assert heard(lone_note(200.0, "clean", seed=1)).rate_hz == RATE_HZ


def test_other_sounds_are_as_loud_as_they_say() -> None:
    assert level_db(noise(1.0, RATE_HZ, level_db=-30.0, seed=1)) == pytest.approx(-30.0, abs=0.01)
    talk = speech(4.0, RATE_HZ, seed=3)
    assert -30.0 < level_db(talk) < -24.0
    assert talk.tobytes() == speech(4.0, RATE_HZ, seed=3).tobytes()
    assert np.abs(knocks(3.0, RATE_HZ, seed=1)).max() > 0.1

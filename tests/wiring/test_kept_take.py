"""Takes that are kept and measured again: what is refused, and that the part is asked for as it was."""

from collections.abc import Iterator
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest

from builders.stores import NOW, counted_ids
from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError
from slurwright.horn import Horn
from slurwright.jobs.passage import passage_of
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.take.kept import about_take
from slurwright.jobs.take.measure import TakeRequest
from slurwright.listen.kept import KeptTake
from slurwright.store import Store, open_store
from slurwright.wiring.kept_take import asked_again, name_of_horn
from slurwright.wiring.part import StudiedFile
from slurwright.wiring.take import asked_part

TUNE = "X:1\nT:Lanterns\nM:4/4\nL:1/4\nK:Bb clef={clef}\n(B,D) (FD) | (CE) D2 |\n"


@pytest.fixture
def horn() -> Horn:
    return load_horn("euphonium-4c")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "home" / "slurwright.sqlite3", now=NOW, new_id=counted_ids()) as opened:
        yield opened


def tune(folder: Path, *, clef: str = "bass") -> Path:
    path = folder / f"tune-{clef}.abc"
    path.write_text(TUNE.format(clef=clef))
    return path


def kept_take(store: Store, part: StudiedFile, request: StudyRequest, *, keeps_sound: bool = True) -> KeptTake:
    player = store.add_player("Ida Moor", now=NOW)
    owned = store.add_horn(player.id, "old silver", model="euphonium-4c", now=NOW)
    about = about_take(
        part.study,
        passage_of(part.study),
        TakeRequest(),
        owner=(player.id, owned.id),
        file=part.name,
        played_on=date(2026, 1, 9),
        dynamic=request.dynamic,
        tempo_qpm=request.tempo_qpm,
        keeps_sound=keeps_sound,
    )
    return store.receive_take(about, BytesIO(b"sound"), called="monday.wav", ending=".wav", now=NOW)


@pytest.mark.parametrize("clef", ["bass", "treble", "alto"])
@pytest.mark.parametrize(
    "request_", [StudyRequest(), StudyRequest(dynamic="pp", tempo_qpm=66.0)], ids=["plain", "said"]
)
def test_the_part_is_asked_for_as_it_was(
    store: Store, horn: Horn, tmp_path: Path, clef: str, request_: StudyRequest
) -> None:
    file = tune(tmp_path, clef=clef)
    first = asked_part(file, None, horn, request_)
    kept = kept_take(store, first, request_)
    again = asked_again(store, kept, file, horn, StudyRequest())
    assert again.study.reading == first.study.reading
    assert passage_of(again.study) == passage_of(first.study)
    assert [sound.dynamic for sound in again.study.line.sounds] == [
        sound.dynamic for sound in first.study.line.sounds
    ]


def test_a_part_in_another_reading_stays_in_it(store: Store, horn: Horn, tmp_path: Path) -> None:
    file, wish = tune(tmp_path), StudyRequest(reading="treble-b9")
    kept = kept_take(store, asked_part(file, None, horn, wish), wish)
    assert asked_again(store, kept, file, horn, StudyRequest()).study.reading.id == "treble-b9"


def test_a_part_told_to_be_written_for_another_instrument_must_be_told_so_again(
    store: Store, horn: Horn, tmp_path: Path
) -> None:
    file, wish = tune(tmp_path, clef="treble"), StudyRequest(written_for="treble-b9")
    kept = kept_take(store, asked_part(file, None, horn, wish), wish)
    with pytest.raises(RequestError, match="the same --part, --voice and --written-for"):
        asked_again(store, kept, file, horn, StudyRequest())
    assert asked_again(store, kept, file, horn, wish).study.reading.id == "treble-b9"


def test_another_part_is_refused(store: Store, horn: Horn, tmp_path: Path) -> None:
    file = tune(tmp_path)
    kept = kept_take(store, asked_part(file, None, horn, StudyRequest()), StudyRequest())
    other = tmp_path / "other.abc"
    other.write_text(file.read_text().replace("FD", "FE"))
    with pytest.raises(RequestError, match="not the part that the take is of; got other"):
        asked_again(store, kept, other, horn, StudyRequest())


def test_a_recording_that_is_elsewhere_is_said_to_be_so(store: Store, horn: Horn, tmp_path: Path) -> None:
    file = tune(tmp_path)
    kept = kept_take(store, asked_part(file, None, horn, StudyRequest()), StudyRequest())
    sound = store.sound_of(kept.id)
    assert sound is not None
    sound.unlink()
    with pytest.raises(RequestError, match="not on this machine"):
        asked_again(store, kept, file, horn, StudyRequest())


def test_a_take_on_a_horn_that_was_put_away_is_not_measured_on_its_model(
    store: Store, horn: Horn, tmp_path: Path
) -> None:
    kept = kept_take(store, asked_part(tune(tmp_path), None, horn, StudyRequest()), StudyRequest())
    assert name_of_horn(store, kept) == ("old silver", "Ida Moor")
    assert kept.about.horn_id is not None
    store.delete_horn(kept.about.horn_id, now=NOW)
    with pytest.raises(RequestError, match="put away"):
        name_of_horn(store, kept)

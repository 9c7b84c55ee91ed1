"""Recordings beside the store: there when their take is, gone when they were given up, never lost or left by half."""

import errno
import io
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from typing import NoReturn

import pytest

from builders.kept_takes import SOUND, about, measures, receive
from builders.stores import NOW, counted_ids
from slurwright.errors import StoreError
from slurwright.horn.owned import Player
from slurwright.listen.kept import KeptTake
from slurwright.store import Store, open_store, restore_backup
from slurwright.store.sounds import Astray, copy_sound

LATER = NOW + timedelta(days=30)


@pytest.fixture
def ida(store: Store) -> Player:
    return store.add_player("Ida", now=NOW)


@pytest.fixture
def take(store: Store, ida: Player) -> KeptTake:
    return receive(store, about(ida.id, None))


@pytest.fixture
def folder(store: Store) -> Path:
    return store.path.parent / "takes"


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir()) if folder.exists() else []


class Breaking(io.RawIOBase):
    """A recording whose disk, or whose reader's patience, ends in the middle."""

    def __init__(self, error: BaseException) -> None:
        self.left, self.error = 3, error

    def read(self, size: int = -1) -> bytes:
        self.left -= 1
        if self.left < 0:
            raise self.error
        return b"x" * 1000


@pytest.mark.parametrize(
    ("error", "expected", "words"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), StoreError, "the disk is full; nothing was changed"),
        (OSError(errno.EIO, "Input/output error"), StoreError, "cannot be kept: Input/output error; nothing was"),
        (KeyboardInterrupt("enough"), KeyboardInterrupt, "enough"),
    ],
)
def test_a_recording_that_breaks_off_leaves_nothing(
    store: Store, ida: Player, folder: Path, error: BaseException, expected: type[BaseException], words: str
) -> None:
    with pytest.raises(expected, match=words):
        store.receive_take(about(ida.id, None), Breaking(error), called="x", ending="wav", now=NOW)  # type: ignore[arg-type]
    assert names(folder) == []
    assert store.takes_of(ida.id) == ()


def test_an_empty_recording_is_refused(store: Store, ida: Player, folder: Path) -> None:
    with pytest.raises(StoreError, match=r"the recording is empty; got Monday\.WAV"):
        receive(store, about(ida.id, None), sound=b"")
    assert names(folder) == []


def test_a_store_that_cannot_be_written_keeps_no_recording(store: Store, ida: Player, folder: Path) -> None:
    with closing(sqlite3.connect(store.path)) as other:
        other.execute("CREATE TRIGGER no_room BEFORE INSERT ON takes BEGIN SELECT RAISE(ABORT, 'no room'); END")
    with pytest.raises(StoreError, match="nothing was changed; got no room"):
        receive(store, about(ida.id, None))
    assert names(folder) == []


def test_a_commit_that_fails_keeps_no_recording(
    store: Store, ida: Player, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> NoReturn:
        raise KeyboardInterrupt

    # After the recording has its name, and before the end of the transaction.
    monkeypatch.setattr("slurwright.store.opened.set_change_mark", fail)
    with pytest.raises(KeyboardInterrupt):
        receive(store, about(ida.id, None))
    assert names(folder) == []
    assert store.takes_of(ida.id) == ()


def test_a_file_that_is_in_the_way_is_left_alone(path: Path) -> None:
    ids = iter(["player", "mark", "take"])
    folder = path.parent / "takes"
    with open_store(path, now=NOW, new_id=lambda: next(ids)) as store:
        player = store.add_player("Ida", now=NOW)
        folder.mkdir()
        (folder / "take.wav").write_bytes(b"what nobody knows")
        with pytest.raises(StoreError, match="there is a recording of that name already; it was left alone"):
            receive(store, about(player.id, None))
        assert (folder / "take.wav").read_bytes() == b"what nobody knows"
        assert names(folder) == ["take.wav"]


def test_a_file_in_the_place_of_the_folder_is_said(store: Store, ida: Player, folder: Path) -> None:
    folder.write_text("")
    with pytest.raises(StoreError, match="the recording cannot be kept: File exists; nothing was changed"):
        receive(store, about(ida.id, None))
    with pytest.raises(StoreError, match="the recordings cannot be listed"):
        store.sounds_astray()


@pytest.mark.skipif(os.name != "posix", reason="modes of files")
def test_recordings_are_for_the_players_eyes_only(take: KeptTake, folder: Path) -> None:
    assert folder.stat().st_mode & 0o777 == 0o700
    assert (folder / f"{take.id}.wav").stat().st_mode & 0o777 == 0o600


def test_nothing_is_astray_where_all_is_well(store: Store, take: KeptTake) -> None:
    assert store.sounds_astray() == Astray()


def test_a_store_without_takes_has_nothing_astray(store: Store) -> None:
    assert store.sounds_astray() == Astray()


def test_what_is_astray_is_said_and_left_alone(store: Store, ida: Player, take: KeptTake, folder: Path) -> None:
    gone, cut = receive(store, about(ida.id, None)), receive(store, about(ida.id, None))
    (folder / f"{gone.id}.wav").unlink()
    (folder / f"{cut.id}.wav").write_bytes(SOUND[:100])
    (folder / "concert.wav").write_bytes(b"?")
    (folder / f".{take.id}.wav.4711").write_bytes(b"?")
    before = names(folder)
    astray = store.sounds_astray()
    assert astray == Astray(
        stray=(folder / "concert.wav",),
        unfinished=(folder / f".{take.id}.wav.4711",),
        absent=(gone.id,),
        altered=(cut.id,),
    )
    assert store.sound_of(gone.id) is None
    store.close()
    with open_store(store.path, now=LATER) as again:
        assert again.sounds_astray() == astray
        again.keep_measures(gone.id, measures(), now=LATER)
        again.delete_take(gone.id, now=LATER)
        again.purge_take(gone.id)
    assert names(folder) == before


Removal = Callable[[Store, KeptTake], object]


def forget(store: Store, take: KeptTake) -> None:
    store.forget_sound(take.id, now=LATER)


def purge(store: Store, take: KeptTake) -> None:
    store.delete_take(take.id, now=LATER)
    store.purge_take(take.id)


@pytest.mark.parametrize("remove", [forget, purge])
def test_what_the_disk_does_not_let_go_of_is_said_and_removed_later(
    store: Store, take: KeptTake, folder: Path, monkeypatch: pytest.MonkeyPatch, remove: Removal
) -> None:
    store.keep_measures(take.id, measures(), now=LATER)

    def refuse(self: Path, *, missing_ok: bool = False) -> None:
        raise PermissionError(errno.EACCES, "in use", str(self))

    with monkeypatch.context() as patched:
        patched.setattr(Path, "unlink", refuse)
        remove(store, take)
    assert store.notices == (f"a recording that was given up could not be removed: {folder / f'{take.id}.wav'}",)
    assert names(folder) == [f"{take.id}.wav"]
    assert store.sounds_astray() == Astray(), "it is no stray: the player gave it up"
    store.close()
    with open_store(store.path, now=LATER) as again:
        assert again.notices == ()
    assert names(folder) == []


def test_a_name_that_leads_elsewhere_is_never_removed(store: Store, take: KeptTake, folder: Path) -> None:
    diary = folder.parent / "diary.txt"
    diary.write_text("mine")
    with closing(sqlite3.connect(store.path)) as other:
        other.execute("INSERT INTO sounds_to_remove VALUES ('../diary.txt'), ('..')")
        other.commit()
    store.finish_removals()
    assert diary.exists()
    assert names(folder) == [f"{take.id}.wav"]


def test_a_restored_backup_finds_its_recordings_again(
    store: Store, ida: Player, take: KeptTake, folder: Path
) -> None:
    backup = store.back_up(now=NOW)
    newer = receive(store, about(ida.id, None))
    store.close()
    restore_backup(store.path, backup.path, now=LATER)
    with open_store(store.path, now=LATER) as restored:
        assert restored.sound_of(take.id) == folder / f"{take.id}.wav"
        assert restored.sounds_astray() == Astray(stray=(folder / f"{newer.id}.wav",))


def test_a_backup_from_before_a_removal_says_what_is_gone(store: Store, take: KeptTake) -> None:
    backup = store.back_up(now=NOW)
    purge(store, take)
    store.close()
    restore_backup(store.path, backup.path, now=LATER)
    with open_store(store.path, now=LATER) as restored:
        assert restored.sounds_astray() == Astray(absent=(take.id,))


def test_a_store_that_is_begun_anew_leaves_the_recordings(path: Path) -> None:
    with open_store(path, now=NOW, new_id=counted_ids()) as store:
        take = receive(store, about(store.add_player("Ida", now=NOW).id, None))
        store.back_up(now=NOW)
    for file in path.parent.glob("slurwright.sqlite3*"):
        file.unlink()
    with open_store(path, now=LATER, begin_anew=True) as store:
        assert [stray.stem for stray in store.sounds_astray().stray] == [take.id]


def test_a_recording_is_copied_out_whole_or_not_at_all(store: Store, take: KeptTake, tmp_path: Path) -> None:
    source, target = store.sound_of(take.id), tmp_path / "out" / "x.wav"
    assert source is not None
    assert take.sound is not None
    for there in (None, b"something else", SOUND):
        if there is not None:
            target.write_bytes(there)
        copy_sound(source, target, take.sound)
        assert target.read_bytes() == SOUND
        assert names(target.parent) == ["x.wav"]
    source.write_bytes(SOUND[::-1])
    target.unlink()
    with pytest.raises(StoreError, match="the recording is not what it was; it was not written out"):
        copy_sound(source, target, take.sound)
    assert names(target.parent) == []

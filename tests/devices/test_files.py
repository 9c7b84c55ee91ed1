from pathlib import Path

import pytest

from slurwright.devices.files import read_file, write_files
from slurwright.errors import NotationError, RequestError


def test_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotationError, match="no such file"):
        read_file(tmp_path / "absent.xml")


def test_a_folder_is_not_a_part(tmp_path: Path) -> None:
    with pytest.raises(NotationError, match="folder"):
        read_file(tmp_path)


def test_several_files_are_written_together(tmp_path: Path) -> None:
    write_files({tmp_path / "a": b"1", tmp_path / "b": b"2"})
    assert (tmp_path / "a").read_bytes() == b"1"
    assert (tmp_path / "b").read_bytes() == b"2"


def test_nothing_is_written_when_one_place_is_impossible(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    with pytest.raises(RequestError, match="no such folder"):
        write_files({tmp_path / "a": b"new", tmp_path / "absent" / "b": b"2"})
    assert (tmp_path / "a").read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


def test_nothing_is_left_behind_when_the_disk_refuses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", refuse)
    with pytest.raises(RequestError, match="No space left"):
        write_files({tmp_path / "a": b"1"})
    assert list(tmp_path.iterdir()) == []

"""Files in and out: read whole with a clear refusal, written all or none."""

import os
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from slurwright.errors import Fault, NotationError, RequestError

__all__ = ["LARGEST_FILE_BYTES", "ending_faults", "place_faults", "read_file", "write_files"]

LARGEST_FILE_BYTES = 512 * 1024 * 1024
"""Most that is read of one notation file; ours, far above any real score [bytes]."""
_SHOWN = 60
"""So many letters of a path that is too long are shown."""


def read_file(path: Path) -> bytes:
    """Read a notation file whole.

    Raises:
        NotationError: there is no such file, it is not a file, or it is larger than may be.
    """
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            raise NotationError(
                "the file is too large",
                got=f"{size / 1e6:.0f} MB",
                allowed=f"at most {LARGEST_FILE_BYTES / 1e6:.0f} MB",
                where=str(path),
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise NotationError("there is no such file", where=str(path)) from None
    except IsADirectoryError:
        raise NotationError("this is a folder, not a file", where=str(path)) from None
    except OSError as error:
        raise NotationError(f"the file cannot be read: {error.strerror}", where=str(path)) from error


def ending_faults(wanted: Iterable[tuple[str, Path | None, Sequence[str]]]) -> tuple[Fault, ...]:
    """Say which names have an ending that says nothing of what the file is to be, before any work is done.

    Args:
        wanted: what each file is to be, its path, the endings it may have; a path that is None is not wanted.
    """
    return tuple(
        Fault(f"{what} cannot be written as this", got=path.name, allowed=f"a name ending {' or '.join(endings)}")
        for what, path, endings in wanted
        if path is not None and path.suffix.lower() not in endings
    )


def place_faults(paths: Iterable[Path]) -> tuple[Fault, ...]:
    """Say which files could not be written where they are wanted, so that it is known before any work is done.

    Args:
        paths: where files are to be written.
    """
    faults = []
    for path in paths:
        try:
            if path.is_dir():
                faults.append(Fault("this is a folder, not a file", where=str(path)))
            elif not path.parent.is_dir():
                faults.append(Fault("there is no such folder to write into", where=str(path.parent)))
            elif not os.access(path.parent, os.W_OK):
                faults.append(Fault("this folder may not be written into", where=str(path.parent)))
        except OSError as error:  # a name that is too long, a folder that may not be looked into
            faults.append(Fault(f"cannot write there: {error.strerror}", got=_shortened(path)))
    return tuple(faults)


def _shortened(path: Path) -> str:
    """Give a path as it can be shown in one line."""
    words = str(path)
    return words if len(words) <= _SHOWN else f"{words[:_SHOWN]}… ({len(words)} letters)"


def write_files(contents: Mapping[Path, bytes]) -> None:
    """Write several files so that either all of them or none is changed.

    Each is written beside its place first and moved over it only when all are on the disk.

    Args:
        contents: what to write, by path.

    Raises:
        RequestError: a folder is missing, a path is a folder, or the disk refuses.
    """
    faults = place_faults(contents)
    if faults:
        raise RequestError(faults=faults)
    waiting: list[tuple[Path, Path]] = []
    try:
        for path, data in contents.items():
            handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
            waiting.append((Path(name), path))
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
            Path(name).chmod(mode)
        for temporary, path in waiting:
            temporary.replace(path)
    except OSError as error:
        raise RequestError(f"cannot write: {error.strerror}", where=str(error.filename or "")) from error
    finally:
        for temporary, _ in waiting:
            with suppress(FileNotFoundError):
                temporary.unlink()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask

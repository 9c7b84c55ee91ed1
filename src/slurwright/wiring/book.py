"""Everything that players keep as a whole: written out, read in, backed up, restored."""

import os
from pathlib import Path

from slurwright.devices.clock import now
from slurwright.devices.files import read_file, write_files
from slurwright.errors import StoreError
from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.store import Imported, Store, backups_of, latest_sound_backup, open_store, restore_backup, store_path
from slurwright.store.backup import Backup

__all__ = ["begin_anew", "bring_back", "export_to", "import_from", "kept_backups", "newest_backup", "place"]


def place() -> Path:
    """Say in which file everything is kept."""
    return store_path(environment=os.environ)


def kept_backups() -> tuple[Backup, ...]:
    """List the backups, newest first."""
    return backups_of(place())


def newest_backup() -> Path:
    """Find the newest backup that can be restored.

    Raises:
        StoreError: there is none.
    """
    found = latest_sound_backup(place())
    if found is None:
        raise StoreError("there is no backup that can be restored", where=str(place().parent / "backups"))
    return found.path


def export_to(store: Store, out: Path) -> None:
    """Write everything as one JSON document.

    Args:
        store: what players keep.
        out: where to.
    """
    write_files({out: collection_to_json(store.export_all()).encode()})


def import_from(store: Store, path: Path) -> Imported:
    """Join what another machine has written with what is kept here.

    Args:
        store: what players keep.
        path: the document.
    """
    return store.import_all(collection_from_json(read_file(path)))


def bring_back(backup: Path) -> Path | None:
    """Put a backup in the place of what is kept.

    Args:
        backup: the backup's file.

    Returns:
        Where what was there before was set aside; None if there was nothing.
    """
    return restore_backup(place(), backup, now=now())


def begin_anew() -> Path:
    """Begin with nothing kept, where what was kept is lost.

    Returns:
        The new file.
    """
    with open_store(place(), now=now(), begin_anew=True) as store:
        return store.path

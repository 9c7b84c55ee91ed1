"""Everything that players keep as a whole: written out, read in, looked through, backed up, restored."""

import os
from pathlib import Path

from slurwright.devices.clock import now
from slurwright.devices.files import read_file, write_files
from slurwright.errors import StoreError
from slurwright.formats.store_json import collection_from_json, collection_to_json
from slurwright.store import Imported, Store, backups_of, latest_sound_backup, open_store, restore_backup, store_path
from slurwright.store.backup import Backup
from slurwright.store.sounds import copy_sound

__all__ = [
    "begin_anew",
    "bring_back",
    "export_to",
    "faults_found",
    "import_from",
    "kept_backups",
    "newest_backup",
    "place",
    "sounds_beside",
]


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


def sounds_beside(document: Path) -> Path:
    """Say in which folder the recordings lie that belong to an exported document: ``band.json``, ``band-takes``."""
    return document.with_name(f"{document.stem}-takes")


def export_to(store: Store, out: Path, *, sounds: bool = False) -> int:
    """Write everything as one JSON document, the recordings of takes as files in a folder beside it.

    Args:
        store: what players keep.
        out: where to.
        sounds: True writes the recordings too; they come first, so that a document that is there is complete.

    Returns:
        How many recordings were written or lay there already [files].
    """
    everything = store.export_all()
    document = collection_to_json(everything).encode()
    copied = 0
    if sounds:
        for whole in everything.takes:
            source = store.sound_of(whole.take.id)
            if source is not None and whole.take.sound is not None:
                copy_sound(source, sounds_beside(out) / source.name, whole.take.sound)
                copied += 1
    write_files({out: document})
    return copied


def import_from(store: Store, path: Path) -> Imported:
    """Join what another machine has written with what is kept here; recordings beside it come with it.

    Args:
        store: what players keep.
        path: the document.
    """
    return store.import_all(collection_from_json(read_file(path)), sounds=sounds_beside(path))


def faults_found(store: Store) -> tuple[str, ...]:
    """Say where the recordings on the disk and the takes do not agree; nothing of it is changed.

    Args:
        store: what players keep, opened and so found to be sound itself.
    """
    found = store.sounds_astray()
    return (
        *(f"no take knows this recording: {path}" for path in found.stray),
        *(f"this recording was cut off, or is being written: {path}" for path in found.unfinished),
        *(f"the recording of take {take_id} is not on this machine" for take_id in found.absent),
        *(f"the recording of take {take_id} is not as it was" for take_id in found.altered),
    )


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

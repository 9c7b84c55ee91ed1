"""Store: the player's horns and readings kept safely in one file; the only room that speaks to a database."""

from slurwright.store.backup import Backup, backups_of, latest_sound_backup, restore_backup
from slurwright.store.exchange import Imported
from slurwright.store.opening import open_store
from slurwright.store.place import HOME_VARIABLE, home_folder, store_path
from slurwright.store.store import Store

__all__ = [
    "HOME_VARIABLE",
    "Backup",
    "Imported",
    "Store",
    "backups_of",
    "home_folder",
    "latest_sound_backup",
    "open_store",
    "restore_backup",
    "store_path",
]

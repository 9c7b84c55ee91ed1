"""Having what was written on the disk, so that a failing power supply finds it there."""

import os
from pathlib import Path

__all__ = ["sync_file", "sync_folder"]


def sync_file(path: Path) -> None:
    """Have a file's bytes on the disk before anything is built on them."""
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sync_folder(path: Path) -> None:
    """Have a folder's names on the disk; where a system cannot, its renames are on the disk by themselves."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(path, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

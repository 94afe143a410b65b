"""Files that are still there after the power went: their bytes and their names reach the disk before
anybody is told that they are kept."""

import os
from pathlib import Path


def sync_file(path: Path) -> None:
    _sync(path, os.O_RDONLY)


def sync_folder(path: Path) -> None:
    """The names in it; a new folder's own name stands in its parent."""
    _sync(path, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))


def sync_folders(path: Path, upto: Path) -> None:
    """A folder and those above it, up to one that was there before."""
    sync_folder(path)
    while path != upto and upto in path.parents:
        path = path.parent
        sync_folder(path)


def sync_tree(top: Path) -> None:
    """Every file and folder below it, and itself."""
    for folder, _, files in os.walk(top, topdown=False):
        for name in files:
            sync_file(Path(folder) / name)
        sync_folder(Path(folder))


def write_durably(path: Path, text: str) -> None:
    """The whole text under its name, or the file as it was before."""
    half = path.with_name(f"{path.name}.half")
    half.write_text(text, encoding="utf-8")
    sync_file(half)
    os.replace(half, path)
    sync_folder(path.parent)


def _sync(path: Path, flags: int) -> None:
    number = os.open(path, flags)
    try:
        os.fsync(number)
    finally:
        os.close(number)

"""Writes files so that they survive a power cut: bytes and names are flushed to disk before the caller
says that they are kept."""

import os
from pathlib import Path


def sync_file(path: Path) -> None:
    _sync(path, os.O_RDONLY)


def sync_folder(path: Path) -> None:
    """Flushes the names in the folder; the folder's own name is in its parent."""
    _sync(path, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))


def sync_folders(path: Path, upto: Path) -> None:
    """Flushes a folder and those above it, up to one that existed before."""
    sync_folder(path)
    while path != upto and upto in path.parents:
        path = path.parent
        sync_folder(path)


def sync_tree(top: Path) -> None:
    """Flushes every file and folder below this folder, and the folder itself."""
    for folder, _, files in os.walk(top, topdown=False):
        for name in files:
            sync_file(Path(folder) / name)
        sync_folder(Path(folder))


def write_durably(path: Path, text: str) -> None:
    """Writes the whole text, or leaves the file as it was."""
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

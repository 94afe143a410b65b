"""Makes room for new backups: takes old whole ones away, and nothing else that lies beside them."""

import os
import re
import shutil
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from caseboard.backup.manifest import BackupWrong, manifest_read

OURS = re.compile(r"backup-\d{8}T\d{6}")
LEFT_BEHIND = re.compile(r"backup-\d{8}T\d{6}\.(part|gone)")  # by a process that was killed
# One that is being written now is younger. House default.
LEFT_BEHIND_FOR = timedelta(days=1)


@dataclass
class Pruned:
    gone: list[str] = field(default_factory=list)
    needed: list[str] = field(default_factory=list)  # hold a picture that is lost elsewhere
    not_whole: list[str] = field(default_factory=list)


def backups_prune(into: Path, *, newest: Path, lost: set[str], keep: int, now: datetime) -> Pruned:
    """Leaves the newest `keep` whole backups; `newest` has just been found whole, and stays.

    What does not have our name, our seal and all its files stays untouched, and does not count.
    `lost` are pictures that are gone from the installation: older backups that hold one stay.
    """
    done = Pruned()
    whole = []
    for folder in sorted(into.iterdir()):
        if not OURS.fullmatch(folder.name) or folder.is_symlink() or not folder.is_dir():
            continue
        media = _media_if_complete(folder)
        if media is None:
            done.not_whole.append(folder.name)
        elif folder != newest:
            whole.append((folder, media))
    old = whole[: -(keep - 1)] if keep > 1 else whole
    for folder, media in old:
        if lost & media:
            done.needed.append(folder.name)
        else:
            _away(folder)
            done.gone.append(folder.name)
    _left_behind_away(into, now)
    return done


def holders(into: Path, lost: set[str]) -> dict[str, str]:
    """For each of these pictures: the newest older backup that still holds it as it was added."""
    found: dict[str, str] = {}
    for folder in sorted(into.iterdir()) if lost else []:
        if not OURS.fullmatch(folder.name):
            continue
        for name in lost & (_media_if_complete(folder) or set()):
            found[name] = folder.name
    return found


def _media_if_complete(folder: Path) -> set[str] | None:
    """The pictures in it that were well; None when it is not ours or lacks a file. A quick look: its
    content was compared when it was made."""
    try:
        manifest = manifest_read(folder)
    except BackupWrong:
        return None
    files = [folder / table["file"] for table in manifest["tables"].values()]
    files += [folder / "media" / name for name in manifest["media"]]
    if not all(path.is_file() for path in files):
        return None
    return set(manifest["media"]) - set(manifest["lost"])


def _away(folder: Path) -> None:
    """Renames the folder first, so that a killed process leaves no half backup under its name."""
    gone = folder.with_name(f"{folder.name}.gone")
    os.replace(folder, gone)
    shutil.rmtree(gone, ignore_errors=True)


def _left_behind_away(into: Path, now: datetime) -> None:
    for folder in into.iterdir():
        if LEFT_BEHIND.fullmatch(folder.name) and folder.is_dir() and not folder.is_symlink():
            age = now.timestamp() - folder.stat().st_mtime
            if age > LEFT_BEHIND_FOR.total_seconds():
                shutil.rmtree(folder, ignore_errors=True)

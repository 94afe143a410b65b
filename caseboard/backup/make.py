"""Makes a backup from beginning to end: writes it, verifies it, notes it for monitoring, prunes old ones."""

from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from caseboard.backup.check import backup_look
from caseboard.backup.manifest import BackupWrong, manifest_read
from caseboard.backup.prune import backups_prune, holders
from caseboard.backup.write import backup_write
from caseboard.lib.best_effort import best_effort
from horses.jobs.watch import BACKUP, watch_write
from horses.ledger.photo_check import photos_look

NOT_WHOLE = "the last one is not whole: `restore --verify` names why"


@dataclass
class Made:
    folder: Path
    troubles: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def backup_make(into: Path, *, verify: bool, keep: int, now: datetime) -> Made:
    """Raises BackupWrong when none could be made. One with troubles is kept: what is in it is there."""
    try:
        made = Made(backup_write(into, now=now))
    except (OSError, BackupWrong) as error:
        _noted(f"the last one could not be made: {type(error).__name__}", now)
        raise BackupWrong(" ".join(f"no backup was made: {error}".split())) from error
    lost = manifest_read(made.folder)["lost"]
    where = holders(into, set(lost))
    for name, what in lost.items():
        held = f"; {where[name]} still holds it" if name in where else ""
        made.troubles.append(f"photo {name}: {what}{held}")
    if lost:
        best_effort("photos", lambda: _photos_told(now), otherwise=None)
    if verify:
        _looked_at(made, into, set(lost), keep, now)
    elif keep:
        made.remarks.append("It was not looked at, so that no older one was pruned.")
    return made


def _looked_at(made: Made, into: Path, lost: set[str], keep: int, now: datetime) -> None:
    found = backup_look(made.folder)
    made.remarks += found.remarks
    if not found.whole:
        made.troubles += [t for t in found.troubles() if t not in made.troubles]
        _noted(NOT_WHOLE, now)
        return
    _noted("", now)
    if not keep:
        return
    pruned = backups_prune(into, newest=made.folder, lost=lost, keep=keep, now=now)
    if pruned.needed:
        made.remarks.append(f"Kept for a lost photo: {', '.join(pruned.needed)}.")
    if pruned.not_whole:
        made.remarks.append(
            f"Left alone, because not whole or of another key: {', '.join(pruned.not_whole)}."
        )


def _photos_told(now: datetime) -> None:
    photos_look(now=now)


def _noted(trouble: str, now: datetime) -> None:
    """A database that takes nothing new can still be saved."""
    best_effort("backup", lambda: watch_write(BACKUP, trouble=trouble, now=now), otherwise=None)

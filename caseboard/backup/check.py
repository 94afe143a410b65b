"""Reads a backup as a restore would, and reports everything that is wrong with it.

Decided 2026-11: a backup that is a true copy of damaged data (lost photos, a history that does not
fit) is kept and can go back, each by an option that says so. The road not taken: refusing it, which
made one lost photo cost every later backup. Only what differs from what was copied is refused
without an option.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from caseboard.backup.check_history import HistoryCheck
from caseboard.backup.check_rows import RowsCheck
from caseboard.backup.manifest import NAME, SEAL, BackupWrong, file_sum, manifest_look
from caseboard.backup.rows_read import rows_of_table
from caseboard.backup.tables import Model, file_names, kept_models
from horses.ledger.photo_check import CHANGED, MISSING, UNREADABLE
from horses.models import Picture
from horses.models.base import stored_label


@dataclass
class Found:
    """The result of checking a backup."""

    faults: list[str] = field(default_factory=list)  # it is not the copy that was made
    # A true copy, as far as the rest goes, of histories that do not fit.
    history: list[str] = field(default_factory=list)
    lost: dict[str, str] = field(default_factory=dict)  # pictures, and what ails them
    lost_before: set[str] = field(default_factory=set)  # those that were lost when it was made
    remarks: list[str] = field(default_factory=list)

    @property
    def whole(self) -> bool:
        """Whether everything that existed is in it unchanged; a photo lost before the backup did not exist."""
        return not self.faults and not self.history and set(self.lost) <= self.lost_before

    def troubles(self) -> list[str]:
        return self.faults + self.history + [f"photo {n}: {what}" for n, what in self.lost.items()]


def backup_look(folder: Path, *, unsigned: bool = False) -> Found:
    """Changes nothing, in the backup as in the database that is in use."""
    manifest, troubles = manifest_look(folder, unsigned=unsigned)
    found = Found(faults=troubles)
    if manifest is None:
        return found
    found.faults += _strangers(folder, manifest)
    found.lost = dict(_media(folder, manifest["media"]))
    found.lost_before = {name for name, what in manifest["lost"].items() if what != UNREADABLE}
    _tables(folder, manifest, found)
    return found


def _tables(folder: Path, manifest: dict[str, Any], found: Found) -> None:
    models = kept_models()
    rows, history = RowsCheck(models), HistoryCheck()
    strange = set(manifest["tables"]) - {stored_label(model) for model in models}
    found.faults += [f"{label}: no table of this program" for label in sorted(strange)]
    for model in models:
        label = stored_label(model)
        if label not in manifest["tables"]:
            found.faults.append(f"{label}: not in the backup")
            continue
        try:
            for row in rows_of_table(folder, model, manifest["tables"][label]):
                rows.take(model, row)
                history.take(model, row)
                _pictures(model, row, manifest["media"], found)
        except BackupWrong as error:
            found.faults.append(f"{label}: {error}")
            rows.leave_out(model)
            history.leave_out(model)
    found.faults += rows.troubles()
    found.history += history.troubles()
    found.remarks += history.remarks()


def _pictures(model: Model, row: dict[str, Any], media: dict[str, str], found: Found) -> None:
    for name in file_names(model, row):
        if name not in media:
            found.lost[name] = "is not in the backup"
        elif model is Picture and media[name] != row["sha256"]:
            found.lost.setdefault(name, CHANGED)


def _strangers(folder: Path, manifest: dict[str, Any]) -> Iterator[str]:
    known = {NAME, SEAL, *(t["file"] for t in manifest["tables"].values())}
    known |= {f"media/{name}" for name in manifest["media"]}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink():
            yield f"{name}: leads outside of the backup"
        elif not path.is_dir() and name not in known:
            yield f"{name}: does not belong to the backup"


def _media(folder: Path, sums: dict[str, str]) -> Iterator[tuple[str, str]]:
    for name, stated in sums.items():
        path = folder / "media" / name
        try:
            if path.is_symlink() or not path.is_file():
                yield name, MISSING
            elif file_sum(path) != stated:
                yield name, CHANGED
        except OSError:
            yield name, UNREADABLE

"""The last result of each check of the whole installation, for `/readyz`."""

from datetime import datetime
from typing import Any

from horses.models import WatchNote

PHOTOS, BACKUP = "photos", "backup"
LONGEST = 200


def watch_write(name: str, *, trouble: str, now: datetime) -> None:
    """Stores a result. Without trouble it is also the last time that the check passed."""
    found: dict[str, Any] = {"looked_at": now, "trouble": trouble[:LONGEST]}
    if not trouble:
        found["well_at"] = now
    WatchNote.objects.update_or_create(name=name, defaults=found)


def watch_read(name: str) -> WatchNote | None:
    return WatchNote.objects.filter(name=name).first()

"""What a look at the whole installation found last, for those who watch it (`/readyz`)."""

from datetime import datetime
from typing import Any

from horses.models import WatchNote

PHOTOS, BACKUP = "photos", "backup"
LONGEST = 200


def watch_write(name: str, *, trouble: str, now: datetime) -> None:
    """Notes a look. Without trouble it is also the last time that all was well."""
    found: dict[str, Any] = {"looked_at": now, "trouble": trouble[:LONGEST]}
    if not trouble:
        found["well_at"] = now
    WatchNote.objects.update_or_create(name=name, defaults=found)


def watch_read(name: str) -> WatchNote | None:
    return WatchNote.objects.filter(name=name).first()

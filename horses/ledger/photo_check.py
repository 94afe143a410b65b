"""Whether the pictures that people added are still there, byte for byte, and as the history says."""

import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any

from django.core.files.storage import default_storage

from horses.jobs.watch import PHOTOS, watch_write
from horses.models import FlagPhoto, HistoryLine

MISSING, CHANGED, UNREADABLE = "missing", "was changed", "cannot be read"
BATCH = 500
CHUNK_BYTES = 1024 * 1024


@dataclass(frozen=True)
class PhotoFault:
    pk: int
    name: str
    what: str

    @property
    def lost(self) -> bool:
        """Whether the file is gone or changed; a storage that did not answer proves neither."""
        return self.what != UNREADABLE

    def __str__(self) -> str:
        return f"photo {self.name}: {self.what}"


def photo_faults() -> Iterator[PhotoFault]:
    """Each photo whose file differs from its row, unless it was blanked out meanwhile."""
    rows = FlagPhoto.objects.exclude(file="").order_by("pk").values_list("pk", "file", "sha256")
    waiting = iter(list(rows))  # read at once: hashing takes long, and holds no transaction open
    while batch := list(islice(waiting, BATCH)):
        found = [
            PhotoFault(pk, str(name), what)
            for pk, name, sha256 in batch
            if (what := file_ails(str(name), sha256))
        ]
        wanted = photos_still_named(fault.name for fault in found)
        yield from (fault for fault in found if fault.name in wanted)


def photos_still_named(names: Iterable[str]) -> set[str]:
    """Those of these files that a row names at this moment."""
    rows = FlagPhoto.objects.filter(file__in=list(names))
    return {str(name) for name in rows.values_list("file", flat=True)}


def file_ails(name: str, sha256: str) -> str:
    try:
        return "" if file_sha256(name) == sha256 else CHANGED
    except FileNotFoundError:
        return MISSING
    except OSError:
        return UNREADABLE


def file_sha256(name: str) -> str:
    """Of a stored file. Raises OSError when it is not there or cannot be read."""
    digest = hashlib.sha256()
    with default_storage.open(name) as file:
        while chunk := file.read(CHUNK_BYTES):
            digest.update(chunk)
    return digest.hexdigest()


def photos_look(*, now: datetime) -> list[PhotoFault]:
    """Checks every photo and stores the result for the flag's page and for `/readyz`."""
    faults = list(photo_faults())
    lost = [fault.pk for fault in faults if fault.lost]
    FlagPhoto.objects.filter(pk__in=lost, lost_at=None).update(lost_at=now)
    known = FlagPhoto.objects.exclude(lost_at=None)
    back = known.exclude(pk__in=[fault.pk for fault in faults])
    back.update(lost_at=None)
    trouble = f"{len(faults)} missing or changed: see `manage.py verify_history`" if faults else ""
    watch_write(PHOTOS, trouble=trouble, now=now)
    return faults


def photos_against_history() -> Iterator[str]:
    """What differs between the rows of photos and the lines that they came with."""
    lines = HistoryLine.objects.filter(verb="flag.photo_added").values_list("subject", "after")
    rows = FlagPhoto.objects.values_list("flag__public_id", "sha256")
    return photos_against_lines(lines.iterator(), rows.iterator())


def photos_against_lines(
    lines: Iterable[tuple[str, Any]], photos: Iterable[tuple[str, str]]
) -> Iterator[str]:
    """`lines`: the flag and what the line holds. `photos`: the flag and the row's fingerprint."""
    said: dict[str, Counter[str]] = defaultdict(Counter)
    there: dict[str, Counter[str]] = defaultdict(Counter)
    for flag, after in lines:
        said[flag].update(after.get("sha256", []) if isinstance(after, dict) else [])
    for flag, sha256 in photos:
        there[flag][sha256] += 1
    for flag in sorted(said | there):
        if gone := (said[flag] - there[flag]).total():
            yield f"flag {flag}: {gone} photo(s) of its history have no row"
        if strange := (there[flag] - said[flag]).total():
            yield f"flag {flag}: {strange} photo(s) that no line speaks of"

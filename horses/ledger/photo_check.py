"""Whether the pictures that people added are still there, byte for byte, and as the history says."""

import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any

from django.core.files.storage import default_storage
from django.db.models.functions import Coalesce

from horses.jobs.watch import PHOTOS, watch_write
from horses.models import HistoryLine, Picture
from horses.models.picture import OF_ONE

# The lines that say that pictures were added, and hold their fingerprints.
ADDED = ("flag.photo_added", "picture.added")
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
    rows = Picture.objects.exclude(file="").order_by("pk").values_list("pk", "file", "sha256")
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
    rows = Picture.objects.filter(file__in=list(names))
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
    """Checks every photo and stores the result for the pages and for `/readyz`."""
    faults = list(photo_faults())
    lost = [fault.pk for fault in faults if fault.lost]
    Picture.objects.filter(pk__in=lost, lost_at=None).update(lost_at=now)
    known = Picture.objects.exclude(lost_at=None)
    back = known.exclude(pk__in=[fault.pk for fault in faults])
    back.update(lost_at=None)
    trouble = f"{len(faults)} missing or changed: see `manage.py verify_history`" if faults else ""
    watch_write(PHOTOS, trouble=trouble, now=now)
    return faults


def photos_against_history() -> Iterator[str]:
    """What differs between the rows of photos and the lines that they came with."""
    lines = HistoryLine.objects.filter(verb__in=ADDED).values_list("subject", "after")
    ids = [f"{name}__public_id" for name in OF_ONE]
    rows = Picture.objects.annotate(of=Coalesce(*ids, "public_id")).values_list("of", "sha256")
    return photos_against_lines(lines.iterator(), rows.iterator())


def photos_against_lines(
    lines: Iterable[tuple[str, Any]], photos: Iterable[tuple[str, str]]
) -> Iterator[str]:
    """`lines`: what they were added to and what the line holds. `photos`: what the row was added to
    (itself, where it stands on its own) and its fingerprint."""
    said: dict[str, Counter[str]] = defaultdict(Counter)
    there: dict[str, Counter[str]] = defaultdict(Counter)
    for thing, after in lines:
        said[thing].update(after.get("sha256", []) if isinstance(after, dict) else [])
    for thing, sha256 in photos:
        there[thing][sha256] += 1
    for thing in sorted(said | there):
        if gone := (said[thing] - there[thing]).total():
            yield f"{thing}: {gone} photo(s) of its history have no row"
        if strange := (there[thing] - said[thing]).total():
            yield f"{thing}: {strange} photo(s) that no line speaks of"

"""A small installation that is saved, and emptied again: for the tests of backups."""

import hashlib
import shutil
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection

from caseboard.backup.write import backup_write
from caseboard.lib.photo import Photo
from horses.ledger import triggers
from horses.models import Flag, Picture
from horses.services.photos import flag_photos_add
from tests import build
from tests.cast import Cast, make_cast
from tests.copied import copied
from tests.lift import drop_kept_triggers

PICTURES = (b"\xff\xd8 one", b"\xff\xd8 two, longer", b"\xff\xd8 three")


def horse_made(now: datetime) -> Cast:
    """A horse with a flag, three photos, a note, readings and a plan."""
    return copied(("horse saved", now), lambda: _horse(now))


def _horse(now: datetime) -> Cast:
    cast = make_cast(now)
    owner = cast.access(cast.owner)
    flag = build.flag(owner, now, words="Grüße, “quoted” and a NUL-free line.")
    photos_added(cast, flag, now)
    build.note(owner, now, body="Short on the left.")
    build.series(cast.access(cast.farrier), now, [52.5, 51.25, 50])
    build.plan_item(owner, now)
    return cast


def photos_added(cast: Cast, flag: Flag, now: datetime) -> None:
    photos = [Photo(p, 1, 1, hashlib.sha256(p).hexdigest()) for p in PICTURES]
    flag_photos_add(access=cast.access(cast.owner), flag_id=flag.public_id, photos=photos, now=now)


def horse_saved(now: datetime, into: Path) -> Path:
    horse_made(now)
    return backup_write(into, now=now)


def picture_files() -> list[Path]:
    names = Picture.objects.exclude(file="").order_by("pk").values_list("file", flat=True)
    return [Path(settings.MEDIA_ROOT) / str(name) for name in names]


def installation_emptied() -> None:
    drop_kept_triggers()
    call_command("flush", verbosity=0, interactive=False)
    triggers.install(connection)
    shutil.rmtree(settings.MEDIA_ROOT, ignore_errors=True)

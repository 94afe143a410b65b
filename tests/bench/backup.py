"""The drill: 100 cases, 10,000 readings and 500 photos, saved, checked, put back and compared.

    CASEBOARD_STATE_DIR=/tmp/drill uv run python -m tests.bench.backup

Uses the database and the media of that installation, which must be empty, and leaves them filled.
"""

import os
import secrets
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

import django

CASES, READINGS, PHOTOS, PHOTO_BYTES = 100, 10_000, 500, 60_000


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()
    from django.core.files.base import ContentFile
    from django.core.files.storage import default_storage
    from django.core.management import call_command
    from django.db import connection

    from caseboard.lib import clock
    from caseboard.management.safekeeping.check import backup_troubles
    from caseboard.management.safekeeping.restore import backup_restore
    from caseboard.management.safekeeping.write import backup_write, stored_names
    from horses import kept
    from horses.access import standing_get
    from horses.models import Case, FlagPhoto, Person
    from horses.services.horses import horse_create
    from measurements.models import Reading
    from tests import build
    from tests.lift import drop_kept_triggers

    call_command("migrate", verbosity=0)
    if Person.objects.exists():
        raise SystemExit("this installation is not empty")
    now = clock.now()
    owner = Person.objects.create_user("drill@example.test", "Drill")
    first = date(2020, 1, 1)
    for number in range(CASES):
        horse = horse_create(person=owner, fields={"name": f"Horse {number}"}, now=now)
        case = Case.objects.get(horse=horse)
        flag = build.flag(standing_get(owner, case.public_id), now, words="Something.")
        Reading.objects.bulk_create(
            Reading(
                horse=horse, foot="LF", quantity="toe_angle", value=50, entered_value=50,
                entered_unit="deg", entered_text="50", method="gauge", trim_state="after",
                taken_on=first + timedelta(days=n), taken_by_name="Drill", recorded_by=owner,
                recorded_at=now,
            )
            for n in range(READINGS // CASES)
        )  # fmt: skip
        for n in range(PHOTOS // CASES):
            content = ContentFile(secrets.token_bytes(PHOTO_BYTES))
            name = default_storage.save(f"flags/{number}-{n}.jpg", content)
            FlagPhoto.objects.create(
                flag=flag, file=name, width_px=1, height_px=1, sha256="", added_at=now
            )
    with tempfile.TemporaryDirectory() as folder:
        began = time.monotonic()
        saved = backup_write(Path(folder), now=now)
        written = time.monotonic()
        troubles = backup_troubles(saved)
        checked = time.monotonic()
        drop_kept_triggers()
        call_command("flush", verbosity=0, interactive=False)
        kept.install(connection)
        for name in list(stored_names(default_storage)):
            default_storage.delete(name)
        emptied = time.monotonic()
        rows = backup_restore(saved)
        ended = time.monotonic()
    print(f"found wrong: {len(troubles)}; rows back and compared: {sum(rows.values())}")
    print(
        f"backup {written - began:.1f} s, check {checked - written:.1f} s, restore with its own "
        f"check and comparison {ended - emptied:.1f} s"
    )


if __name__ == "__main__":
    main()

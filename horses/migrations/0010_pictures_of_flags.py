"""The photos of flags become pictures like all others.

Their old table stays for one version, without a model and without a tie to the flags' table, so that
the program before this one works on during an upgrade. What it adds there meanwhile is not taken
over; nothing else is lost with it.
"""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models
from django.utils import timezone


def photos_to_pictures(apps: Any, schema_editor: Any) -> None:
    """By whom: as its line of history says; before there were such lines, by whoever raised the flag."""
    photo_rows = apps.get_model("horses", "FlagPhoto").objects.select_related("flag__raised_by")
    picture_model = apps.get_model("horses", "Picture")
    line_rows = apps.get_model("horses", "HistoryLine").objects
    for photo in photo_rows.order_by("pk").iterator(chunk_size=500):
        flag = photo.flag
        told = line_rows.filter(verb="flag.photo_added", subject=flag.public_id, case=flag.case_id)
        line = next(
            (
                line
                for line in told.order_by("pk")
                if line.actor_id and photo.sha256 in (line.after or {}).get("sha256", [])
            ),
            None,
        )
        by = flag.raised_by
        picture_model.objects.create(
            public_id=photo.public_id,
            case_id=flag.case_id,
            flag=flag,
            view="place",
            foot=flag.feet[0] if len(flag.feet) == 1 else "",
            taken_on=timezone.localtime(photo.added_at).date(),
            added_by_id=line.actor_id if line else by.pk,
            added_by_name=(line.actor_name if line else by.name or by.email)[:120],
            added_by_role=line.actor_role if line else flag.raised_role,
            added_at=photo.added_at,
            file=photo.file.name,
            width_px=photo.width_px,
            height_px=photo.height_px,
            sha256=photo.sha256,
            redacted_at=photo.redacted_at,
            lost_at=photo.lost_at,
        )


class Migration(migrations.Migration):
    dependencies = [
        ("horses", "0009_pictures"),
    ]

    operations = [
        migrations.RunPython(photos_to_pictures, migrations.RunPython.noop),
        migrations.AlterField(
            "flagphoto",
            "flag",
            models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="photos",
                to="horses.flag",
            ),
        ),
        migrations.SeparateDatabaseAndState(
            state_operations=[migrations.DeleteModel("FlagPhoto")], database_operations=[]
        ),
    ]

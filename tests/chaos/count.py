"""Prints what became of the notices, as JSON: read by a process of its own."""

import json
import os

import django


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()
    from django.db.models import Max

    from horses.models import Job, Notice
    from horses.notices.messages import make_msgid_for

    rows = list(Notice.objects.values_list("channel", "state", "public_id"))
    print(
        json.dumps(
            {
                "app": sum(channel == "app" for channel, *_ in rows),
                "mail": sum(channel == "mail" for channel, *_ in rows),
                "sent": sum(row[:2] == ("mail", "sent") for row in rows),
                "work_left": Job.objects.exclude(kind="horse.judge").count(),
                "most_attempts": Job.objects.aggregate(n=Max("attempts"))["n"] or 0,
                "ids": [
                    make_msgid_for(public_id, "127.0.0.1")
                    for channel, _, public_id in rows
                    if channel == "mail"
                ],
            }
        )
    )


if __name__ == "__main__":
    main()

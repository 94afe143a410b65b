"""Writes events as a busy site would: each tells four people, in the app and by mail."""

import argparse
import json
import os
import time

import django


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--events", type=int, required=True)
    parser.add_argument("--seconds", type=float, required=True, help="spread over this long")
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    from django.db import transaction

    from caseboard.lib import clock
    from horses.models import Job, Notice
    from horses.notices.create import notify
    from tests.cast import make_cast

    with transaction.atomic():
        cast = make_cast(clock.now())
        Notice.objects.all().delete()
        Job.objects.all().delete()
    for number in range(asked.events):
        with transaction.atomic():
            notify(
                event=f"chaos:{number}",
                case=cast.case,
                verb="note.written",
                subject=f"Event {number}",
                audience=",owner,farrier,vet,carer,",
                actor=cast.owner,
                now=clock.now(),
            )
        time.sleep(asked.seconds / asked.events)
    print(json.dumps({"events": asked.events}))


if __name__ == "__main__":
    main()

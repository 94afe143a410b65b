"""Queues ordinary events, which are told to the others on a board by mail, before workers start."""

import argparse
import json
import os

import django


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--events", type=int, required=True)
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    from django.db import transaction

    from caseboard.lib import clock
    from horses.models import Case, Job, Membership
    from horses.notices.create import notify

    case = Case.objects.order_by("-pk")[0]
    owner = Membership.objects.get(case=case, role="owner").person
    with transaction.atomic():
        for number in range(asked.events):
            notify(
                event=f"queued:{number}",
                case=case,
                verb="note.written",
                subject=f"Ordinary {number}",
                audience=",owner,farrier,vet,carer,",
                actor=owner,
                now=clock.now(),
            )
    print(json.dumps({"mails": Job.objects.filter(kind="notice.mail").count()}))


if __name__ == "__main__":
    main()

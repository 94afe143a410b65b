"""An owner, a farrier, their horses with plan items to answer, both signed in. Prints JSON."""

import json
import os
import sys
from datetime import timedelta

import django

from tests.chaos.morning.entries import Horses


def main(horses: Horses, items_each: int) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    from django.conf import settings
    from django.db import transaction
    from django.test import Client

    from caseboard.lib import clock
    from horses.access import access_get
    from horses.models import Case, Job, Role
    from horses.services.horses import horse_create
    from horses.services.plan import plan_item_propose
    from tests import build
    from tests.cast import join, person

    now = clock.now()
    at = now - timedelta(days=30)
    cases: list[str] = []
    items: dict[str, list[str]] = {}
    with transaction.atomic():
        owner, farrier = person("Ola Morning"), person("Finn Morning")
    for number in range(horses.farriers + horses.owners):
        with transaction.atomic():
            fields = {"name": f"Horse {number:02d}", "emergency_vet_phone": "0100 999"}
            horse = horse_create(person=owner, fields=fields, now=at)
            case = Case.objects.get(horse=horse)
            join(case, farrier, Role.FARRIER, at)
        cases.append(case.public_id)
        if number not in horses.answered:
            continue
        access = access_get(farrier, case.public_id)
        items[case.public_id] = [
            plan_item_propose(
                access=access, content=build.content(f"Soft ground, part {part}."), now=now
            ).public_id
            for part in range(items_each)
        ]
    Job.objects.all().delete()  # what is asked of the site is the morning, not the filling
    sessions = {}
    for role, who in (("owner", owner), ("farrier", farrier)):
        client = Client()
        client.force_login(who)
        sessions[role] = client.cookies[settings.SESSION_COOKIE_NAME].value
    print(json.dumps({"cases": cases, "items": items, "sessions": sessions}))


if __name__ == "__main__":
    farriers, noted, owners, each = map(int, sys.argv[1:])
    main(Horses(farriers, noted, owners), each)

"""Fills an installation for clicks: horses with readings, a team, somebody signed in. Prints JSON."""

import argparse
import json
import os
import random
from datetime import timedelta
from typing import Any

import django


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--horses", type=int, required=True)
    parser.add_argument("--visits", type=int, default=0, help="with readings, a horse")
    parser.add_argument("--sheets", type=int, default=0, help="issued and waiting to be drawn")
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    from django.conf import settings
    from django.db import transaction
    from django.test import Client

    from caseboard.lib import clock
    from horses.models import Case, Horse, Job, Notice, Role
    from horses.services.horses import horse_create
    from tests.cast import join, person

    now = clock.now()
    chance = random.Random(11)
    with transaction.atomic():
        owner, vet, farrier = (person(f"{name} House") for name in ("Ola", "Vera", "Finn"))
    cases: list[Case] = []
    for number in range(asked.horses):
        with transaction.atomic():
            at = now - timedelta(days=500)
            horse = horse_create(person=owner, fields={"name": f"Horse {number}"}, now=at)
            case = Case.objects.get(horse=horse)
            join(case, vet, Role.VET, at)
            join(case, farrier, Role.FARRIER, at)
            cases.append(case)
            _readings(case, farrier, asked.visits, now, chance)
    for case in cases[: asked.sheets]:
        _sheet(case, owner, now)
    # What is asked of the workers is this, and nothing that the filling left behind.
    Job.objects.exclude(kind="sheet.draw").delete()
    Notice.objects.all().delete()
    if asked.visits:
        from horses.jobs.outbox import NUMBERS, enqueue

        for key in Horse.objects.values_list("public_id", flat=True):
            enqueue("horse.judge", key, now=now, rank=NUMBERS)
    sessions = {}
    for role, who in (("owner", owner), ("vet", vet), ("farrier", farrier)):
        client = Client()
        client.force_login(who)
        sessions[role] = client.cookies[settings.SESSION_COOKIE_NAME].value
    print(
        json.dumps(
            {
                "session": sessions["owner"],
                "sessions": sessions,
                "cases": [case.public_id for case in cases],
                "waiting": Job.objects.count(),
            }
        )
    )


def _readings(case: Any, farrier: Any, visits: int, now: Any, chance: random.Random) -> None:
    from horses.access import access_get
    from measurements.services.readings import readings_record
    from tests import build

    access = access_get(farrier, case.public_id)
    for number in range(visits):
        at = now - timedelta(days=10 + 49 * (visits - 1 - number))
        rows = [
            build.taken(
                foot,
                quantity,
                round(level + chance.gauss(0, 0.6), 1),
                trim_state=state,
                confirmed_odd=True,
            )
            for foot in ("LF", "RF", "LH", "RH")
            for quantity, level in (("toe_angle", 51.0), ("heel_angle", 46.0))
            for state in ("before", "after")
        ]
        readings_record(access=access, taken_on=at.date(), readings=rows, now=at)


def _sheet(case: Any, owner: Any, now: Any) -> None:
    from horses.access import access_get
    from tests import build

    access = access_get(owner, case.public_id)
    for number in range(6):
        build.plan_item(access, now, text=f"Keep on soft ground, part {number}.")
    build.sheet(access_get(owner, case.public_id), now)


if __name__ == "__main__":
    main()

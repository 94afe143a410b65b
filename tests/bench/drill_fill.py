"""Fills an empty installation for the drill, through the services people use.

Cases with readings, flags with photos, notes and plan items, so that every chain of history has
lines. A photo is random bytes of a phone photo's size: nothing in a backup looks inside.
"""

import argparse
import hashlib
import os
import random
from datetime import timedelta

import django

READINGS_A_VISIT = 20  # four feet, five quantities
QUANTITIES = {
    "toe_angle": 51.0,
    "heel_angle": 46.0,
    "toe_length": 85.0,
    "frog_width": 55.0,
    "hoof_width": 125.0,
}


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, required=True)
    parser.add_argument("--readings", type=int, required=True)
    parser.add_argument("--photos", type=int, required=True)
    parser.add_argument("--photo-kb", type=int, default=250)
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    from django.db import transaction

    from caseboard.lib import clock
    from caseboard.lib.photo import Photo
    from horses.access import access_get
    from horses.models import Case, Role
    from horses.services.horses import horse_create
    from horses.services.photos import flag_photos_add
    from measurements.services.readings import readings_record
    from tests import build
    from tests.cast import join, person

    chance = random.Random(7)
    now = clock.now()
    with transaction.atomic():
        owner, vet, farrier = (person(f"{name} Drill") for name in ("Ola", "Vera", "Finn"))
    for number in range(asked.cases):
        with transaction.atomic():
            at = now - timedelta(days=400)
            horse = horse_create(person=owner, fields={"name": f"Horse {number}"}, now=at)
            case = Case.objects.get(horse=horse)
            join(case, vet, Role.VET, at)
            join(case, farrier, Role.FARRIER, at)
            owners, works = (access_get(who, case.public_id) for who in (owner, farrier))
            share = _share(asked.readings, asked.cases, number)
            for first in range(0, share, READINGS_A_VISIT):
                many = min(READINGS_A_VISIT, share - first)
                at = now - timedelta(days=380 - 7 * (first // READINGS_A_VISIT))
                names = [(f, q) for f in ("LF", "RF", "LH", "RH") for q in QUANTITIES][:many]
                taken = [
                    build.taken(foot, name, round(QUANTITIES[name] + chance.gauss(0, 0.5), 1))
                    for foot, name in names
                ]
                readings_record(access=works, taken_on=at.date(), readings=taken, now=at)
            flag = build.flag(owners, now, words=f"Grüße von “{number}”, short on stones.")
            for _ in range(_share(asked.photos, asked.cases, number)):
                content = chance.randbytes(asked.photo_kb * 1024)
                photo = Photo(content, 1600, 1200, hashlib.sha256(content).hexdigest())
                flag_photos_add(access=owners, flag_id=flag.public_id, photos=[photo], now=now)
            build.note(owners, now, body=f"Note {number}")
            build.plan_item(owners, now)


def _share(total: int, parts: int, number: int) -> int:
    """How many of `total` fall to one of `parts`."""
    return total * (number + 1) // parts - total * number // parts


if __name__ == "__main__":
    main()

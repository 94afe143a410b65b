"""Builds a generated estate fast: yards, their people, horses and years of visits with readings.

    uv run python -m tests.bench.estate                                   40 horses, 4,000 readings
    uv run python -m tests.bench.estate --horses 5000 --readings 1000000  a few minutes on 2 cores

Writes into the database that the settings name, which must be empty of people (`--among-people`
says that it may not be) and is never that of a production installation. The same seed gives the
same estate. Every case has a true history chain: `manage.py verify_history` finds it whole.
"""

import argparse
import os
import random
import sys
import time
from datetime import datetime, timedelta
from typing import Any

import django

YARD_HORSES = 25  # horses to a yard, with one owner who manages it; house default
FARRIER_YARDS = 8  # yards to a farrier's round: 200 horses; house default
VET_YARDS = 20  # yards to a vet: 500 horses; house default


class EstateMisplaced(Exception):
    """The estate is not built here, with the reason in words."""


def estate_build(
    *,
    horses: int,
    readings: int,
    seed: int = 1,
    now: datetime,
    among_people: bool = False,
    say: Any = lambda words: None,
) -> None:
    """Adds `horses` horses with `readings` readings in all; all of them or none."""
    from django.conf import settings
    from django.db import transaction

    from horses.models import Person
    from tests.bench.estate_people import people_make
    from tests.bench.estate_rows import Rows

    if settings.PRODUCTION:
        raise EstateMisplaced(
            "This is a production installation: a generated estate is not for it."
        )
    if not among_people and Person.objects.exists():
        raise EstateMisplaced(
            "There are people in this database. Say --among-people if that is meant."
        )
    began = time.monotonic()
    now = now.replace(microsecond=0)
    with transaction.atomic():
        yards = people_make(seed, -(-horses // YARD_HORSES), now - timedelta(days=1500))
        each, more = divmod(readings, horses)
        done = 0
        for yard in yards:
            rows = Rows(random.Random(f"{seed} {yard.name}"), now)
            for _ in range(min(YARD_HORSES, horses - done)):
                rows.add_horse(yard, readings=each + (done < more), number=done)
                done += 1
            rows.save()
            if done % (YARD_HORSES * 20) == 0:
                say(f"{done} of {horses} horses after {time.monotonic() - began:.0f} s")
    say(f"{horses} horses, {readings} readings in {time.monotonic() - began:.0f} s")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--horses", type=int, default=40)
    parser.add_argument("--readings", type=int, default=4000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--among-people", action="store_true")
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()
    from caseboard.lib import clock

    try:
        estate_build(
            horses=asked.horses,
            readings=asked.readings,
            seed=asked.seed,
            now=clock.now(),
            among_people=asked.among_people,
            say=lambda words: print(words, flush=True),
        )
    except EstateMisplaced as refusal:
        sys.exit(str(refusal))


if __name__ == "__main__":
    main()

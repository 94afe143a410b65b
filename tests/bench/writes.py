"""What writing costs: a note through its service, an import of old measurements.

Processor time beside a bare transaction and beside `bulk_create` of the same rows, in the same run.
"""

import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import cache
from importlib import import_module
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

from django.core.management import call_command, load_command_class
from django.db import transaction
from django.urls import reverse

from caseboard.lib import clock
from horses.models.base import new_public_id
from horses.services.notes import note_write
from measurements.models import Reading
from tests.cast import Cast, make_cast

FEET = ("LF", "RF", "LH", "RH")
# Two quantities before and after the trim on each foot: a farrier's book, a line a value.
A_DAY = len(FEET) * 4
READINGS = 10_000
HEADER = "date,foot,quantity,value,unit,method,trim\n"


@cache
def _cast() -> Cast:
    with transaction.atomic():
        return make_cast(clock.now())


def note_transactions(quick: bool) -> float:
    """How many bare transactions a note costs, told to a team of four."""
    cast = _cast()
    access = cast.access(cast.vet)
    readers = frozenset({"owner", "farrier", "vet"})
    numbers = count()

    def note() -> None:
        number = next(numbers)
        note_write(
            access=access,
            body=f"Comfortable on the soft, short on the hard ({number}).",
            audience=readers,
            client_key=f"bench-{number}",
            now=clock.now(),
        )

    turns = range(5 if quick else 20)
    bare = min(_cpu_s(_bare, 200) for _ in turns)
    return min(_cpu_s(note, 20) for _ in turns) / bare


def import_bulk_creates(quick: bool) -> float:
    """How many times `bulk_create` of its readings an import costs, with all it says of them."""
    rows = 2_000 if quick else READINGS
    took = import_cpu_s(rows)
    readings = list(Reading.objects.order_by("-pk")[:rows])

    def bulk() -> None:
        for reading in readings:
            reading.pk, reading.public_id = None, new_public_id()
            reading.foot = "LF"
        with transaction.atomic():
            Reading.objects.bulk_create(readings)

    return took / _cpu_s(bulk, 2)


def import_cpu_s(rows: int) -> float:
    """The processor time of the command that reads so many old measurements into a horse."""
    cast = _cast()
    load_command_class("measurements", "import_readings")  # what is imported once is no row's cost
    import_module("measurements.rules.register")
    reverse("home")
    with TemporaryDirectory() as folder:
        table = Path(folder) / "old.csv"
        table.write_text(HEADER + "".join(_lines(rows)))
        case = cast.other_case.public_id
        with open(Path(folder) / "said", "w") as said:
            return _cpu_s(lambda: call_command("import_readings", table, case=case, stdout=said), 1)


def _lines(rows: int) -> Iterator[str]:
    """A visit every seven weeks at first, then closer: no horse has so many, all have some."""
    first = clock.now().date() - timedelta(days=rows // A_DAY + 1)
    for number in range(rows):
        day, place = divmod(number, A_DAY)
        foot = FEET[place % 4]
        trim = "before" if place < A_DAY // 2 else "after"
        quantity, unit = ("toe_angle", "deg") if place % 8 < 4 else ("heel_angle", "deg")
        value = (50 if quantity == "toe_angle" else 46) + day % 7 / 2
        on = first + timedelta(days=day)
        yield f"{on},{foot},{quantity},{value},{unit},gauge,{trim}\n"


def _bare() -> None:
    with transaction.atomic():
        pass


def _cpu_s(deed: Callable[[], object], times: int) -> float:
    """The processor time of one of so many; the first, which warms, is left out where there are more."""
    if times > 1:
        deed()
    began = time.process_time()
    for _ in range(times):
        deed()
    return (time.process_time() - began) / times

"""A horse's numbers as pages read them: kept in the process for as long as nobody writes.

Whatever people do on a board ends with a line of its history, in the same transaction. The ends of
the histories of all the horse's boards are therefore the fingerprint of everything that `Numbers`
holds, and of what was worked out from it: readings and their corrections, visits taken back, trims,
shoes, bands, plans, who has agreed, the team. The hashes of the chain differ even where a
transaction that was undone had used the same row numbers. How many readings there are is asked as
well, so that one that comes without a line shows too. The interval and the day are part of the key.

Decided 2026-11: kept in the memory of each process, not in the shared cache, from which thousands of
readings cost more to unpack than to read anew. Only for looking: what writes, and the rules, read
`numbers_of` in their own transaction, where a deed may be half done.
"""

import threading
from collections import OrderedDict
from collections.abc import Hashable
from datetime import date

from django.db.models import Count, Max

from horses.models import Case, Horse
from measurements.models import Reading
from measurements.queries.numbers import Numbers, numbers_of

# About 1 kB a reading with what is worked out from it: some 60 MB a process. House default.
MOST_READINGS = 60_000
LEAST_WEIGHT = 200  # what a horse without readings counts for; house default

Fingerprint = tuple[Hashable, ...]


class KeptNumbers:
    """The numbers of the horses that were looked at last; safe for several threads."""

    def __init__(self, most: int = MOST_READINGS) -> None:
        self.most = most
        self._lock = threading.Lock()
        self._kept: OrderedDict[int, tuple[Fingerprint, Numbers, int]] = OrderedDict()
        self._weight = 0

    def get(self, horse_id: int, fingerprint: Fingerprint) -> Numbers | None:
        with self._lock:
            found = self._kept.get(horse_id)
            if found is None or found[0] != fingerprint:
                return None
            self._kept.move_to_end(horse_id)
            return found[1]

    def put(self, horse_id: int, fingerprint: Fingerprint, numbers: Numbers) -> None:
        """In the place of what was kept of the horse; the horses looked at longest ago give way."""
        weight = LEAST_WEIGHT + sum(map(len, numbers.readings.values()))
        with self._lock:
            self._drop(horse_id)
            self._kept[horse_id] = fingerprint, numbers, weight
            self._weight += weight
            while self._weight > self.most and len(self._kept) > 1:
                self._drop(next(iter(self._kept)))

    def clear(self) -> None:
        with self._lock:
            self._kept.clear()
            self._weight = 0

    def _drop(self, horse_id: int) -> None:
        if (gone := self._kept.pop(horse_id, None)) is not None:
            self._weight -= gone[2]


KEPT = KeptNumbers()


def numbers_kept(horse: Horse, *, today: date) -> Numbers:
    """The numbers of one horse as they stand today, for a page: as `numbers_of`, read anew only
    after somebody has written."""
    fingerprint = fingerprint_of(horse, today)  # first: what is written meanwhile is read anew next
    numbers = KEPT.get(horse.pk, fingerprint)
    if numbers is None:
        numbers = numbers_of(horse, today=today)
        KEPT.put(horse.pk, fingerprint, numbers)
    return numbers.seen_with(horse)


def fingerprint_of(horse: Horse, today: date) -> Fingerprint:
    """Differs once anything that `numbers_of` reads does."""
    boards = Case.objects.filter(horse=horse).order_by("pk")
    ends = boards.values_list("pk", "last_seq", "last_hash", "closed_at")
    readings = Reading.objects.filter(horse=horse).aggregate(Count("pk"), Max("pk"))
    return today, horse.interval_days, tuple(ends), tuple(readings.values())

"""The horses of one stop, as its page shows them. The accesses say what the person may see."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time

from horses.access import CaseAccess
from horses.models import Horse, Visit
from horses.queries.day_list import KIND_OF, LAST


@dataclass(frozen=True)
class StopHorse:
    access: CaseAccess
    visit: Visit | None

    @property
    def horse(self) -> Horse:
        return self.access.horse

    @property
    def is_mine(self) -> bool:
        """The person who looks comes to it."""
        visit, access = self.visit, self.access
        if visit is None or KIND_OF.get(access.role) != visit.kind:
            return False
        return visit.planned_for_id in (None, access.person.pk)

    @property
    def order(self) -> tuple[int, time, str]:
        visit = self.visit
        number = visit.day_order if visit and visit.day_order is not None else LAST
        at = (visit.planned_time if visit else None) or time.max
        return number, at, self.horse.name.casefold()


def stop_horses(accesses: Sequence[CaseAccess], kind: str) -> list[StopHorse]:
    """In the order of the day."""
    rows = Visit.objects.planned().filter(
        horse__in=[access.horse.pk for access in accesses], kind=kind
    )
    found = {visit.horse_id: visit for visit in rows.order_by("-planned_on")}
    horses = [StopHorse(access, found.get(access.horse.pk)) for access in accesses]
    return sorted(horses, key=lambda horse: horse.order)

"""How long it may be between two trims of this horse: set by the team, by age, or by the vet."""

from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import PermissionDenied

from caseboard.lib.errors import Conflict
from caseboard.lib.spans import days_words
from horses.access import CaseAccess
from horses.domain.foals import SCHEDULES
from horses.domain.trim_cycle import interval_on
from horses.models import Horse, Role
from horses.services.deed import deed
from horses.services.horses import VETS_ORDER


@dataclass(frozen=True)
class IntervalWish:
    basis: str
    days: int
    winter_days: int | None = None
    schedule: str = ""
    weaned_on: date | None = None
    why: str = ""


def may_set(access: CaseAccess) -> bool:
    """A vet's order is changed by a vet only."""
    return access.role == Role.VET or access.horse.interval_basis != Horse.Basis.VET


def interval_set(
    *, access: CaseAccess, wish: IntervalWish, version: int | None = None, now: datetime
) -> Horse:
    """Raises Conflict when somebody changed the horse since `version`."""
    with deed(access, "interval.set", now=now) as act:
        horse = Horse.objects.select_for_update(no_key=True).get(pk=access.horse.pk)
        vets = Horse.Basis.VET in (wish.basis, horse.interval_basis)
        if vets and access.role != Role.VET:
            raise PermissionDenied(VETS_ORDER)
        if wish.schedule and wish.schedule not in SCHEDULES:
            raise ValueError(f"no such schedule: {wish.schedule}")
        before = interval_on(horse, now.date())
        if version is not None and version != horse.version:
            raise Conflict(
                mine={"interval": days_words(wish.days)},
                theirs={"interval": before.words},
                version=horse.version,
            )
        _put(horse, wish, access, now)
        after = interval_on(horse, now.date())
        act.line(
            "interval.set",
            horse,
            before={"words": before.words},
            after={"words": after.words, "why": wish.why, "basis": wish.basis},
        )
        event = f"{horse.public_id}:{horse.version}"
        subject = f"{horse.name}: time between trims {after.words}"
        act.tell("interval.set", event, subject, body=wish.why)
        act.evaluate()
        return horse


def _put(horse: Horse, wish: IntervalWish, access: CaseAccess, now: datetime) -> None:
    horse.interval_basis, horse.interval_days = Horse.Basis(wish.basis), wish.days
    horse.interval_winter_days = wish.winter_days
    horse.young_schedule, horse.weaned_on = wish.schedule, wish.weaned_on
    horse.interval_by_name, horse.interval_by_role = str(access.person), access.role
    horse.interval_set_on, horse.interval_why = now.date(), wish.why
    horse.version += 1
    horse.save()

"""All horses of one stop at once: moved, planned, cancelled, confirmed, told of a delay, put in order.

Each horse keeps its own visit, right and line of history; each person reads one notice, with the
horses that they themselves are on. The cases are locked in one order.

Decided 2026-11: the order of a day is how whoever comes arranges their own day. It is no word
about a horse, so that it leaves no line and makes no new version of a visit.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time

from django.core.exceptions import PermissionDenied
from django.db import transaction

from caseboard.lib.spans import counted
from horses.access import CaseAccess, require
from horses.domain.wording import listed
from horses.models import Membership, Person, Visit
from horses.models.base import new_public_id
from horses.models.visit import ROLE_OF_KIND
from horses.models.visit_life import VisitChange
from horses.services.deed import DeedRefused, deed
from horses.services.visit_planning import (
    Told,
    visit_cancel,
    visit_confirm,
    visit_plan,
)

NOTHING_LEFT = "None of these horses has such a visit any more. Look at the day again."
MOST_PLACES = 999
LATE_MINUTES = (15, 30, 60)  # offered; house default


def stop_move(
    *,
    accesses: Sequence[CaseAccess],
    kind: str,
    on: date,
    at: time | None = None,
    words: str = "",
    client_key: str = "",
    now: datetime,
) -> list[Visit]:
    """Puts the visits of these horses on another day, or plans them. What is left open, the time or
    the words, stays as it is at each horse."""
    clock = f" at {at:%-H:%M}" if at else ""
    told = _told(accesses, f"planned for {on:%-d %b %Y}{clock}", client_key)
    with transaction.atomic():
        planned = _planned(accesses, kind)
        return [
            visit_plan(
                access=access,
                on=on,
                at=at or (visit.planned_time if visit else None),
                words=words or (visit.status_reason if visit else ""),
                kind=kind,
                moved_id=visit.public_id if visit else "",
                told=told,
                now=now,
            )
            for access, visit in planned
        ]


def stop_cancel(
    *,
    accesses: Sequence[CaseAccess],
    kind: str,
    reason: str,
    client_key: str = "",
    now: datetime,
) -> list[Visit]:
    """Cancels the visits of these horses that are still planned."""
    told = _told(accesses, "the visit was cancelled", client_key)
    with transaction.atomic():
        planned = [(a, v) for a, v in _planned(accesses, kind) if v and v.may_turn(_CANCEL)]
        if not planned:
            raise DeedRefused(NOTHING_LEFT)
        return [
            visit_cancel(
                access=access, public_id=visit.public_id, reason=reason, told=told, now=now
            )
            for access, visit in planned
        ]


_CANCEL = VisitChange.CANCEL


def stop_confirm(
    *, accesses: Sequence[CaseAccess], kind: str, client_key: str = "", now: datetime
) -> list[Visit]:
    """Confirms the days that another side planned and nobody has confirmed."""
    told = _told(accesses, "the day is confirmed", client_key)
    with transaction.atomic():
        waiting = [
            (access, visit)
            for access, visit in _planned(accesses, kind)
            if visit and visit.confirmed_at is None and visit.planned_by_role != access.role
        ]
        if not waiting:
            raise DeedRefused("None of these days waits for your side to confirm it.")
        return [
            visit_confirm(access=access, public_id=visit.public_id, told=told, now=now)
            for access, visit in waiting
        ]


def stop_late(
    *,
    accesses: Sequence[CaseAccess],
    kind: str,
    minutes: int,
    client_key: str = "",
    now: datetime,
) -> list[Visit]:
    """Tells those on the horses of the stop that who comes is late. The planned time stays: it says
    what was agreed."""
    if minutes not in LATE_MINUTES:
        raise DeedRefused("Choose how late.")
    what = f"{accesses[0].person} is about {counted(minutes, 'minute')} late" if accesses else ""
    told = _told(accesses, what, client_key)
    cases = sorted(access.case.public_id for access in accesses)
    payload = {"cases": cases, "kind": kind, "late": minutes}
    with deed(accesses[0], "visit.late", now=now, key=client_key) as first:
        if earlier := first.made_before(Visit, payload):
            return [earlier]
        late = []
        for access, visit in _planned(accesses, kind):
            with deed(access, "visit.late", now=now) as act:
                if visit is None or not _comes(visit, access.person):
                    continue
                on = str(visit.planned_on)
                act.line("visit.late", visit, after={"on": on, "minutes": minutes})
                act.tell("visit.late", told.event, told.subject)
                late.append(visit)
        if not late:
            raise DeedRefused(NOTHING_LEFT)
        first.made(late[0])
        return late


def stop_order(*, accesses: Sequence[CaseAccess], kind: str, places: Mapping[str, int]) -> None:
    """Puts the visits in the order of whoever comes; `places` by the ids of their cases."""
    with transaction.atomic():
        for access, visit in _planned(accesses, kind):
            require(access, "case.see")
            if access.role != ROLE_OF_KIND[kind]:
                raise PermissionDenied("The order is for whoever comes.")
            place = places.get(access.case.public_id)
            if visit is not None and _comes(visit, access.person) and place is not None:
                number = max(0, min(place, MOST_PLACES))
                Visit.objects.filter(pk=visit.pk).update(day_order=number)


def _comes(visit: Visit, person: Person) -> bool:
    return visit.planned_for_id in (None, person.pk)


def _planned(accesses: Sequence[CaseAccess], kind: str) -> list[tuple[CaseAccess, Visit | None]]:
    """Each horse with its next planned visit of the kind; the cases in one order."""
    rows = Visit.objects.planned().filter(
        horse__in=[access.horse.pk for access in accesses], kind=kind
    )
    found = {visit.horse_id: visit for visit in rows.order_by("-planned_on")}
    ordered = sorted(accesses, key=lambda access: access.case.pk)
    return [(access, found.get(access.horse.pk)) for access in ordered]


def _told(accesses: Sequence[CaseAccess], what: str, client_key: str) -> Told:
    """One notice a person: with the names of the horses whose boards they are on, and no others."""
    if not accesses:
        raise DeedRefused("No horse was named.")
    members = Membership.objects.filter(
        case__in=[access.case.pk for access in accesses], left_at__isnull=True
    )
    names: dict[int, list[str]] = {}
    pairs = members.order_by("case__horse__name").values_list("person_id", "case__horse__name")
    for person_id, name in pairs:
        names.setdefault(person_id, []).append(name)
    return Told(
        f"stop-{client_key or new_public_id()}"[:60],
        lambda person: f"{listed(names.get(person.pk, ['A horse']))}: {what}",
    )

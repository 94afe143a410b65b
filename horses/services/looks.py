"""The daily look: horses marked as looked at, one alone or several with one press, and taken back."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction
from django.http import Http404
from django.utils import timezone

from horses.access import CaseAccess
from horses.models import Horse, Look
from horses.models.base import new_public_id
from horses.queries.flags import open_flags_on
from horses.services.deed import Deed, DeedRefused, deed

UNDO_FOR = timedelta(minutes=10)  # house default: as long as one is still in the yard
TOO_LATE = "That is more than ten minutes ago. If something is not right, say so instead."


def look_mark(*, access: CaseAccess, client_key: str = "", now: datetime) -> Look:
    """One horse, looked at alone. Refused where it has an open flag: that has its own answers."""
    return looks_mark(accesses=[access], client_key=client_key, now=now)[0]


def looks_mark(
    *,
    accesses: Sequence[CaseAccess],
    client_key: str = "",
    looked_at: datetime | None = None,
    now: datetime,
) -> list[Look]:
    """All of these horses with one press, in one transaction; each row says how many they were.
    `looked_at`: when it was pressed, where a phone kept it until there was a signal.

    A horse with an open flag that this person reads is left out: "nothing seen" must not stand
    beside what somebody saw. The cases are locked in one order, so that two people who mark the
    same horses at once do not wait for each other.
    """
    if not accesses:
        raise DeedRefused("No horse was named.")
    accesses = sorted(accesses, key=lambda access: access.case.pk)
    payload = {"cases": [access.case.public_id for access in accesses]}
    with transaction.atomic():
        with deed(accesses[0], "look.mark", now=now, key=client_key) as first:
            if earlier := first.made_before(Look, payload):
                return list(Look.objects.filter(press=earlier.press, takes_back=None))
            left = _without_flags(accesses)
            press = new_public_id()
            at = looked_at or now
            made = [_mark(access, press, len(left), at, now) for access in left]
            first.made(made[0])
        return made


def _without_flags(accesses: Sequence[CaseAccess]) -> list[CaseAccess]:
    flagged = open_flags_on(accesses[0].person).values_list("case__horse_id", flat=True)
    with_flag = set(flagged.filter(case__horse__in={access.horse.pk for access in accesses}))
    left = [access for access in accesses if access.horse.pk not in with_flag]
    if not left:
        names = ", ".join(access.horse.name for access in accesses)
        raise DeedRefused(f"{names}: there is an open flag. Look at it, and answer there.")
    return left


def _mark(
    access: CaseAccess, press: str, together: int, looked_at: datetime, now: datetime
) -> Look:
    with deed(access, "look.mark", now=now) as act:
        if access.horse.state == Horse.State.ENDED:
            raise DeedRefused(f"The care of {access.horse.name} has ended.")
        look = _row(act, looked_at, press=press, together=together)
        act.line("look.marked", look, after={"together": together})
        return look


def _row(
    act: Deed, at: datetime, *, press: str, together: int, takes_back: Look | None = None
) -> Look:
    access = act.access
    return act.row(
        Look.objects.create(
            horse=access.horse,
            case=access.case,
            looked_by=access.person,
            looked_by_name=str(access.person),
            looked_by_role=access.role,
            looked_at=at,
            press=press,
            together=together,
            takes_back=takes_back,
        )
    )


def look_undo(*, access: CaseAccess, look_id: str, now: datetime) -> Look:
    """Takes one's own look at one horse back, by a new row; the first one is kept."""
    with deed(access, "look.undo", now=now) as act:
        own = Look.objects.filter(case=access.case, looked_by=access.person, takes_back=None)
        look = own.filter(public_id=look_id).first()
        if look is None:
            raise Http404("no such look of yours")
        if Look.objects.filter(takes_back=look).exists():
            raise DeedRefused("This was taken back already.")
        if now - look.looked_at > UNDO_FOR:
            raise DeedRefused(TOO_LATE)
        undone = _row(act, now, press=look.press, together=look.together, takes_back=look)
        clock = f"{timezone.localtime(look.looked_at):%H:%M}"
        act.line("look.undone", undone, after={"clock": clock, "together": look.together})
        return undone


def looks_undo(*, accesses: Sequence[CaseAccess], press: str, now: datetime) -> int:
    """Takes back all that one press of this person marked and that still stands; how many."""
    by_case = {access.case.pk: access for access in accesses}
    person = next(iter(accesses)).person if accesses else None
    own = Look.objects.standing().filter(press=press, looked_by=person, case__in=by_case)
    with transaction.atomic():
        standing = list(own.order_by("case_id"))
        for look in standing:
            look_undo(access=by_case[look.case_id], look_id=look.public_id, now=now)
    return len(standing)

"""The people of a yard: a manager's yes or no, and the end of somebody's place."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction
from django.http import Http404

from horses.access import CaseAccess
from horses.access_yard import YardAccess
from horses.jobs.outbox import enqueue, job_handler
from horses.models import Case, Membership, Role, Stay, Yard, YardMember, YardRole
from horses.queries.reopened import coming, reopened_mark
from horses.services.deed import Deed, DeedRefused
from horses.services.yard_people import goes, goes_everywhere, joins_everywhere, let_on, place_on
from horses.services.yards import yard_deed

CHANGED = "The plan has changed since you looked. Read once more what would be open again."


def yard_member_confirm(
    *,
    access: YardAccess,
    member_id: str,
    seen: str = "",
    horse_ids: Sequence[str] = (),
    until_on: date | None = None,
    now: datetime,
) -> YardMember:
    """The manager's yes: the person comes on the yard's horses at once.

    `seen`: which agreed items the manager read would be open again. `horse_ids`, for a livery
    owner: the standing cases of the horses that are theirs, and that they own from now on.
    """
    with yard_deed(access, "yard.confirm", now=now) as yard:
        member = _waiting(yard, member_id)
        if reopened_mark(coming(yard.pk, member.role, member=member).reopened) != seen:
            raise DeedRefused(CHANGED)
        member.confirmed_by, member.confirmed_at = access.person, now
        member.until_on = until_on
        member.save(update_fields=["confirmed_by", "confirmed_at", "until_on"])
        joins_everywhere(member, by=access.person, now=now)
        if until_on is not None:
            over = _day_after(until_on, yard)
            enqueue("yard.place_over", member.public_id, now=now, due_at=over)
        if member.role == YardRole.OWNER:
            for case_id in horse_ids:
                _owner_takes(access, member, case_id, now)
        return member


def _day_after(day: date, yard: Yard) -> datetime:
    """When somebody's last day at the yard is over, by its own clock."""
    return datetime.combine(day + timedelta(days=1), time(), tzinfo=ZoneInfo(yard.time_zone))


@job_handler("yard.place_over")
@transaction.atomic
def yard_place_over(key: str, now: datetime) -> None:
    """The last day of somebody who was here for a time has passed."""
    found = YardMember.objects.select_related("yard").get(public_id=key)
    yard = Yard.objects.select_for_update(no_key=True).get(pk=found.yard_id)
    member = YardMember.objects.in_force().filter(pk=found.pk).select_related("person").first()
    if member is None or member.until_on is None or now < _day_after(member.until_on, yard):
        return
    assert member.confirmed_by is not None  # who said until when
    goes_everywhere(member, by=member.confirmed_by, now=now)
    member.ended_at, member.ended_by = now, member.confirmed_by
    member.save(update_fields=["ended_at", "ended_by"])


def _owner_takes(access: YardAccess, member: YardMember, case_id: str, now: datetime) -> None:
    """A horse that the yard stood for has its owner now: the managers plan and record on it from
    now on, and agree to nothing."""
    stay = Stay.objects.now().filter(
        yard=access.yard, is_yards_own=True, horse__cases__public_id=case_id
    )
    found = stay.select_related("horse").first()
    if found is None:
        raise DeedRefused("One of these horses is not the yard's own any more.", field="horses")
    case = Case.objects.get(horse=found.horse_id, kind=Case.Kind.ROUTINE)
    rows = Membership.objects.filter(case=case, left_at=None).select_related(
        "person", "case__horse", "via__yard", "via__person"
    )
    if any(row.person_id == member.person_id for row in rows):
        raise DeedRefused(f"{member.person} is on {found.horse.name} already.", field="horses")
    found.is_yards_own = False
    found.save(update_fields=["is_yards_own"])
    owner = Membership.objects.create(
        case=case,
        person=member.person,
        role=Role.OWNER,
        joined_at=now,
        invited_by=access.person,
    )
    act = Deed(CaseAccess(member.person, case, Role.OWNER), "", now)
    act.line("team.joined", owner.person, after={"role": owner.role, "stand_in": False})
    for row in rows:
        if row.role == Role.OWNER and row.via is not None:
            goes(row, by=access.person, now=now)
            place = place_on(found, row.via)
            assert place is not None  # a manager
            let_on(case, row.via, place, now=now)


def yard_member_decline(*, access: YardAccess, member_id: str, now: datetime) -> None:
    """The manager's no. The person never was on a horse, and their link may be used no more."""
    with yard_deed(access, "yard.confirm", now=now) as yard:
        member = _waiting(yard, member_id)
        member.ended_at, member.ended_by = now, access.person
        member.save(update_fields=["ended_at", "ended_by"])


def yard_member_end(*, access: YardAccess, member_id: str, now: datetime) -> YardMember:
    """A manager ends somebody's place, or somebody leaves. The last manager stays: nobody could
    say yes to another."""
    leaving = access.member.public_id == member_id
    with yard_deed(access, "yard.leave" if leaving else "yard.remove", now=now) as yard:
        people = YardMember.objects.in_force().filter(yard=yard).select_related("person")
        member = people.filter(public_id=member_id).first()
        if member is None:
            raise Http404("no such person of the yard")
        if member.is_manager and people.filter(role=YardRole.MANAGER).count() == 1:
            raise DeedRefused("The last manager cannot leave. Ask another manager to join first.")
        goes_everywhere(member, by=access.person, now=now)
        member.ended_at, member.ended_by = now, access.person
        member.save(update_fields=["ended_at", "ended_by"])
        return member


def _waiting(yard: Yard, member_id: str) -> YardMember:
    waiting = YardMember.objects.waiting().select_for_update(no_key=True, of=("self",))
    member = waiting.filter(yard=yard, public_id=member_id).select_related("person").first()
    if member is None:
        raise Http404("nobody of this name waits")
    return member

"""The next visit: planned for somebody, moved, confirmed by the other side, cancelled."""

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import TEAM_AUDIENCE, CaseAccess, require
from horses.ledger.append import history_append
from horses.models import Horse, Membership, Person, Role, Visit
from horses.notices.create import notify
from horses.rules.engine import evaluation_enqueue
from horses.rules.missed_visits import is_unheard, visit_mark_unheard
from horses.services.versions import conflict_over, last_saved, version_check

FARRIER = Visit.Kind.FARRIER
ROLE_OF = {Visit.Kind.FARRIER: Role.FARRIER, Visit.Kind.VET: Role.VET}
VISIT_WORDS = {FARRIER: "next visit", Visit.Kind.VET: "vet visit"}


class VisitRefused(Exception):
    """The visit cannot stand as given, with the reason in words."""


def horse_lock(horse: Horse) -> None:
    """Visits and trims hang on the horse: two people writing them at once do it one by one."""
    Horse.objects.select_for_update(no_key=True).get(pk=horse.pk)


def _planned(horse: Horse, kind: str) -> Visit | None:
    planned = Visit.objects.select_for_update(no_key=True, of=("self",)).filter(
        horse=horse, status=Visit.Status.PLANNED, kind=kind
    )
    return planned.select_related("planned_for").order_by("planned_on").first()


def expected_by_default(access: CaseAccess, kind: str) -> Person | None:
    """Who comes when nobody was named: the one who plans, or the only one of the role."""
    role = ROLE_OF[Visit.Kind(kind)]
    if access.role == role:
        return access.person
    members = Membership.objects.filter(
        case=access.case, role=role, stand_in=False, left_at__isnull=True
    ).select_related("person")
    found = list(members[:2])
    return found[0].person if len(found) == 1 else None


def plan_put(
    access: CaseAccess,
    on: date,
    words: str,
    *,
    now: datetime,
    kind: str = FARRIER,
    who: Person | None = None,
) -> Visit:
    """One planned visit of a kind at a time: planning again moves it.

    A day that has passed without a word stays as it is, and a new visit stands beside it.
    """
    visit = _planned(access.horse, kind)
    if visit is not None and is_unheard(visit.planned_on, now.date()):
        visit_mark_unheard(visit, now)
        visit = None
    who = who or (visit.planned_for if visit else None) or expected_by_default(access, kind)
    before = {"on": str(visit.planned_on)} if visit else None
    if visit is not None and (visit.planned_on, visit.status_reason, visit.planned_for) == (
        on,
        words,
        who,
    ):
        return visit  # as it stood: nothing to tell
    if visit is None:
        visit = Visit(
            horse=access.horse,
            case=access.case,
            kind=kind,
            status=Visit.Status.PLANNED,
            version=_next_version(access.horse),
        )
    else:
        visit.version += 1
    visit.planned_on, visit.status_reason, visit.planned_for = on, words, who
    visit.planned_by_role, visit.recorded_at, visit.changed_at = access.role, now, now
    visit.confirmed_at, visit.confirmed_name, visit.confirmed_role = None, "", ""
    visit.save()
    after = {"on": str(on), "words": words, "kind": str(kind), "who": str(who or "")}
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="visit.moved" if before else "visit.planned",
        subject=visit.public_id,
        before=before,
        after=after,
        now=now,
    )
    return visit


def next_put(access: CaseAccess, on: date, *, moves: bool, now: datetime) -> None:
    """The next day, said while writing up a visit. One that is booked already stays: it may be
    confirmed, and moving it is a deed of its own."""
    booked = _planned(access.horse, FARRIER)
    stands = booked is not None and not is_unheard(booked.planned_on, now.date())
    if stands and not moves:
        return
    words = booked.status_reason if booked is not None and stands else ""
    plan_put(access, on, words, now=now)


def _next_version(horse: Horse) -> int:
    """Goes on from the horse's earlier visits: a version seen of one never fits another."""
    newest = Visit.objects.filter(horse=horse).aggregate(newest=Max("version"))["newest"]
    return int(newest or 0) + 1


@transaction.atomic
def visit_plan(
    *,
    access: CaseAccess,
    on: date,
    words: str = "",
    kind: str = FARRIER,
    member_id: str = "",
    version: int | None = None,
    now: datetime,
) -> Visit:
    """Plans the next visit or moves it. `member_id` names who is to come.

    `version` is the one that the person saw; 0: none was planned; None: not asked. Raises Conflict
    when somebody planned, moved, cancelled or kept it meanwhile.
    """
    require(access, "visit.plan")
    if on < now.date():
        raise VisitRefused("This day has passed. Choose today or a later day.")
    horse_lock(access.horse)
    who = _member(access, kind, member_id) if member_id else None
    current = _planned(access.horse, kind)
    mine = {"planned_on": on, "words": words}
    if current is not None:
        theirs = {"planned_on": current.planned_on, "words": current.status_reason}
        version_check(access, current, version, mine=mine, theirs=theirs)
    elif version:
        raise _gone_meanwhile(access, version, kind, mine)
    visit = plan_put(access, on, words, now=now, kind=kind, who=who)
    comes = f", {visit.planned_for} comes" if visit.planned_for else ""
    notify(
        event=f"visit.planned:{visit.public_id}:{visit.version}",
        case=access.case,
        verb="visit.planned",
        subject=f"{access.horse.name}: {VISIT_WORDS[Visit.Kind(kind)]} on {on:%-d %B %Y}{comes}",
        body=words,
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    evaluation_enqueue(access.horse, now=now)
    return visit


def _member(access: CaseAccess, kind: str, member_id: str) -> Person:
    member = (
        Membership.objects.filter(
            case=access.case,
            public_id=member_id,
            left_at__isnull=True,
            role=ROLE_OF[Visit.Kind(kind)],
        )
        .select_related("person")
        .first()
    )
    if member is None:
        raise VisitRefused("This person is no longer on the team. Choose somebody else.")
    return member.person


@transaction.atomic
def visit_confirm(*, access: CaseAccess, public_id: str, now: datetime) -> Visit:
    """The other side says that the day suits; a day that is moved has to be confirmed anew."""
    require(access, "visit.confirm")
    horse_lock(access.horse)
    visit = (
        Visit.objects.select_for_update(no_key=True)
        .filter(horse=access.horse, public_id=public_id, status=Visit.Status.PLANNED)
        .first()
    )
    if visit is None:
        raise Http404("no such planned visit")
    if visit.planned_by_role == access.role:
        raise VisitRefused("Your side planned this day: it is for the others to confirm it.")
    if visit.confirmed_at is not None:
        return visit
    visit.confirmed_at, visit.changed_at = now, now
    visit.confirmed_name, visit.confirmed_role = str(access.person), access.role
    # The version stays: nothing that anybody wrote has changed, and whoever moves the day meanwhile
    # overwrites no words. A day that is moved is confirmed anew.
    visit.save(update_fields=["confirmed_at", "confirmed_name", "confirmed_role", "changed_at"])
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="visit.confirmed",
        subject=visit.public_id,
        after={"on": str(visit.planned_on)},
        now=now,
    )
    notify(
        event=f"visit.confirmed:{visit.public_id}:{visit.version}",
        case=access.case,
        verb="visit.confirmed",
        subject=f"{access.horse.name}: {visit.planned_on:%-d %B} is confirmed",
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    return visit


def _gone_meanwhile(access: CaseAccess, version: int, kind: str, mine: dict[str, Any]) -> Conflict:
    """The visit that was to be moved is not planned any more: cancelled, or kept."""
    visits = Visit.objects.filter(horse=access.horse, kind=kind, version__gte=version)
    gone = visits.order_by("version").first()
    who, at = last_saved(access, gone.public_id) if gone else ("", None)
    theirs = {"planned_on": None, "words": gone.get_status_display() if gone else ""}
    return Conflict(mine, theirs, who=who, at=at, version=0)


@transaction.atomic
def visit_cancel(
    *,
    access: CaseAccess,
    public_id: str,
    reason: str,
    version: int | None = None,
    now: datetime,
) -> Visit:
    """Cancels a planned visit. Raises Conflict when it is no longer the `version` that was seen."""
    require(access, "visit.plan")
    horse_lock(access.horse)
    visit = (
        Visit.objects.select_for_update(no_key=True)
        .filter(horse=access.horse, public_id=public_id)
        .first()
    )
    if visit is None:
        raise Http404("no such visit")
    mine = {"status": Visit.Status.CANCELLED, "words": reason}
    theirs = {
        "status": visit.status,
        "planned_on": visit.kept_on or visit.planned_on,
        "words": visit.words if visit.status == Visit.Status.KEPT else visit.status_reason,
    }
    if (visit.status, visit.status_reason) == (Visit.Status.CANCELLED, reason):
        return visit  # the same form sent twice
    if visit.status != Visit.Status.PLANNED:
        raise conflict_over(access, visit, mine=mine, theirs=theirs)
    version_check(access, visit, version, mine=mine, theirs=theirs)
    visit.status, visit.status_reason = Visit.Status.CANCELLED, reason
    visit.version, visit.changed_at = visit.version + 1, now
    visit.save(update_fields=["status", "status_reason", "version", "changed_at"])
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="visit.cancelled",
        subject=visit.public_id,
        after={"on": str(visit.planned_on), "reason": reason},
        now=now,
    )
    notify(
        event=f"visit.cancelled:{visit.public_id}",
        case=access.case,
        verb="visit.cancelled",
        subject=f"{access.horse.name}: the visit on {visit.planned_on:%-d %B} was cancelled",
        body=reason,
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    evaluation_enqueue(access.horse, now=now)
    return visit


def vet_visit_keep(access: CaseAccess, on: date, now: datetime) -> None:
    """An examination about the planned day is that vet visit, kept."""
    visit = _planned(access.horse, Visit.Kind.VET)
    if visit is None or visit.planned_on is None or abs((visit.planned_on - on).days) > SAME_VISIT:
        return
    visit.status, visit.kept_on, visit.person = Visit.Status.KEPT, on, access.person
    visit.person_role, visit.person_name = access.role, str(access.person)
    visit.version, visit.changed_at = visit.version + 1, now
    visit.save()


def vet_visit_follow(access: CaseAccess, told_at: datetime, on: date | None, now: datetime) -> None:
    """The vet visit that an examination written down at `told_at` had kept goes along with its
    correction to another day; taken back (None), it is planned again, or cancelled where another
    one is planned by now."""
    kept = (
        Visit.objects.select_for_update(no_key=True, of=("self",))
        .filter(
            horse=access.horse,
            kind=Visit.Kind.VET,
            status=Visit.Status.KEPT,
            person=access.person,
            changed_at=told_at,
        )
        .first()
    )
    if kept is None:
        return
    kept.kept_on = on
    if on is None:
        other = _planned(access.horse, Visit.Kind.VET)
        kept.status = Visit.Status.CANCELLED if other else Visit.Status.PLANNED
        kept.person, kept.person_role, kept.person_name = None, "", ""
    kept.version, kept.changed_at = kept.version + 1, now
    kept.save()


SAME_VISIT = 7  # days between the planned day and the examination; house default

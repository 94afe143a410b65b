"""A visit that was written up and should not have been: kept, struck through, and counted no more."""

from collections.abc import Callable
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import TEAM_AUDIENCE, CaseAccess, access_on, require
from horses.domain.wording import day_words, listed
from horses.ledger.append import history_append
from horses.models import Flag, FlagAnswer, Foot, Membership, Role, ShoeChange, Visit
from horses.models.base import AppendOnly
from horses.notices.create import notify
from horses.queries.board import flag_is_open
from horses.queries.shoes import open_losses
from horses.queries.versions import next_day_of, visit_moments, visit_versions
from horses.rules.engine import evaluation_enqueue
from horses.services.visit_planning import VisitRefused, horse_lock


def may_void(access: CaseAccess, visit: Visit) -> bool:
    """Whoever wrote it up; or a colleague of their role once they are no longer on the team."""
    if access.role != Role.FARRIER or visit.kind != Visit.Kind.FARRIER:
        return False
    if visit.person_id == access.person.pk:
        return True
    still = Membership.objects.filter(
        case__horse=access.horse, case__closed_at=None, person=visit.person_id, left_at=None
    )
    return not still.exists()


@transaction.atomic
def visit_void(
    *,
    access: CaseAccess,
    public_id: str,
    reason: str,
    also: Callable[[Visit], list[AppendOnly]] = lambda visit: [],
    now: datetime,
) -> Visit:
    """Takes a written-up visit back, and the next day that was planned with it.

    Its readings and trims are another app's: `measurements.services.visit_void` is the whole. What
    it takes off with the visit is done by `also`, which returns the rows that this took.
    Raises Conflict when somebody took it back first.
    """
    require(access, "visit.void")
    horse_lock(access.horse)
    visits = Visit.objects.select_for_update(no_key=True, of=("self",))
    visit = visits.filter(horse=access.horse, public_id=public_id).first()
    if visit is None or visit.status not in (Visit.Status.KEPT, Visit.Status.VOIDED):
        raise Http404("no such visit")
    if not may_void(access, visit):
        raise PermissionDenied(
            f"{visit.person_name} wrote this visit up. Ask them to take it back."
        )
    if not reason.strip():
        raise VisitRefused("Say why it is taken back: the line stays on the board.")
    if visit.status == Visit.Status.VOIDED:
        if visit.status_reason == reason:
            return visit  # the same form sent twice
        raise Conflict(
            {"reason": reason},
            {"reason": visit.status_reason},
            who=visit.voided_name,
            at=visit.voided_at,
        )
    visit_put_off(access, visit, reason, now)
    feet = [work.foot for work in visit.work.all()]
    assert visit.kept_on is not None
    losses_reopen(access, visit, now)
    rows = also(visit)
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="visit.voided",
        subject=visit.public_id,
        now=now,
        rows=rows,
        before={"on": str(visit.kept_on), "words": visit.words, "by": visit.person_name},
        after={
            "on": str(visit.kept_on),
            "feet": feet,
            "reason": reason,
            "items": _items_of(access, visit),
        },
    )
    _next_off(access, visit, reason, now)
    notify(
        event=f"visit.voided:{visit.public_id}",
        case=access.case,
        verb="visit.voided",
        subject=f"{access.horse.name}: {access.person} took back the visit of "
        f"{day_words(visit.kept_on)}",
        body=reason,
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    evaluation_enqueue(access.horse, now=now)
    return visit


def visit_put_off(access: CaseAccess, visit: Visit, reason: str, now: datetime) -> None:
    """Strikes it through: it stays, and counts no more. Runs under the horse's lock."""
    visit.status, visit.status_reason = Visit.Status.VOIDED, reason
    visit.voided_at, visit.voided_name, visit.voided_role = now, str(access.person), access.role
    visit.version, visit.changed_at = visit.version + 1, now
    visit.save(
        update_fields=[
            "status",
            "status_reason",
            "voided_at",
            "voided_name",
            "voided_role",
            "version",
            "changed_at",
        ]
    )


def _items_of(access: CaseAccess, visit: Visit) -> list[int]:
    """The plan items of this board that the visit had said something of: no word of it counts."""
    marks = visit.outcomes.filter(version__item__case=access.case)
    return sorted(set(marks.values_list("version__item__number", flat=True)))


def _next_off(access: CaseAccess, visit: Visit, reason: str, now: datetime) -> None:
    planned = next_day_of(visit_versions(visit))
    if planned is not None:
        day_put_off(access, planned, reason, now)


def day_put_off(access: CaseAccess, planned: Visit, reason: str, now: datetime) -> None:
    """Cancels a day that had been planned with a visit. Runs under the horse's lock."""
    planned.status, planned.status_reason = Visit.Status.CANCELLED, reason
    planned.version, planned.changed_at = planned.version + 1, now
    planned.save(update_fields=["status", "status_reason", "version", "changed_at"])
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="visit.cancelled",
        subject=planned.public_id,
        now=now,
        after={"on": str(planned.planned_on), "reason": reason},
    )


def losses_reopen(access: CaseAccess, visit: Visit, now: datetime) -> None:
    """A lost shoe that this visit had settled is lost again: its flag opens once more."""
    settled = FlagAnswer.objects.filter(
        flag__case__horse=access.horse,
        kind=FlagAnswer.Kind.SHOE_BACK,
        answered_by=visit.person,
        answered_at__in=visit_moments(visit_versions(visit)),
    )
    flags = Flag.objects.filter(
        pk__in=settled.values("flag"), shoe_changes__kind=ShoeChange.Kind.LOST
    )
    for flag in flags.select_related("case__horse").prefetch_related("answers").distinct():
        here = access_on(access.person, flag.case)
        open_feet = open_losses(access.horse, flag)
        if here is None or not flag.case.is_open or not open_feet or flag_is_open(flag):
            continue
        feet = listed(Foot(foot).label for foot in open_feet)
        became = "corrected" if visit.status == Visit.Status.KEPT else "taken back"
        words = f"Not seen to after all: the visit was {became} ({feet})."
        answer = FlagAnswer.objects.create(
            flag=flag,
            answered_by=access.person,
            answered_role=here.role,
            answered_at=now,
            kind=FlagAnswer.Kind.REOPENED,
            words=words,
            closes=False,
        )
        history_append(
            case=flag.case,
            actor=access.person,
            role=here.role,
            verb="flag.reopened",
            subject=flag.public_id,
            after={"feet": open_feet},
            now=now,
            rows=[answer],
        )

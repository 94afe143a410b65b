"""A visit that was written up and should not have been: kept, struck through, and counted no more."""

from collections.abc import Callable
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess, access_on
from horses.domain.wording import day_words, listed
from horses.models import Flag, FlagAnswer, Foot, Membership, Role, ShoeChange, Visit
from horses.models.base import AppendOnly
from horses.models.visit_life import VisitChange
from horses.queries.board import flag_is_open
from horses.queries.shoes import open_losses
from horses.queries.versions import next_day_of, visit_moments, visit_versions
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.visit_planning import horse_lock, visit_call_off

NOT_YOURS = "{} wrote this visit up. Ask them to take it back."


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
    with deed(access, "visit.void", now=now) as act:
        horse_lock(access.horse)
        visit = _written_up(access, public_id)
        if not reason.strip():
            words = "Say why it is taken back: the line stays on the board."
            raise DeedRefused(words, field="reason")
        if not visit.may_turn(VisitChange.TAKE_BACK):
            if visit.status_reason == reason:
                return visit  # the same form sent twice
            raise _conflict(visit, reason)
        visit_put_off(act, visit, VisitChange.TAKE_BACK, reason)
        feet = [work.foot for work in visit.work.all()]
        day, items = str(visit.kept_on), _items_of(access, visit)
        losses_reopen(act, visit)
        act.rows(also(visit))
        before = {"on": day, "words": visit.words, "by": visit.person_name}
        after = {"on": day, "feet": feet, "reason": reason, "items": items}
        act.line("visit.voided", visit, before=before, after=after)
        if planned := next_day_of(visit_versions(visit)):
            visit_call_off(act, planned, reason)
        taken_back = f"{access.person} took back the visit of {day_words(visit.kept_on)}"
        act.tell("visit.voided", visit, f"{access.horse.name}: {taken_back}", body=reason)
        act.evaluate()
        return visit


def _written_up(access: CaseAccess, public_id: str) -> Visit:
    visits = Visit.objects.written_up().select_for_update(no_key=True, of=("self",))
    visit = visits.filter(horse=access.horse, public_id=public_id).first()
    if visit is None:
        raise Http404("no such visit")
    if not may_void(access, visit):
        raise PermissionDenied(NOT_YOURS.format(visit.person_name))
    return visit


def _conflict(visit: Visit, reason: str) -> Conflict:
    theirs = {"reason": visit.status_reason}
    return Conflict({"reason": reason}, theirs, who=visit.voided_name, at=visit.voided_at)


def visit_put_off(act: Deed, visit: Visit, change: VisitChange, reason: str) -> None:
    """Strikes it through: it stays, and counts no more. Runs under the horse's lock."""
    visit.turn(change, act.now)
    visit.status_reason, visit.voided_at = reason, act.now
    visit.voided_name, visit.voided_role = str(act.access.person), act.access.role
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


def losses_reopen(act: Deed, visit: Visit) -> None:
    """A lost shoe that this visit had settled is lost again: its flag opens once more."""
    access = act.access
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
        _reopen(act.on(here), flag, open_feet, "corrected" if visit.is_kept else "taken back")


def _reopen(act: Deed, flag: Flag, feet: list[str], became: str) -> None:
    named = listed(Foot(foot).label for foot in feet)
    act.row(
        FlagAnswer.objects.create(
            flag=flag,
            answered_by=act.access.person,
            answered_role=act.access.role,
            answered_at=act.now,
            kind=FlagAnswer.Kind.REOPENED,
            words=f"Not seen to after all: the visit was {became} ({named}).",
            closes=False,
        )
    )
    act.line("flag.reopened", flag, after={"feet": feet})

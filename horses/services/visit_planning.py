"""The next visit: planned for somebody, moved, confirmed by the other side, cancelled."""

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django.conf import settings
from django.db.models import Max
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess
from horses.domain.agreement import side_of
from horses.models import Horse, Membership, Person, Visit
from horses.models.visit import ROLE_OF_KIND
from horses.models.visit_life import VisitChange, status_after
from horses.notices.create import Words
from horses.rules.missed_visits import is_unheard, visit_mark_unheard
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.versions import conflict_over, last_saved, version_check

FARRIER = Visit.Kind.FARRIER
VISIT_WORDS = {FARRIER: "next visit", Visit.Kind.VET: "vet visit"}


@dataclass(frozen=True)
class Told:
    """One notice for a deed on several horses: its event, and what each person reads of it."""

    event: str
    subject: Words


def horse_lock(horse: Horse) -> None:
    """Visits and trims hang on the horse: two people writing them at once do it one by one."""
    Horse.objects.select_for_update(no_key=True).get(pk=horse.pk)


def planned_visit(horse: Horse, kind: str) -> Visit | None:
    """The next visit of the kind, kept as it is to the end of the transaction."""
    planned = Visit.objects.planned().filter(horse=horse, kind=kind)
    locked = planned.select_for_update(no_key=True, of=("self",)).select_related("planned_for")
    return locked.order_by("planned_on").first()


def expected_by_default(access: CaseAccess, kind: str) -> Person | None:
    """Who comes when nobody was named: the one who plans, or the only one of the role."""
    role = ROLE_OF_KIND[kind]
    if access.role == role:
        return access.person
    members = Membership.objects.filter(
        case=access.case, role=role, stand_in=False, left_at__isnull=True
    ).select_related("person")
    found = list(members[:2])
    return found[0].person if len(found) == 1 else None


def plan_put(
    act: Deed,
    on: date,
    words: str,
    *,
    kind: str = FARRIER,
    who: Person | None = None,
    at: time | None = None,
) -> Visit:
    """One planned visit of a kind at a time: planning again moves it.

    A day that has passed without a word stays as it is, and a new visit stands beside it.
    """
    access, now = act.access, act.now
    visit = planned_visit(access.horse, kind)
    if visit is not None and is_unheard(visit.planned_on, now.date()):
        visit_mark_unheard(visit, now)
        visit = None
    who = who or (visit.planned_for if visit else None) or expected_by_default(access, kind)
    if visit is not None and _stands(visit) == (on, at, words, who):
        return visit  # as it stood: nothing to tell
    before = {"on": str(visit.planned_on), **_clock(visit.planned_time)} if visit else None
    if visit is None:
        visit = _new_visit(access, kind, now)
    else:
        visit.turn(VisitChange.MOVE, now)
    visit.planned_on, visit.status_reason, visit.planned_for = on, words, who
    visit.planned_time, visit.planned_zone = at, settings.TIME_ZONE if at else ""
    visit.day_order = None
    visit.planned_by_role, visit.recorded_at = access.role, now
    visit.confirmed_at, visit.confirmed_name, visit.confirmed_role = None, "", ""
    visit.save()
    after = {"on": str(on), "words": words, "kind": str(kind), "who": str(who or ""), **_clock(at)}
    act.line("visit.moved" if before else "visit.planned", visit, before=before, after=after)
    return visit


def _stands(visit: Visit) -> tuple[date | None, time | None, str, Person | None]:
    return visit.planned_on, visit.planned_time, visit.status_reason, visit.planned_for


def _clock(at: time | None) -> dict[str, str]:
    """For the line of history: only where a time was said."""
    return {"at": f"{at:%H:%M}"} if at else {}


def _new_visit(access: CaseAccess, kind: str, now: datetime) -> Visit:
    return Visit(
        horse=access.horse,
        case=access.case,
        kind=kind,
        status=Visit.Status.PLANNED,
        version=_next_version(access.horse),
        changed_at=now,
    )


def next_put(act: Deed, on: date, *, moves: bool) -> None:
    """The next day, said while writing up a visit. One that is booked already stays: it may be
    confirmed, and moving it is a deed of its own."""
    booked = planned_visit(act.access.horse, FARRIER)
    stands = booked is not None and not is_unheard(booked.planned_on, act.now.date())
    if stands and not moves:
        return
    words = booked.status_reason if booked is not None and stands else ""
    same_day = booked is not None and booked.planned_on == on
    plan_put(act, on, words, at=booked.planned_time if booked is not None and same_day else None)


def _next_version(horse: Horse) -> int:
    """Goes on from the horse's earlier visits: a version seen of one never fits another."""
    newest = Visit.objects.filter(horse=horse).aggregate(newest=Max("version"))["newest"]
    return int(newest or 0) + 1


def visit_plan(
    *,
    access: CaseAccess,
    on: date,
    at: time | None = None,
    words: str = "",
    kind: str = FARRIER,
    member_id: str = "",
    moved_id: str = "",
    version: int | None = None,
    told: Told | None = None,
    now: datetime,
) -> Visit:
    """Plans the next visit or moves it. `member_id` names who is to come; `at` is the clock where
    the horse stands; `moved_id`: a visit whose day has passed, and which was put on this one;
    `told`: the notice is that of several horses.

    `version` is the one that the person saw; 0: none was planned; None: not asked. Raises Conflict
    when somebody planned, moved, cancelled or kept it meanwhile.
    """
    with deed(access, "visit.plan", now=now) as act:
        if on < now.date():
            raise DeedRefused("This day has passed. Choose today or a later day.", field="on")
        horse_lock(access.horse)
        who = _member(access, kind, member_id) if member_id else None
        current = planned_visit(access.horse, kind)
        mine = {"planned_on": on, "words": words}
        if current is not None:
            theirs = {"planned_on": current.planned_on, "words": current.status_reason}
            version_check(access, current, version, mine=mine, theirs=theirs)
        elif version:
            raise _gone_meanwhile(access, version, kind, mine)
        visit = plan_put(act, on, words, kind=kind, who=who, at=at)
        if moved_id and moved_id != visit.public_id:
            _moved_off(act, moved_id, on)
        comes = f", {visit.planned_for} comes" if visit.planned_for else ""
        what = f"{VISIT_WORDS[Visit.Kind(kind)]} on {visit.planned_words}{comes}"
        # moved again, it is told again
        one = Told(f"{visit.public_id}:{visit.version}", f"{access.horse.name}: {what}")
        _tell(act, "visit.planned", told or one, words)
        act.evaluate()
        return visit


def _moved_off(act: Deed, moved_id: str, on: date) -> None:
    """The visit of the day that passed did not take place then: nobody is asked about it any more."""
    passed = Visit.objects.missed().filter(horse=act.access.horse, public_id=moved_id)
    visit = passed.select_for_update(no_key=True).first()
    if visit is not None:
        denial_put(act, visit, f"Moved to {on:%-d %b %Y}.")


def denial_put(act: Deed, visit: Visit, words: str) -> None:
    """Writes down that it did not take place, with its line. Runs under the horse's lock."""
    visit.turn(VisitChange.DENY, act.now)
    visit.words = words
    visit_sign(act, visit)
    visit.save()
    act.line("visit.denied", visit, after={"on": str(visit.planned_on), "words": words})


def visit_sign(act: Deed, visit: Visit) -> None:
    """Whose word it is."""
    visit.reported_by, visit.reported_name = act.access.person, str(act.access.person)
    visit.reported_role, visit.reported_at = act.access.role, act.now


def _tell(act: Deed, verb: str, told: Told, body: str = "") -> None:
    act.tell(verb, told.event, told.subject, body=body)


def _member(access: CaseAccess, kind: str, member_id: str) -> Person:
    member = (
        Membership.objects.filter(
            case=access.case,
            public_id=member_id,
            left_at__isnull=True,
            role=ROLE_OF_KIND[kind],
        )
        .select_related("person")
        .first()
    )
    if member is None:
        words = "This person is no longer on the team. Choose somebody else."
        raise DeedRefused(words, field="who")
    return member.person


def visit_confirm(
    *, access: CaseAccess, public_id: str, told: Told | None = None, now: datetime
) -> Visit:
    """The other side says that the day suits; a day that is moved has to be confirmed anew."""
    with deed(access, "visit.confirm", now=now) as act:
        horse_lock(access.horse)
        visits = Visit.objects.planned().select_for_update(no_key=True)
        visit = visits.filter(horse=access.horse, public_id=public_id).first()
        if visit is None:
            raise Http404("no such planned visit")
        if side_of(visit.planned_by_role) == access.role:
            raise DeedRefused("Your side planned this day: it is for the others to confirm it.")
        if visit.confirmed_at is not None:
            return visit
        # The version stays: nothing that anybody wrote has changed, and whoever moves the day
        # meanwhile overwrites no words. A day that is moved is confirmed anew.
        visit.status = status_after(visit.status, VisitChange.CONFIRM)
        visit.confirmed_at, visit.changed_at = now, now
        visit.confirmed_name, visit.confirmed_role = str(access.person), access.role
        visit.save(update_fields=["confirmed_at", "confirmed_name", "confirmed_role", "changed_at"])
        act.line("visit.confirmed", visit, after={"on": str(visit.planned_on)})
        subject = f"{access.horse.name}: {visit.planned_on:%-d %b %Y} is confirmed"
        one = Told(f"{visit.public_id}:{visit.version}", subject)
        _tell(act, "visit.confirmed", told or one)
        return visit


def _gone_meanwhile(access: CaseAccess, version: int, kind: str, mine: dict[str, Any]) -> Conflict:
    """The visit that was to be moved is not planned any more: cancelled, or kept."""
    visits = Visit.objects.filter(horse=access.horse, kind=kind, version__gte=version)
    gone = visits.order_by("version").first()
    who, at = last_saved(access, gone.public_id) if gone else ("", None)
    theirs = {"planned_on": None, "words": gone.get_status_display() if gone else ""}
    return Conflict(mine, theirs, who=who, at=at, version=0)


def visit_cancel(
    *,
    access: CaseAccess,
    public_id: str,
    reason: str,
    version: int | None = None,
    told: Told | None = None,
    now: datetime,
) -> Visit:
    """Cancels a planned visit. Raises Conflict when it is no longer the `version` that was seen."""
    with deed(access, "visit.plan", now=now) as act:
        horse_lock(access.horse)
        visits = Visit.objects.select_for_update(no_key=True).filter(horse=access.horse)
        visit = visits.filter(public_id=public_id).first()
        if visit is None:
            raise Http404("no such visit")
        mine = {"status": Visit.Status.CANCELLED, "words": reason}
        if visit.is_cancelled and visit.status_reason == reason:
            return visit  # the same form sent twice
        theirs = {
            "status": visit.status,
            "planned_on": visit.kept_on or visit.planned_on,
            "words": visit.words if visit.is_kept else visit.status_reason,
        }
        if not visit.may_turn(VisitChange.CANCEL):
            raise conflict_over(access, visit, mine=mine, theirs=theirs)
        version_check(access, visit, version, mine=mine, theirs=theirs)
        visit_call_off(act, visit, reason)
        day = f"{visit.planned_on:%-d %b %Y}"
        subject = f"{access.horse.name}: the visit on {day} was cancelled"
        _tell(act, "visit.cancelled", told or Told(visit.public_id, subject), reason)
        act.evaluate()
        return visit


def visit_call_off(act: Deed, visit: Visit, reason: str) -> None:
    """Cancels a planned visit, with its line. Runs under the horse's lock."""
    visit.turn(VisitChange.CANCEL, act.now)
    visit.status_reason = reason
    visit.save(update_fields=["status", "status_reason", "version", "changed_at"])
    act.line("visit.cancelled", visit, after={"on": str(visit.planned_on), "reason": reason})


def vet_visit_keep(access: CaseAccess, on: date, now: datetime) -> None:
    """An examination about the planned day is that vet visit, kept; also where somebody reported it."""
    visit = _reported_vet_visit(access.horse) or planned_visit(access.horse, Visit.Kind.VET)
    if visit is None or visit.planned_on is None or abs((visit.planned_on - on).days) > SAME_VISIT:
        return
    visit.turn(VisitChange.EXAMINE, now)
    visit.kept_on, visit.person = on, access.person
    visit.person_role, visit.person_name = access.role, str(access.person)
    visit.save()


def _reported_vet_visit(horse: Horse) -> Visit | None:
    reports = Visit.objects.reported().filter(
        horse=horse, kind=Visit.Kind.VET, planned_on__isnull=False
    )
    return reports.select_for_update(no_key=True, of=("self",)).order_by("-kept_on").first()


def vet_visit_follow(access: CaseAccess, told_at: datetime, on: date | None, now: datetime) -> None:
    """The vet visit that an examination written down at `told_at` had kept goes along with its
    correction to another day; taken back (None), it is planned again, or cancelled where another
    one is planned by now."""
    kept = Visit.objects.kept().select_for_update(no_key=True, of=("self",))
    visit = kept.filter(
        horse=access.horse, kind=Visit.Kind.VET, person=access.person, changed_at=told_at
    ).first()
    if visit is None:
        return
    visit.kept_on = on
    if on is not None:
        visit.turn(VisitChange.EXAM_MOVED, now)
    else:
        beside = planned_visit(access.horse, Visit.Kind.VET)
        visit.turn(
            VisitChange.EXAM_TAKEN_BACK_BESIDE if beside else VisitChange.EXAM_TAKEN_BACK, now
        )
        visit.person, visit.person_role, visit.person_name = None, "", ""
        visit.reported_by, visit.reported_at = None, None
        visit.reported_name, visit.reported_role = "", ""
    visit.save()


SAME_VISIT = 7  # days between the planned day and the examination; house default

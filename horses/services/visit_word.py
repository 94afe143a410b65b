"""The word of somebody who did not do the work: a visit took place, or did not.

Decided 2026-11:
- a report says "as before" and no more: no work on a foot and no reading is made up from it. Its
  trims are what dates the cycles.
- a report is taken up by the planned visit of about that day, so that one visit stays one row. Taken
  back, that day is planned again, and it is asked about anew.
- two who report one visit on two days of the same week would date two trims, and a cycle of a day:
  the second is refused, unless another day had been planned about then. Whoever did the work says
  by writing it up that they came again.
- ten minutes without a reason: a wrong tap. After that with one, so that an owner without anybody
  else on the board can put a mistake right; once it is confirmed, only whoever confirmed it can.
"""

from datetime import date, datetime, timedelta

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404

from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import Foot, Horse, Trim, Visit
from horses.models.visit import ROLE_OF_KIND
from horses.models.visit_life import VisitChange
from horses.queries.versions import next_day_of
from horses.queries.visit_questions import UNDO_FOR
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.visit_planning import (
    SAME_VISIT,
    denial_put,
    expected_by_default,
    horse_lock,
    next_put,
    planned_visit,
    visit_call_off,
    visit_sign,
)
from horses.services.visits import TrimsOff, day_check, trim_ensure, trims_off

FARRIER = Visit.Kind.FARRIER
SAID_MEANWHILE = "Somebody has said meanwhile what became of this visit."
CAME_AGAIN = "If somebody came again, whoever did the work writes it up."


def visit_report(
    *,
    access: CaseAccess,
    on: date,
    kind: str = FARRIER,
    words: str = "",
    next_on: date | None = None,
    visit_id: str = "",
    client_key: str = "",
    now: datetime,
) -> Visit:
    """Somebody who did not do the work says that the visit took place: all four feet as before.

    `visit_id`: the visit that was asked about. A next visit that is booked already stays.
    """
    with deed(access, "visit.report", now=now, key=client_key) as act:
        day_check(on, now)
        if next_on is not None and next_on <= now.date():
            raise DeedRefused("The next visit must be a day to come.", field="next_on")
        payload = {
            "case": access.case.public_id,
            "on": on,
            "kind": kind,
            "words": words,
            "next": next_on,
            "visit": visit_id,
        }
        if earlier := act.made_before(Visit, payload):
            return earlier
        horse_lock(access.horse)
        if before := _told_already(access.horse, kind, on):
            raise DeedRefused(before, field="kept_on")
        visit = _about(access.horse, kind, on, visit_id)
        if visit is None:
            if kind == FARRIER and (before := _trimmed_about_then(access.horse, on)):
                raise DeedRefused(before, field="kept_on")
            visit = Visit(
                horse=access.horse,
                case=access.case,
                kind=kind,
                status=Visit.Status.REPORTED,
                changed_at=now,
            )
        else:
            visit.turn(VisitChange.REPORT, now)
        visit.planned_for = visit.planned_for or expected_by_default(access, kind)
        visit.kept_on, visit.words, visit.recorded_at = on, words, now
        visit_sign(act, visit)
        visit.save()
        if kind == FARRIER:
            for foot in Foot.values:
                act.rows(trim_ensure(access.horse, foot, on, visit=visit, now=now))
        after = {"on": str(on), "kind": kind, "words": words, "who": str(visit.planned_for or "")}
        act.line("visit.reported", visit, after=after)
        if next_on is not None:
            next_put(act, next_on, moves=False)
        _tell(act, visit, "visit.reported", f"{_who(visit)} was here on {day_words(on)}", words)
        act.evaluate()
        return act.made(visit)


def visit_deny(*, access: CaseAccess, public_id: str, words: str = "", now: datetime) -> Visit:
    """Somebody says that a planned visit did not take place: its day is asked about no more."""
    with deed(access, "visit.report", now=now) as act:
        horse_lock(access.horse)
        visit = _locked(access.horse, public_id)
        if visit.is_denied:
            return visit  # the same button twice
        if visit.planned_on is None or visit.planned_on > now.date():
            raise DeedRefused("This day is still to come. Move or cancel the visit instead.")
        if not visit.may_turn(VisitChange.DENY):
            raise DeedRefused(SAID_MEANWHILE)
        denial_put(act, visit, words)
        _tell(act, visit, "visit.denied", f"the visit of {_day(visit)} did not take place", words)
        act.evaluate()
        return visit


def _tell(act: Deed, visit: Visit, verb: str, what: str, words: str) -> None:
    """Said again after it was taken back, it is told again."""
    event = f"{visit.public_id}:{visit.version}"
    act.tell(verb, event, f"{act.access.horse.name}: {act.access.person} says {what}", body=words)


def _who(visit: Visit) -> str:
    return str(visit.planned_for or f"the {ROLE_OF_KIND[visit.kind]}")


def _day(visit: Visit) -> str:
    return day_words(visit.kept_on or visit.planned_on)


def _told_already(horse: Horse, kind: str, on: date) -> str:
    visit = Visit.objects.took_place().filter(horse=horse, kind=kind, kept_on=on).first()
    if visit is None:
        return ""
    if visit.is_reported:
        return f"{visit.reported_name} has said so already, for {day_words(on)}."
    return f"{visit.person_name} has written up the visit of {day_words(on)} already."


def _trimmed_about_then(horse: Horse, on: date) -> str:
    """A trim of a day so near, and none of the day itself: most likely the same visit."""
    around = (on - timedelta(days=SAME_VISIT), on + timedelta(days=SAME_VISIT))
    days = set(
        Trim.objects.in_force()
        .filter(horse=horse, trimmed_on__range=around)
        .values_list("trimmed_on", flat=True)
    )
    if not days or on in days:
        return ""
    nearest = min(days, key=lambda day: (abs(day - on), day))
    told = _told_already(horse, FARRIER, nearest)
    return f"{told or f'The trim of {day_words(nearest)} is on the board already.'} {CAME_AGAIN}"


def _about(horse: Horse, kind: str, on: date, visit_id: str) -> Visit | None:
    """The visit that the report is of: the one asked about, or one that was planned for about then."""
    visits = Visit.objects.select_for_update(no_key=True, of=("self",)).filter(
        horse=horse, kind=kind
    )
    visits = visits.select_related("planned_for")
    if visit_id:
        named = visits.filter(public_id=visit_id).first()
        if named is None or not named.may_turn(VisitChange.REPORT):
            raise DeedRefused(SAID_MEANWHILE)
        return named
    around = (on - timedelta(days=SAME_VISIT), on + timedelta(days=SAME_VISIT))
    near = visits.filter(planned_on__range=around).order_by("-planned_on")
    open_ones = [visit for visit in near if visit.may_turn(VisitChange.REPORT)]
    return min(open_ones, key=lambda visit: _apart(visit, on), default=None)


def _apart(visit: Visit, on: date) -> int:
    assert visit.planned_on is not None
    return abs((visit.planned_on - on).days)


def _locked(horse: Horse, public_id: str) -> Visit:
    visits = Visit.objects.select_for_update(no_key=True, of=("self",)).filter(horse=horse)
    visit = visits.select_related("planned_for").filter(public_id=public_id).first()
    if visit is None:
        raise Http404("no such visit")
    return visit


# -- taken back


def may_take_back(access: CaseAccess, visit: Visit) -> bool:
    """Whoever said it, and whoever is said to have done the work: their role knows."""
    by_role = access.role == ROLE_OF_KIND[visit.kind]
    return access.person.pk == visit.reported_by_id or by_role


def may_undo(access: CaseAccess, visit: Visit, now: datetime) -> bool:
    """A wrong tap of one's own, without a reason, while it is fresh."""
    said = visit.reported_at
    return access.person.pk == visit.reported_by_id and said is not None and now - said <= UNDO_FOR


def report_take_back(
    *,
    access: CaseAccess,
    public_id: str,
    reason: str = "",
    also: TrimsOff = trims_off,
    now: datetime,
) -> Visit:
    """What somebody said of a visit is taken back, and the next day that was planned with it."""
    with deed(access, "visit.report", now=now) as act:
        horse_lock(access.horse)
        visit = _locked(access.horse, public_id)
        if not visit.may_turn(VisitChange.UNSAY):
            raise DeedRefused("It stands no more: confirmed, corrected or taken back meanwhile.")
        if not may_take_back(access, visit):
            raise PermissionDenied(f"{visit.reported_name} said this. Ask them to take it back.")
        if not reason.strip() and not may_undo(access, visit, now):
            words = "Say why it is taken back: the line stays on the board."
            raise DeedRefused(words, field="reason")
        day, by = visit.kept_on, visit.reported_name
        said = "not" if visit.is_denied else "took_place"
        if visit.is_reported and (planned := next_day_of([visit])):
            visit_call_off(act, planned, reason or "The visit before it was reported by mistake.")
        _unsay(act, visit, reason)
        if day is not None and visit.kind == FARRIER:
            act.rows(also(access.horse, day, now))
        before = {"on": str(day or visit.planned_on), "by": by, "said": said}
        act.line("visit.unsaid", visit, before=before, after={"reason": reason})
        subject = f"the word of {by} about {day_words(day or visit.planned_on)} is taken back"
        event = f"{visit.public_id}:{visit.version}"
        act.tell("visit.unsaid", event, f"{access.horse.name}: {subject}", body=reason)
        act.evaluate()
        return visit


def _unsay(act: Deed, visit: Visit, reason: str) -> None:
    """Planned again, where a day had been planned and no other has taken its place."""
    beside = planned_visit(visit.horse, visit.kind)
    if visit.planned_on is not None and beside is None:
        visit.turn(VisitChange.UNSAY, act.now)
        visit.kept_on, visit.words = None, ""
        visit.reported_by, visit.reported_at = None, None
        visit.reported_name, visit.reported_role = "", ""
    else:
        visit.turn(VisitChange.UNSAY_ALONE, act.now)
        visit.kept_on = visit.kept_on or visit.planned_on
        visit.status_reason, visit.voided_at = reason or "said by mistake", act.now
        visit.voided_name, visit.voided_role = str(act.access.person), act.access.role
    visit.save()


# -- many horses at once


@transaction.atomic
def visits_report(
    *,
    boards: list[CaseAccess],
    on: date,
    words: str = "",
    next_on: date | None = None,
    client_key: str = "",
    now: datetime,
) -> tuple[list[Visit], list[str]]:
    """The same word about several horses: all that could be said, and of the others why not."""
    made: list[Visit] = []
    not_made: list[str] = []
    # Horses are locked in one order: two people with different boards of them never wait for each other.
    for access in sorted(boards, key=lambda board: board.case.horse_id):
        key = f"{client_key}-{access.case.pk}"[-64:] if client_key else ""
        try:
            made.append(
                visit_report(
                    access=access, on=on, words=words, next_on=next_on, client_key=key, now=now
                )
            )
        except DeedRefused as refused:
            not_made.append(f"{access.horse.name}: {refused}")
    return made, not_made

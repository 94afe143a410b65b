"""Visits: planned, kept with the work on each foot, moved, cancelled."""

from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Q

from horses.access import CaseAccess
from horses.models import (
    Foot,
    FootWork,
    Horse,
    PlanItem,
    PlanItemOutcome,
    PlanItemVersion,
    Trim,
    TrimEvent,
    Visit,
)
from horses.models.base import AppendOnly
from horses.models.visit_life import VisitChange
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.shoes import losses_settle
from horses.services.visit_planning import SAME_VISIT, horse_lock, next_put

PLAN_CHANGED = (
    "The plan was changed while you were writing. Look at the plan items, then save again."
)


@dataclass(frozen=True)
class WorkDone:
    """What was done on one foot and how it was left."""

    foot: str
    trimmed: bool
    shoeing_left: str
    shoe: str = "none"
    shoe_words: str = ""
    wedge_deg: Decimal | None = None
    words: str = ""
    kind: str = ""
    material: str = ""
    size: str = ""
    pad: str = ""
    clips: str = ""
    studs: str = ""
    nails: int | None = None  # 0: glued or cuffed on
    wear: str = ""
    landing: str = ""


@dataclass(frozen=True)
class ItemOutcome:
    version_id: str  # public id of the exact version that was carried out
    result: str
    words: str = ""


def _work_words(done: WorkDone) -> str:
    return done.words or ("trimmed" if done.trimmed else "looked at")


def trim_ensure(
    horse: Horse, foot: str, on: date, *, visit: Visit | None, now: datetime
) -> list[AppendOnly]:
    """The trim of this foot on this day, made if it is not there yet or was taken back. Returns the
    rows that this took."""
    return list(trims_ensure(horse, {(foot, on)}, visit=visit, now=now).values())


def trims_ensure(
    horse: Horse, feet_on: Iterable[tuple[str, date]], *, visit: Visit | None, now: datetime
) -> dict[tuple[str, date], AppendOnly]:
    """The same for feet on days, all in one go. Under the horse's lock: nobody else writes a trim of
    it meanwhile."""
    trimmed = sorted(set(feet_on))
    if not trimmed:
        return {}
    days = [on for _, on in trimmed]
    about_then = Trim.objects.filter(horse=horse, trimmed_on__range=(min(days), max(days)))
    there = {(trim.foot, trim.trimmed_on): trim for trim in about_then}
    stand = set(about_then.in_force().values_list("foot", "trimmed_on")) if there else set()
    new = [
        Trim(horse=horse, foot=foot, trimmed_on=on, visit=visit, recorded_at=now)
        for foot, on in trimmed
        if (foot, on) not in there
    ]
    back = [
        TrimEvent(trim=there[place], stands=True, said_at=now)
        for place in trimmed
        if place in there and place not in stand
    ]
    made: list[Trim] = Trim.objects.bulk_create(new)
    said: list[TrimEvent] = TrimEvent.objects.bulk_create(back)
    return {
        **{(trim.foot, trim.trimmed_on): trim for trim in made},
        **{(event.trim.foot, event.trim.trimmed_on): event for event in said},
    }


def trim_take_back(horse: Horse, foot: str, on: date, *, now: datetime) -> list[AppendOnly]:
    """What spoke of this trim was a mistake; it stands all the same when the farrier wrote it up, or
    somebody reported a visit of that day."""
    work = FootWork.objects.in_force().filter(
        visit__horse=horse, visit__kept_on=on, foot=foot, trimmed=True
    )
    trim = Trim.objects.in_force().filter(horse=horse, foot=foot, trimmed_on=on).first()
    reports = Visit.objects.reported().filter(horse=horse, kind=Visit.Kind.FARRIER, kept_on=on)
    if trim is None or work.exists() or reports.exists():
        return []
    return [TrimEvent.objects.create(trim=trim, stands=False, said_at=now)]


TrimsOff = Callable[[Horse, date, datetime], list[AppendOnly]]


def trims_off(horse: Horse, on: date, now: datetime) -> list[AppendOnly]:
    """The trims of a day that nobody else speaks of. Readings are another app's:
    `measurements.services.readings.trims_follow` asks them as well."""
    return [row for foot in Foot.values for row in trim_take_back(horse, foot, on, now=now)]


def visit_record(
    *,
    access: CaseAccess,
    kept_on: date,
    work: list[WorkDone],
    words: str = "",
    next_on: date | None = None,
    outcomes: list[ItemOutcome] | None = None,
    planned_id: str = "",
    move_booked: bool = False,
    trims: TrimsOff = trims_off,
    client_key: str = "",
    now: datetime,
) -> Visit:
    """The farrier writes up a visit: work on each foot, plan items carried out, next date.

    A visit that is booked already stays, whatever the next date, unless `move_booked`. What others
    reported of about that day is the same visit: it stands in the report's place.
    """
    with deed(access, "work.record", now=now, key=client_key) as act:
        day_check(kept_on, now)
        if next_on is not None and next_on <= kept_on:
            raise DeedRefused("The next visit must be after this one.", field="next_on")
        payload = {
            "case": access.case.public_id,
            "on": kept_on,
            "work": work,
            "words": words,
            "next": next_on,
            "outcomes": outcomes,
            "planned": planned_id,
            "moves": move_booked,
        }
        if earlier := act.made_before(Visit, payload):
            return earlier
        horse_lock(access.horse)
        report = report_about(access, kept_on)
        visit = _kept_visit(act, kept_on, words, planned_id, report)
        _work_write(act, visit, kept_on, work)
        if report is not None and report.kept_on is not None:
            act.rows(trims(access.horse, report.kept_on, now))
        losses_settle(act, visit, [done.foot for done in work])
        for said in outcomes or []:
            version = open_version(access, said.version_id)
            act.row(mark_write(access, version, visit, said.result, said.words, now=now))
        told = {d.foot: _work_words(d) for d in work}
        after = {"on": str(kept_on), "words": words, "work": told, **_first_told(report)}
        act.line("visit.kept", visit, after=after)
        if next_on is not None:
            next_put(act, next_on, moves=move_booked)
        subject = f"{access.horse.name}: {access.person} wrote up a visit"
        act.tell("visit.kept", visit, subject, body=words)
        act.evaluate()
        return act.made(visit)


def day_check(kept_on: date, now: datetime) -> None:
    if kept_on > now.date():
        raise DeedRefused("This day is still to come. Plan the visit instead.", field="kept_on")


def _work_write(act: Deed, visit: Visit, kept_on: date, work: list[WorkDone]) -> None:
    act.rows(FootWork.objects.bulk_create(FootWork(visit=visit, **asdict(w)) for w in work))
    trimmed = {(done.foot, kept_on) for done in work if done.trimmed}
    act.rows(trims_ensure(act.access.horse, trimmed, visit=visit, now=act.now).values())


def _kept_visit(
    act: Deed, kept_on: date, words: str, planned_id: str, report: Visit | None
) -> Visit:
    """A report or a planned visit becomes the kept one; without one a kept visit is written directly."""
    access, now = act.access, act.now
    visit = None
    if report is not None:
        visit = report_replaced(act, report, VisitChange.WRITE_UP)
    elif visit := _planned_visit(access, planned_id) or _unheard_visit(access, kept_on):
        visit.turn(VisitChange.WRITE_UP, now)
    if visit is None:
        visit = Visit(
            horse=access.horse, case=access.case, status=Visit.Status.KEPT, changed_at=now
        )
    visit.kind, visit.kept_on = Visit.Kind.FARRIER, kept_on
    visit.person, visit.person_role = access.person, access.role
    visit.person_name, visit.words, visit.recorded_at = str(access.person), words, now
    visit.save()
    return visit


def report_about(access: CaseAccess, kept_on: date) -> Visit | None:
    """What somebody reported of about this day and no farrier has confirmed yet: the same visit."""
    around = timedelta(days=SAME_VISIT)
    reports = Visit.objects.reported().select_for_update(no_key=True, of=("self",))
    about_then = reports.filter(
        horse=access.horse,
        kind=Visit.Kind.FARRIER,
        kept_on__range=(kept_on - around, kept_on + around),
    )
    return min(about_then, key=lambda report: _apart(report, kept_on), default=None)


def _apart(report: Visit, kept_on: date) -> tuple[timedelta, int]:
    """The nearest day; of two as near the one written down first."""
    assert report.kept_on is not None
    return abs(report.kept_on - kept_on), report.pk


# What a row in a visit's place takes over from it: how it had been planned, and whose word it was.
HOW_PLANNED = (
    "horse_id",
    "case_id",
    "kind",
    "planned_on",
    "planned_for_id",
    "planned_by_role",
    "confirmed_at",
    "confirmed_name",
    "confirmed_role",
    "status_reason",
    "reported_by_id",
    "reported_name",
    "reported_role",
    "reported_at",
)
OF_THE_REPORT = (*HOW_PLANNED, "kept_on")


def report_replaced(act: Deed, report: Visit, change: VisitChange) -> Visit:
    """The row of whoever did the work, not saved yet, in the place of the report, which is kept.
    Runs under the horse's lock."""
    taken_over = {name: getattr(report, name) for name in OF_THE_REPORT}
    report.turn(change, act.now)
    report.voided_at = act.now
    report.voided_name, report.voided_role = str(act.access.person), act.access.role
    report.save()
    return Visit(
        **taken_over,
        status=Visit.Status.KEPT,
        person=act.access.person,
        person_role=act.access.role,
        person_name=str(act.access.person),
        recorded_at=act.now,
        changed_at=act.now,
        version=report.version + 1,
        corrects=report,
    )


def _first_told(report: Visit | None) -> dict[str, Any]:
    if report is None:
        return {}
    return {"reported": {"by": report.reported_name, "on": str(report.kept_on)}}


def _planned_visit(access: CaseAccess, planned_id: str) -> Visit | None:
    if not planned_id:
        return None
    planned = Visit.objects.planned().select_for_update(no_key=True)
    return planned.filter(horse=access.horse, public_id=planned_id).first()


# A visit that nobody had heard of by then may still be written up as that visit. House default.
STILL_THAT_VISIT = timedelta(days=21)


def _unheard_visit(access: CaseAccess, kept_on: date) -> Visit | None:
    """The day this farrier was expected, nothing was heard, and they did come about then."""
    visits = Visit.objects.filter(horse=access.horse, kind=Visit.Kind.FARRIER)
    unheard = visits.missed_or_denied().filter(
        Q(planned_for=None) | Q(planned_for=access.person),
        planned_on__range=(kept_on - STILL_THAT_VISIT, kept_on + timedelta(days=7)),
    )
    visit = unheard.select_for_update(no_key=True).order_by("-planned_on").first()
    if visit is None or visits.kept().filter(kept_on__gte=visit.planned_on).exists():
        return None
    return visit


def open_version(access: CaseAccess, version_id: str) -> PlanItemVersion:
    """The version of an open item; the item may have been finished since the form was opened."""
    version = PlanItemVersion.objects.filter(
        item__case=access.case, item__status=PlanItem.Status.OPEN, public_id=version_id
    ).first()
    if version is None:
        raise DeedRefused(PLAN_CHANGED)
    return version


def mark_write(
    access: CaseAccess,
    version: PlanItemVersion,
    visit: Visit,
    result: str,
    words: str,
    *,
    now: datetime,
) -> PlanItemOutcome:
    """What became of a plan item at the visit."""
    return PlanItemOutcome.objects.create(
        version=version,
        visit=visit,
        result=result,
        words=words,
        recorded_by=access.person,
        recorded_at=now,
    )

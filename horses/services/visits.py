"""Visits: planned, kept with the work on each foot, moved, cancelled."""

from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import Q
from django.http import Http404

from horses.access import TEAM_AUDIENCE, CaseAccess, require
from horses.ledger.append import history_append
from horses.models import (
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
from horses.notices.create import notify
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import idempotent
from horses.services.shoes import losses_settle
from horses.services.visit_planning import VisitRefused, horse_lock, next_put


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
    trim, is_new = Trim.objects.get_or_create(
        horse=horse, foot=foot, trimmed_on=on, defaults={"visit": visit, "recorded_at": now}
    )
    if not Trim.objects.in_force().filter(pk=trim.pk).exists():
        return [TrimEvent.objects.create(trim=trim, stands=True, said_at=now)]
    return [trim] if is_new else []


def trim_take_back(horse: Horse, foot: str, on: date, *, now: datetime) -> list[AppendOnly]:
    """What spoke of this trim was a mistake; it stands all the same when the farrier wrote it up."""
    work = FootWork.objects.in_force().filter(
        visit__horse=horse, visit__kept_on=on, foot=foot, trimmed=True
    )
    trim = Trim.objects.in_force().filter(horse=horse, foot=foot, trimmed_on=on).first()
    if trim is None or work.exists():
        return []
    return [TrimEvent.objects.create(trim=trim, stands=False, said_at=now)]


@transaction.atomic
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
    client_key: str = "",
    now: datetime,
) -> Visit:
    """The farrier writes up a visit: work on each foot, plan items carried out, next date.

    A visit that is booked already stays, whatever the next date, unless `move_booked`.
    """
    require(access, "work.record")
    if kept_on > now.date():
        raise VisitRefused("This day is still to come. Plan the visit instead.")
    if next_on is not None and next_on <= kept_on:
        raise VisitRefused("The next visit must be after this one.")
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

    def make() -> Visit:
        horse_lock(access.horse)
        visit = _kept_visit(access, kept_on, words, planned_id, now)
        rows: list[AppendOnly] = []
        for done in work:
            rows.append(FootWork.objects.create(visit=visit, **asdict(done)))
            if done.trimmed:
                rows += trim_ensure(access.horse, done.foot, kept_on, visit=visit, now=now)
        losses_settle(access, visit, [done.foot for done in work], now)
        rows += [_record_outcome(access, visit, outcome, now) for outcome in outcomes or []]
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="visit.kept",
            subject=visit.public_id,
            now=now,
            rows=rows,
            after={
                "on": str(kept_on),
                "words": words,
                "work": {d.foot: _work_words(d) for d in work},
            },
        )
        if next_on is not None:
            next_put(access, next_on, moves=move_booked, now=now)
        notify(
            event=f"visit.kept:{visit.public_id}",
            case=access.case,
            verb="visit.kept",
            subject=f"{access.horse.name}: {access.person} wrote up a visit",
            body=words,
            audience=TEAM_AUDIENCE,
            actor=access.person,
            now=now,
        )
        evaluation_enqueue(access.horse, now=now)
        return visit

    return idempotent(access.person, client_key, payload, now=now, make=make, model=Visit)


def _kept_visit(
    access: CaseAccess, kept_on: date, words: str, planned_id: str, now: datetime
) -> Visit:
    """A planned visit becomes the kept one; without one a kept visit is written directly."""
    planned = None
    if planned_id:
        planned = (
            Visit.objects.select_for_update(no_key=True)
            .filter(horse=access.horse, public_id=planned_id, status=Visit.Status.PLANNED)
            .first()
        )
    planned = planned or _unheard_visit(access, kept_on)
    visit = planned or Visit(horse=access.horse, case=access.case)
    visit.kind, visit.status, visit.kept_on = Visit.Kind.FARRIER, Visit.Status.KEPT, kept_on
    visit.person, visit.person_role = access.person, access.role
    visit.person_name, visit.words, visit.recorded_at = str(access.person), words, now
    visit.changed_at = now
    visit.version += 1 if planned else 0
    visit.save()
    return visit


# A visit that nobody had heard of by then may still be written up as that visit. House default.
STILL_THAT_VISIT = timedelta(days=21)


def _unheard_visit(access: CaseAccess, kept_on: date) -> Visit | None:
    """The day this farrier was expected, nothing was heard, and they did come about then."""
    kept_since = Visit.objects.filter(horse=access.horse, kind=Visit.Kind.FARRIER)
    unheard = kept_since.select_for_update(no_key=True).filter(
        Q(planned_for=None) | Q(planned_for=access.person),
        status=Visit.Status.MISSED,
        planned_on__range=(kept_on - STILL_THAT_VISIT, kept_on + timedelta(days=7)),
    )
    visit = unheard.order_by("-planned_on").first()
    if (
        visit is None
        or kept_since.filter(status=Visit.Status.KEPT, kept_on__gte=visit.planned_on).exists()
    ):
        return None
    return visit


def _record_outcome(
    access: CaseAccess, visit: Visit, outcome: ItemOutcome, now: datetime
) -> PlanItemOutcome:
    version = PlanItemVersion.objects.filter(
        item__case=access.case, item__status=PlanItem.Status.OPEN, public_id=outcome.version_id
    ).first()
    if version is None:
        raise Http404("no such plan item")
    return PlanItemOutcome.objects.create(
        version=version,
        visit=visit,
        result=outcome.result,
        words=outcome.words,
        recorded_by=access.person,
        recorded_at=now,
    )

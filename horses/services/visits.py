"""Visits: planned, kept with the work on each foot, moved, cancelled."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.http import Http404

from caseboard.lib.answers import Conflict
from horses.access import TEAM_AUDIENCE, Standing, require
from horses.history import history_append
from horses.judge import judge_want
from horses.models import (
    FootWork,
    Horse,
    PlanItem,
    PlanItemOutcome,
    PlanItemVersion,
    Trim,
    TrimWord,
    Visit,
)
from horses.notices import notice_event
from horses.once import once
from horses.services.shoes import losses_settle


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


class VisitRefused(Exception):
    """The visit cannot stand as given, with the reason in words."""


def horse_lock(horse: Horse) -> None:
    """Visits and trims hang on the horse: two people writing them at once do it one by one."""
    Horse.objects.select_for_update(no_key=True).get(pk=horse.pk)


def trim_ensure(horse: Horse, foot: str, on: date, *, visit: Visit | None, now: datetime) -> Trim:
    """The trim of this foot on this day, made if it is not there yet or was taken back."""
    trim, _ = Trim.objects.get_or_create(
        horse=horse, foot=foot, trimmed_on=on, defaults={"visit": visit, "recorded_at": now}
    )
    if not Trim.objects.standing().filter(pk=trim.pk).exists():
        TrimWord.objects.create(trim=trim, stands=True, said_at=now)
    return trim


def trim_take_back(horse: Horse, foot: str, on: date, *, now: datetime) -> None:
    """What spoke of this trim was a mistake; it stands all the same when the farrier wrote it up."""
    work = FootWork.objects.filter(visit__horse=horse, visit__kept_on=on, foot=foot, trimmed=True)
    trim = Trim.objects.standing().filter(horse=horse, foot=foot, trimmed_on=on).first()
    if trim is not None and not work.exists():
        TrimWord.objects.create(trim=trim, stands=False, said_at=now)


@transaction.atomic
def visit_record(
    *,
    standing: Standing,
    kept_on: date,
    work: list[WorkDone],
    words: str = "",
    next_on: date | None = None,
    outcomes: list[ItemOutcome] | None = None,
    planned_id: str = "",
    client_key: str = "",
    now: datetime,
) -> Visit:
    """The farrier writes up a visit: work on each foot, plan items carried out, next date."""
    require(standing, "work.record")
    if kept_on > now.date():
        raise VisitRefused("This day is still to come. Plan the visit instead.")
    if next_on is not None and next_on <= kept_on:
        raise VisitRefused("The next visit must be after this one.")
    payload = {
        "case": standing.case.public_id, "on": kept_on, "work": work, "words": words,
        "next": next_on, "outcomes": outcomes, "planned": planned_id,
    }  # fmt: skip

    def make() -> Visit:
        horse_lock(standing.horse)
        visit = _kept_visit(standing, kept_on, words, planned_id, now)
        for done in work:
            FootWork.objects.create(visit=visit, **asdict(done))
            if done.trimmed:
                trim_ensure(standing.horse, done.foot, kept_on, visit=visit, now=now)
        losses_settle(standing, visit, [done.foot for done in work], now)
        for outcome in outcomes or []:
            _record_outcome(standing, visit, outcome, now)
        history_append(
            case=standing.case, actor=standing.person, role=standing.role, verb="visit.kept",
            subject=visit.public_id, now=now,
            after={
                "on": str(kept_on), "words": words,
                "work": {d.foot: _work_words(d) for d in work},
            },
        )  # fmt: skip
        if next_on is not None:
            _plan(standing, next_on, "", now)
        notice_event(
            event=f"visit.kept:{visit.public_id}", case=standing.case, verb="visit.kept",
            subject=f"{standing.horse.name}: {standing.person} wrote up a visit",
            body=words, audience=TEAM_AUDIENCE, actor=standing.person, now=now,
        )  # fmt: skip
        judge_want(standing.horse, now=now)
        return visit

    return once(standing.person, client_key, payload, now=now, make=make, model=Visit)


def _kept_visit(
    standing: Standing, kept_on: date, words: str, planned_id: str, now: datetime
) -> Visit:
    """A planned visit becomes the kept one; without one a kept visit is written directly."""
    planned = None
    if planned_id:
        planned = (
            Visit.objects.select_for_update(no_key=True)
            .filter(horse=standing.horse, public_id=planned_id, status=Visit.Status.PLANNED)
            .first()
        )
    visit = planned or Visit(horse=standing.horse, case=standing.case)
    visit.kind, visit.status, visit.kept_on = Visit.Kind.FARRIER, Visit.Status.KEPT, kept_on
    visit.person, visit.person_role = standing.person, standing.role
    visit.person_name, visit.words, visit.recorded_at = str(standing.person), words, now
    visit.version += 1 if planned else 0
    visit.save()
    return visit


def _record_outcome(standing: Standing, visit: Visit, outcome: ItemOutcome, now: datetime) -> None:
    version = PlanItemVersion.objects.filter(
        item__case=standing.case, item__status=PlanItem.Status.OPEN, public_id=outcome.version_id
    ).first()
    if version is None:
        raise Http404("no such plan item")
    PlanItemOutcome.objects.create(
        version=version, visit=visit, result=outcome.result, words=outcome.words,
        recorded_by=standing.person, recorded_at=now,
    )  # fmt: skip


def _plan(standing: Standing, on: date, words: str, now: datetime) -> Visit:
    """One planned visit of a kind at a time: planning again moves it."""
    visit = (
        Visit.objects.select_for_update(no_key=True)
        .filter(horse=standing.horse, status=Visit.Status.PLANNED, kind=Visit.Kind.FARRIER)
        .first()
    )
    before = {"on": str(visit.planned_on)} if visit else None
    if visit is not None and (visit.planned_on, words) == (on, visit.status_reason):
        return visit  # as it stood: nothing to tell
    if visit is None:
        visit = Visit(horse=standing.horse, case=standing.case, status=Visit.Status.PLANNED)
    else:
        visit.version += 1
    visit.planned_on, visit.status_reason, visit.recorded_at = on, words, now
    visit.save()
    verb = "visit.moved" if before else "visit.planned"
    history_append(
        case=standing.case, actor=standing.person, role=standing.role, verb=verb,
        subject=visit.public_id, before=before, after={"on": str(on), "words": words}, now=now,
    )  # fmt: skip
    return visit


@transaction.atomic
def visit_plan(
    *,
    standing: Standing,
    on: date,
    words: str = "",
    version: int | None = None,
    now: datetime,
) -> Visit:
    """Plans the next visit or moves it. `version` is the one the person saw, when there is one."""
    require(standing, "visit.plan")
    if on < now.date():
        raise VisitRefused("This day has passed. Choose today or a later day.")
    horse_lock(standing.horse)
    current = (
        Visit.objects.select_for_update(no_key=True)
        .filter(horse=standing.horse, status=Visit.Status.PLANNED, kind=Visit.Kind.FARRIER)
        .first()
    )
    if current is not None and version is not None and current.version != version:
        raise Conflict(
            mine={"planned_on": str(on), "words": words},
            theirs={"planned_on": str(current.planned_on), "words": current.status_reason},
        )
    visit = _plan(standing, on, words, now)
    notice_event(
        event=f"visit.planned:{visit.public_id}:{visit.version}", case=standing.case,
        verb="visit.planned", subject=f"{standing.horse.name}: next visit on {on:%-d %B %Y}",
        body=words, audience=TEAM_AUDIENCE, actor=standing.person, now=now,
    )  # fmt: skip
    judge_want(standing.horse, now=now)
    return visit


@transaction.atomic
def visit_cancel(*, standing: Standing, public_id: str, reason: str, now: datetime) -> Visit:
    require(standing, "visit.plan")
    horse_lock(standing.horse)
    visit = (
        Visit.objects.select_for_update(no_key=True)
        .filter(horse=standing.horse, public_id=public_id, status=Visit.Status.PLANNED)
        .first()
    )
    if visit is None:
        raise Http404("no such planned visit")
    visit.status, visit.status_reason = Visit.Status.CANCELLED, reason
    visit.version += 1
    visit.save(update_fields=["status", "status_reason", "version"])
    history_append(
        case=standing.case, actor=standing.person, role=standing.role, verb="visit.cancelled",
        subject=visit.public_id, after={"on": str(visit.planned_on), "reason": reason}, now=now,
    )  # fmt: skip
    notice_event(
        event=f"visit.cancelled:{visit.public_id}", case=standing.case, verb="visit.cancelled",
        subject=f"{standing.horse.name}: the visit on {visit.planned_on:%-d %B} was cancelled",
        body=reason, audience=TEAM_AUDIENCE, actor=standing.person, now=now,
    )  # fmt: skip
    judge_want(standing.horse, now=now)
    return visit

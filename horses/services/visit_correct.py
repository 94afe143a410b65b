"""A written-up visit put right in place: a new version counts, the one before is kept, struck through."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import TEAM_AUDIENCE, CaseAccess, require
from horses.domain.wording import day_words
from horses.ledger.append import history_append
from horses.models import FootWork, PlanItemOutcome, PlanItemVersion, Visit
from horses.models.base import AppendOnly
from horses.notices.create import notify
from horses.presenters.changed_words import change_lines
from horses.queries.board import next_visit
from horses.queries.versions import next_day_of, visit_in_force, visit_versions
from horses.rules.engine import evaluation_enqueue
from horses.services.shoes import losses_settle
from horses.services.visit_planning import VisitRefused, horse_lock, next_put, plan_put
from horses.services.visit_void import day_put_off, losses_reopen, visit_put_off
from horses.services.visits import ItemOutcome, WorkDone, trim_ensure

NO_OTHER = "{} wrote this visit up. Ask them to correct it."
# What the new version takes over from the one before: how it had been planned, and who wrote it.
TAKEN_OVER = (
    "horse_id",
    "case_id",
    "kind",
    "planned_on",
    "planned_for_id",
    "planned_by_role",
    "confirmed_at",
    "confirmed_name",
    "confirmed_role",
    "person_id",
    "person_role",
    "person_name",
    "status_reason",
    "recorded_at",
)


@dataclass(frozen=True)
class Also:
    """What another app changed along with the visit: its rows, and each change in words."""

    rows: list[AppendOnly]
    changes: list[str]


def may_correct(access: CaseAccess, visit: Visit) -> bool:
    """Only whoever wrote it up: nobody puts words into another's mouth."""
    return visit.kind == Visit.Kind.FARRIER and visit.person_id == access.person.pk


@transaction.atomic
def visit_correct(
    *,
    access: CaseAccess,
    public_id: str,
    kept_on: date,
    work: list[WorkDone],
    words: str,
    outcomes: list[ItemOutcome],
    reason: str,
    next_on: date | None = None,
    next_asked: bool = False,
    also: Callable[[Visit, Visit], Also] = lambda old, new: Also([], []),
    now: datetime,
) -> Visit:
    """Writes the visit anew in the place of the version `public_id`.

    `next_asked`: whether the next day was asked about; it is moved only where it was planned with
    this visit and nobody has touched it since. Readings are another app's (`also`):
    `measurements.services.visit_correct` is the whole. Raises Conflict when the version was
    corrected or taken back first.
    """
    require(access, "visit.correct")
    horse_lock(access.horse)
    old = _version(access, public_id)
    if not may_correct(access, old):
        raise PermissionDenied(NO_OTHER.format(old.person_name))
    if not reason.strip():
        raise VisitRefused("Say why it is corrected: the line stays on the board.")
    if old.status == Visit.Status.VOIDED:
        raise _conflict(old, words, reason)
    if kept_on > now.date():
        raise VisitRefused("This day is still to come. Plan the visit instead.")
    before = _told(old)
    new = _new_version(old, kept_on, words, now)
    visit_put_off(access, old, reason, now)
    rows = _work_write(access, new, work, now)
    rows += _marks_write(access, old, new, outcomes, now)
    changed = also(old, new)
    losses_reopen(access, new, now)
    losses_settle(access, new, [done.foot for done in work], now)
    after = _told(new)
    moved = _next_follow(access, new, next_on, reason, now) if next_asked else ""
    changes = [*change_lines(before, after), *changed.changes, *([moved] if moved else [])]
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="visit.corrected",
        subject=new.public_id,
        now=now,
        rows=[*rows, *changed.rows],
        before={"on": str(old.kept_on), "words": old.words},
        after={"on": str(kept_on), "words": words, "reason": reason, "changes": changes},
    )
    notify(
        event=f"visit.corrected:{new.public_id}",
        case=access.case,
        verb="visit.corrected",
        subject=f"{access.horse.name}: {access.person} corrected the visit of "
        f"{day_words(old.kept_on)}",
        body=reason,
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    evaluation_enqueue(access.horse, now=now)
    return new


def _version(access: CaseAccess, public_id: str) -> Visit:
    visits = Visit.objects.select_for_update(no_key=True, of=("self",))
    visit = visits.filter(horse=access.horse, public_id=public_id).first()
    written_up = (Visit.Status.KEPT, Visit.Status.VOIDED)
    if visit is None or visit.status not in written_up or visit.kind != Visit.Kind.FARRIER:
        raise Http404("no such visit")
    return visit


def _conflict(old: Visit, words: str, reason: str) -> Conflict:
    now_stands = visit_in_force(old)
    gone = now_stands.status == Visit.Status.VOIDED
    theirs = "taken back" if gone else now_stands.words
    return Conflict(
        {"words": words, "reason": reason},
        {"words": theirs, "reason": old.status_reason},
        who=old.voided_name,
        at=old.voided_at,
    )


def _new_version(old: Visit, kept_on: date, words: str, now: datetime) -> Visit:
    """`recorded_at` stays that of the first: what came between keeps its place after it."""
    taken_over: dict[str, Any] = {name: getattr(old, name) for name in TAKEN_OVER}
    return Visit.objects.create(
        **taken_over,
        status=Visit.Status.KEPT,
        kept_on=kept_on,
        words=words,
        changed_at=now,
        version=old.version + 1,
        corrects=old,
    )


def _work_write(
    access: CaseAccess, new: Visit, work: list[WorkDone], now: datetime
) -> list[AppendOnly]:
    rows: list[AppendOnly] = [FootWork.objects.create(visit=new, **asdict(done)) for done in work]
    assert new.kept_on is not None
    for done in work:
        if done.trimmed:
            rows += trim_ensure(access.horse, done.foot, new.kept_on, visit=new, now=now)
    return rows


def _marks_write(
    access: CaseAccess, old: Visit, new: Visit, outcomes: list[ItemOutcome], now: datetime
) -> list[AppendOnly]:
    """The marks on this board's items as said now; those on other boards are carried over."""
    marked = {mark.version.public_id: mark for mark in _marks(old)}
    rows: list[AppendOnly] = []
    for outcome in outcomes:
        mark = marked.get(outcome.version_id)
        version = mark.version if mark else _open_version(access, outcome.version_id)
        rows.append(_mark(version, new, outcome.result, outcome.words, access, now))
    for mark in marked.values():
        if mark.version.item.case_id != access.case.pk:
            rows.append(_mark(mark.version, new, mark.result, mark.words, access, now))
    return rows


def _marks(visit: Visit) -> list[PlanItemOutcome]:
    return list(visit.outcomes.select_related("version__item").order_by("pk"))


def _open_version(access: CaseAccess, version_id: str) -> PlanItemVersion:
    version = PlanItemVersion.objects.filter(
        item__case=access.case, item__status="open", public_id=version_id
    ).first()
    if version is None:
        raise Http404("no such plan item")
    return version


def _mark(
    version: PlanItemVersion,
    visit: Visit,
    result: str,
    words: str,
    access: CaseAccess,
    now: datetime,
) -> PlanItemOutcome:
    return PlanItemOutcome.objects.create(
        version=version,
        visit=visit,
        result=result,
        words=words,
        recorded_by=access.person,
        recorded_at=now,
    )


def _next_follow(
    access: CaseAccess, new: Visit, next_on: date | None, reason: str, now: datetime
) -> str:
    """The day that had been planned with this visit goes along; returns what changed, in words."""
    own = next_day_of(visit_versions(new))
    if own is None:
        if next_on is None or next_visit(access.horse) is not None:
            return ""
        next_put(access, next_on, moves=False, now=now)
        return f"next visit: none → {day_words(next_on)}"
    if next_on is None:
        day_put_off(access, own, reason, now)
        return f"next visit: {day_words(own.planned_on)} → none"
    if next_on == own.planned_on:
        return ""
    was = day_words(own.planned_on)
    plan_put(access, next_on, own.status_reason, now=now, who=own.planned_for)
    return f"next visit: {was} → {day_words(next_on)}"


# -- what changed, in words


def _told(visit: Visit) -> dict[str, str]:
    """Each part of a visit in words, by its name, for the comparison of two versions."""
    told = {"day": day_words(visit.kept_on), "words": " ".join(visit.words.split())}
    told |= {work.foot: _work_told(work) for work in visit.work.all()}
    marks = {f"item {m.version.item.number}": _mark_told(m) for m in _marks(visit)}
    return told | marks


def _work_told(work: FootWork) -> str:
    parts = [
        "trimmed" if work.trimmed else "not trimmed",
        work.get_shoe_display() if work.shoe != FootWork.Shoe.NONE else "",
        work.shoe_line,
        f"left {work.get_shoeing_left_display()}",
        f"wear {work.get_wear_display()}" if work.wear else "",
        f"lands {work.get_landing_display()}" if work.landing else "",
        work.words,
    ]
    return ", ".join(filter(None, parts))


def _mark_told(mark: PlanItemOutcome) -> str:
    return ": ".join(filter(None, (mark.get_result_display(), mark.words)))

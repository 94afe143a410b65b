"""A written-up visit put right in place: a new version counts, the one before is kept, struck through."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import FootWork, PlanItemOutcome, Visit
from horses.models.base import AppendOnly
from horses.models.visit_life import VisitChange
from horses.presenters.changed_words import change_lines
from horses.queries.board import next_visit
from horses.queries.versions import next_day_of, visit_in_force, visit_versions
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.shoes import losses_settle
from horses.services.visit_planning import horse_lock, next_put, plan_put, visit_call_off
from horses.services.visit_void import losses_reopen, visit_put_off
from horses.services.visits import (
    HOW_PLANNED,
    ItemOutcome,
    WorkDone,
    day_check,
    mark_write,
    open_version,
    trims_ensure,
)

NO_OTHER = "{} wrote this visit up. Ask them to correct it."
# What the new version takes over from the one before: how it had been planned, and who wrote it.
TAKEN_OVER = (*HOW_PLANNED, "person_id", "person_role", "person_name", "recorded_at")


@dataclass(frozen=True)
class Also:
    """What another app changed along with the visit: its rows, and each change in words."""

    rows: list[AppendOnly]
    changes: list[str]


def may_correct(access: CaseAccess, visit: Visit) -> bool:
    """Only whoever wrote it up: nobody puts words into another's mouth."""
    return visit.kind == Visit.Kind.FARRIER and visit.person_id == access.person.pk


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
    with deed(access, "visit.correct", now=now) as act:
        horse_lock(access.horse)
        old = _version(access, public_id)
        if not may_correct(access, old):
            raise PermissionDenied(NO_OTHER.format(old.person_name))
        if not reason.strip():
            because = "Say why it is corrected: the line stays on the board."
            raise DeedRefused(because, field="reason")
        if not old.may_turn(VisitChange.CORRECT):
            raise _conflict(old, words, reason)
        day_check(kept_on, now)
        before = _told(old)
        new = _new_version(old, kept_on, words, now)
        visit_put_off(act, old, VisitChange.CORRECT, reason)
        rows = _work_write(access, new, work, now)
        rows += _marks_write(access, old, new, outcomes, now)
        changed = also(old, new)
        losses_reopen(act, new)
        losses_settle(act, new, [done.foot for done in work])
        after = _told(new)
        moved = _next_follow(act, new, next_on, reason) if next_asked else ""
        changes = [*change_lines(before, after), *changed.changes, *([moved] if moved else [])]
        act.rows([*rows, *changed.rows])  # last: the day that follows has a line of its own
        act.line(
            "visit.corrected",
            new,
            before={"on": str(old.kept_on), "words": old.words},
            after={"on": str(kept_on), "words": words, "reason": reason, "changes": changes},
        )
        corrected = f"{access.person} corrected the visit of {day_words(old.kept_on)}"
        act.tell("visit.corrected", new, f"{access.horse.name}: {corrected}", body=reason)
        act.evaluate()
        return new


def _version(access: CaseAccess, public_id: str) -> Visit:
    visits = Visit.objects.written_up().filter(horse=access.horse, kind=Visit.Kind.FARRIER)
    locked = visits.select_for_update(no_key=True, of=("self",))
    visit = locked.filter(public_id=public_id).first()
    if visit is None:
        raise Http404("no such visit")
    return visit


def _conflict(old: Visit, words: str, reason: str) -> Conflict:
    now_stands = visit_in_force(old)
    theirs = "taken back" if now_stands.is_voided else now_stands.words
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
    rows = FootWork.objects.bulk_create(FootWork(visit=new, **asdict(done)) for done in work)
    assert new.kept_on is not None
    trimmed = {(done.foot, new.kept_on) for done in work if done.trimmed}
    return [*rows, *trims_ensure(access.horse, trimmed, visit=new, now=now).values()]


def _marks_write(
    access: CaseAccess, old: Visit, new: Visit, outcomes: list[ItemOutcome], now: datetime
) -> list[AppendOnly]:
    """The marks on this board's items as said now; those on other boards are carried over."""
    marked = {mark.version.public_id: mark for mark in _marks(old)}
    rows: list[AppendOnly] = []
    for outcome in outcomes:
        mark = marked.get(outcome.version_id)
        version = mark.version if mark else open_version(access, outcome.version_id)
        rows.append(mark_write(access, version, new, outcome.result, outcome.words, now=now))
    for mark in marked.values():
        if mark.version.item.case_id != access.case.pk:
            rows.append(mark_write(access, mark.version, new, mark.result, mark.words, now=now))
    return rows


def _marks(visit: Visit) -> list[PlanItemOutcome]:
    return list(visit.outcomes.select_related("version__item").order_by("pk"))


def _next_follow(act: Deed, new: Visit, next_on: date | None, reason: str) -> str:
    """The day that had been planned with this visit goes along; returns what changed, in words."""
    own = next_day_of(visit_versions(new))
    if own is None:
        if next_on is None or next_visit(act.access.horse) is not None:
            return ""
        next_put(act, next_on, moves=False)
        return f"next visit: none → {day_words(next_on)}"
    if next_on is None:
        visit_call_off(act, own, reason)
        return f"next visit: {day_words(own.planned_on)} → none"
    if next_on == own.planned_on:
        return ""
    was = day_words(own.planned_on)
    plan_put(act, next_on, own.status_reason, who=own.planned_for)
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

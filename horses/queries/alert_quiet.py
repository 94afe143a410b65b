"""For whom an alert is quiet: one SQL predicate that list, board, sheet and notices share.

An answer quiets an alert for the role that gave it, on the board it was given on and for its writer
on the horse's other boards: until the day it names has passed, or until the alert is worse than
then, or than at a later answer, by more than the measuring error. A stand-in's answer quiets it for the
stand-in only; a carer counts with the owner, or by having seen it; nobody quiets a danger before a
vet has answered.

Decided 2026-11: an answer quiets an alert for its own role until the alert is clearly worse (1.96
SD of the difference) than at that or a later answer; tests/horses/rules/test_alert_life_machine.py plays
this against a model. A danger needs the role's own answer and a vet's: a vet's word alone would
hide it from whoever is about to cut.
"""

from datetime import date, timedelta
from functools import cache, lru_cache
from typing import Any

from django.db.models import (
    Case,
    DateField,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Abs, Coalesce
from django.db.models.lookups import GreaterThan, GreaterThanOrEqual, LessThanOrEqual

from horses.domain.severity import Z_95
from horses.models import Alert, AlertResponse, Horse, Role, Visit
from horses.models import Case as Board

SILENCE_RULE = "flag.unanswered"  # repeats what the card of the open flag says
# How long an answer holds that names no day, when no visit is planned. House default.
QUIET_FOR = timedelta(days=28)
# The longest an answer may hold: it is about what is known now and switches no alert off. House default.
QUIET_AT_MOST = timedelta(days=183)


def still_holds(today: date) -> Q:
    """Condition on answers: the day they name has not passed. One of an earlier version, which names none, holds
    until the first visit after it; with none planned, as long as a new one would."""
    after = _visits_by_day().filter(
        horse=OuterRef("alert__horse"), on__gt=OuterRef("said_at__date")
    )
    young = When(said_at__date__gte=today - QUIET_FOR, then=Value(today, DateField()))
    # Never NULL, so that the opposite may be asked: what holds no longer.
    past = Value(today - timedelta(days=1), DateField())
    ends = Coalesce(Subquery(after.values("on")[:1]), Case(young, default=past))
    return Q(until_on__gte=today) | (Q(until_on=None) & Q(GreaterThanOrEqual(ends, today)))


@cache
def _visits_by_day() -> QuerySet[Any]:  # visits with the day
    """Those that were or will be, with the day; built once, and never read as it is."""
    counting = Visit.objects.counting()
    return counting.annotate(on=Coalesce("kept_on", "planned_on")).order_by("on")


def no_worse() -> Q:
    """Condition on answers: the alert has not grown since by more than the error of the difference. An
    alert without a severity, then or now, counts as not grown."""
    return Q(LessThanOrEqual(*_grown_and_error()))


def worse_since() -> Q:
    """Condition on answers: the alert has grown since."""
    return Q(GreaterThan(*_grown_and_error()))


def _grown_and_error() -> tuple[Any, Any]:
    """Both as squares, the first with its sign."""
    grown = Coalesce(F("alert__severity") - F("severity"), Value(0.0))
    sd, then_sd = F("alert__severity_sd"), Coalesce("severity_sd", Value(0.0))
    return grown * Abs(grown), (sd * sd + then_sd * then_sd) * Value(Z_95**2)


def heard_as(*, board: Any, role: Any, hears: Any, person: Any) -> Q:
    """Of words: those that speak for somebody in this role on this board. `hears`: the role whose
    answers are theirs, the owner's for a carer."""
    spoken = Q(kind=AlertResponse.Kind.ANSWERED, role=hears) & (
        Q(stand_in=False) | Q(person=person)
    )
    looked_at = Q(kind=AlertResponse.Kind.SEEN, role=Role.CARER, person=person)
    looked_at &= Q(role=role)
    return (spoken | looked_at) & (Q(case=board) | Q(person=person))


@lru_cache(maxsize=2)
def holding(today: date) -> QuerySet[AlertResponse]:
    """The words that still hold for the alert of the query outside. Django takes longer to build this
    than the database to answer it, so that it is built once a day, and never read as it is."""
    return AlertResponse.objects.order_by().filter(
        still_holds(today), no_worse(), alert=OuterRef("pk")
    )


def is_quiet(*, board: Any, role: Any, hears: Any, person: Any, today: date) -> Q:
    """Of alerts: quiet for this person in this role on this board. The arguments are values, or
    references to the columns of the query outside."""
    words = holding(today)
    for_them = {"board": board, "role": role, "hears": hears, "person": person}
    own = words.filter(heard_as(**for_them), ~Exists(_later_and_worse(for_them)))
    vets = words.filter(kind=AlertResponse.Kind.ANSWERED, role=Role.VET)
    return Q(Exists(own)) & (Q(danger=False) | Q(Exists(vets)))


def _later_and_worse(for_them: dict[str, Any]) -> QuerySet[AlertResponse]:
    """Later words than the one outside that they hear too, since which it is worse: they knew then that
    it had got better, so that what was said of a worse day does not cover it any more."""
    deeper = {n: OuterRef(v) if isinstance(v, OuterRef) else v for n, v in for_them.items()}
    return AlertResponse.objects.order_by().filter(
        heard_as(**deeper), worse_since(), alert=OuterRef("alert"), pk__gt=OuterRef("pk")
    )


def hears_of(role: str) -> str:
    """The role whose answers count for this role: the owner's for a carer."""
    return Role.OWNER if role == Role.CARER else role


def alerts_in_force() -> QuerySet[Alert]:
    """The alerts that need a person: of horses in care, without those that repeat a flag's card."""
    return Alert.objects.filter(
        cleared_at=None, weight=Alert.Weight.ALERT, horse__state=Horse.State.ACTIVE
    ).exclude(rule=SILENCE_RULE)


def alert_pairs(where: Q, *, today: date) -> QuerySet[Any]:  # alerts with what is annotated
    """One row an alert and a member of an open board it stands on, with `quiet`; `where` narrows it
    and may speak of `horse__cases` and `horse__cases__memberships`."""
    member = "horse__cases__memberships"
    there = Q(case=None) | Q(case=F("horse__cases"))
    open_board = Q(**{"horse__cases__closed_at": None, f"{member}__left_at": None})
    rows = alerts_in_force().filter(where & there & open_board & Q(**{f"{member}__isnull": False}))
    role = F(f"{member}__role")
    as_owner = When(**{f"{member}__role": Role.CARER}, then=Value(Role.OWNER.value))
    pairs: QuerySet[Any] = rows.order_by().annotate(
        board=F("horse__cases"),
        member=F(member),
        role=role,
        person=F(f"{member}__person"),
        stand_in=F(f"{member}__stand_in"),
        hears=Case(as_owner, default=role),
    )
    asked = {name: OuterRef(name) for name in ("board", "role", "hears", "person")}
    return pairs.annotate(
        quiet=Case(When(is_quiet(**asked, today=today), then=Value(True)), default=Value(False))
    )


def open_for_team(board: Board, *, today: date) -> frozenset[int]:
    """The alerts of a board that are not quiet for every role on it: what a sheet for all shows."""
    pairs = alert_pairs(Q(horse__cases=board), today=today).filter(quiet=False)
    return frozenset(pairs.values_list("pk", flat=True))


def next_visit_on(horse: Horse, today: date) -> date | None:
    """The day of the next planned visit, of whichever kind, as far ahead as an answer may name one."""
    planned = Visit.objects.planned().filter(
        horse=horse,
        planned_on__range=(today, today + QUIET_AT_MOST),
    )
    return planned.order_by("planned_on").values_list("planned_on", flat=True).first()


def quiet_until(horse: Horse, today: date) -> date:
    """The day until which an answer holds when its writer names none."""
    return next_visit_on(horse, today) or today + QUIET_FOR

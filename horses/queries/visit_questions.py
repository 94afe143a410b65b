"""What is asked of whoever looks first, and what others reported and nobody has confirmed yet.

A planned visit whose day has passed without a word is a question, never a fault: each sentence here
is one that can be answered with yes, moved or no.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from horses.access import CaseAccess, access_of, active_memberships, may
from horses.domain.wording import day_words
from horses.models import Case, Horse, Person, Role, Visit
from horses.models.visit import ROLE_OF_KIND
from horses.models.visit_life import VisitStatus
from horses.queries.places import place_key

UNDO_FOR = timedelta(minutes=10)  # a wrong tap is taken back without a reason; house default


@dataclass(frozen=True)
class Question:
    """A visit whose day has passed, asked about."""

    visit: Visit
    access: CaseAccess

    @property
    def words(self) -> str:
        """ "Did Gus come on Tuesday 3 November?"; of whoever was to come: "Were you here ...?"."""
        visit, on = self.visit, self.visit.planned_on
        day = f"{on:%A} {day_words(on)}"
        if visit.planned_for_id == self.access.person.pk:
            return f"Were you here on {day}?"
        return f"Did {visit.planned_for or f'the {ROLE_OF_KIND[visit.kind]}'} come on {day}?"

    @property
    def is_own_work(self) -> bool:
        """Whoever does such work writes it up instead of reporting it."""
        return not self.visit.is_vet_visit and self.access.role == Role.FARRIER


@dataclass(frozen=True)
class WordPart:
    """What the board asks, and what it was told by those who did not do the work."""

    questions: list[Question]
    to_confirm: list[Visit]  # reports of others that this person may confirm
    fresh: list[Visit]  # what this person said just now, and may take back without a reason
    asked_on: date | None  # the farrier's visit that is asked about; whoever looks

    @property
    def asks(self) -> bool:
        """Something waits for this person's answer."""
        return bool(self.questions or self.to_confirm)


def words_for(access: CaseAccess, *, today: date, undo_from: datetime) -> WordPart:
    """One query. `undo_from`: what was said since may be taken back without a reason."""
    horse_visits = Visit.objects.filter(horse=access.horse)
    asked = horse_visits.asked_about(today).order_by().values("pk")
    fresh_denial = Q(status=VisitStatus.NOT_KEPT, reported_at__gte=undo_from)
    rows = horse_visits.filter(
        Q(pk__in=asked) | Q(status=VisitStatus.REPORTED) | fresh_denial
    ).select_related("planned_for", "reported_by")
    visits = sorted(rows, key=lambda v: (v.kept_on or v.planned_on or date.min, v.pk), reverse=True)
    mine = [v for v in visits if v.reported_by_id == access.person.pk]
    others = [v for v in visits if v.is_reported and v not in mine]
    confirms = may(access, "visit.vouch")
    return WordPart(
        questions=_questions(access, visits),
        to_confirm=[v for v in others if confirms and ROLE_OF_KIND[v.kind] == access.role],
        fresh=[v for v in mine if v.reported_at and v.reported_at >= undo_from],
        asked_on=next((v.planned_on for v in visits if _is_asked(v) and not v.is_vet_visit), None),
    )


def _questions(access: CaseAccess, visits: Iterable[Visit]) -> list[Question]:
    """The newest of each kind: of two days that passed, the later one says enough."""
    if not may(access, "visit.report") or not access.horse.is_in_care:
        return []
    newest: dict[str, Visit] = {}
    for visit in visits:
        if _is_asked(visit):
            newest.setdefault(visit.kind, visit)
    return [Question(visit, access) for visit in newest.values()]


def _is_asked(visit: Visit) -> bool:
    return visit.is_planned or visit.is_missed


def asked_visits(horses: Iterable[int], today: date) -> dict[tuple[int, str], Visit]:
    """By horse and kind: the newest visit that is asked about."""
    visits = Visit.objects.asked_about(today).filter(horse__in=horses)
    found: dict[tuple[int, str], Visit] = {}
    for visit in visits.select_related("planned_for"):
        found.setdefault((visit.horse_id, visit.kind), visit)
    return found


def asked_days(horses: Iterable[int], today: date) -> dict[int, date]:
    """By horse: the newest farrier's visit that is asked about."""
    found = asked_visits(horses, today).items()
    return {horse: v.planned_on for (horse, _), v in found if not v.is_vet_visit and v.planned_on}


def is_to_confirm(visit: Visit, person: Person) -> bool:
    """Whether a report waits for this person, whose work it is said to be. One that names a colleague
    waits for them."""
    theirs = visit.planned_for_id in (None, person.pk)
    return visit.is_reported and theirs and visit.reported_by_id != person.pk


def reported_days(horses: Iterable[int]) -> dict[int, date]:
    """By horse: the newest farrier's visit that is only reported so far."""
    visits = Visit.objects.reported().filter(horse__in=horses, kind=Visit.Kind.FARRIER)
    found: dict[int, date] = {}
    for horse_id, on in visits.order_by("-kept_on").values_list("horse_id", "kept_on"):
        if on is not None:
            found.setdefault(horse_id, on)
    return found


def trim_word(access: CaseAccess, last_trim_on: date | None) -> str:
    """Whose word the last trim is, while the farrier has not confirmed it; else nothing."""
    told = Visit.objects.reported().filter(horse=access.horse, kept_on=last_trim_on)
    visit = told.filter(kind=Visit.Kind.FARRIER).select_related("planned_for").first()
    return visit.word_of if visit else ""


def visit_said_of(access: CaseAccess, public_id: str) -> Visit | None:
    """A visit of the horse, for a page about what was said of it."""
    visits = Visit.objects.filter(horse=access.horse, public_id=public_id)
    return visits.select_related("planned_for", "reported_by").first()


def said_together(access: CaseAccess, visit: Visit) -> list[tuple[CaseAccess, Visit]]:
    """What the person said of other horses in the same breath, and may take back with it."""
    boards = {board.case.horse_id: board for board in boards_at_place(access.person, access)}
    rows = Visit.objects.filter(
        horse__in=boards,
        status=visit.status,
        reported_by=access.person,
        reported_at=visit.reported_at,
    )
    return [(boards[row.horse_id], row) for row in rows.exclude(pk=visit.pk)]


def planned_days(boards: Iterable[CaseAccess]) -> dict[int, date]:
    """By horse: the farrier's visit that is planned, or asked about; the earliest."""
    unsaid = [VisitStatus.PLANNED, VisitStatus.MISSED]
    horses = [board.case.horse_id for board in boards]
    visits = Visit.objects.filter(horse__in=horses, kind=Visit.Kind.FARRIER, status__in=unsaid)
    found: dict[int, date] = {}
    for horse_id, on in visits.order_by("-status", "planned_on").values_list(
        "horse_id", "planned_on"
    ):
        if on is not None:
            found.setdefault(horse_id, on)
    return found


def boards_at_place(person: Person, access: CaseAccess) -> list[CaseAccess]:
    """Where the person may say "was here" for all at once: the open boards, one a horse, of the
    horses in care that stand at the same place, this one first."""
    place = place_key(access.horse)
    members = active_memberships(person).filter(case__closed_at=None)
    members = members.filter(case__horse__state=Horse.State.ACTIVE)
    found: dict[int, CaseAccess] = {access.case.horse_id: access}
    rows = members.select_related("case__horse").order_by("-case__kind", "case_id")
    for member in rows:
        case: Case = member.case
        here = access_of(person, member)
        if place and place_key(case.horse) == place and may(here, "visit.report"):
            found.setdefault(case.horse_id, here)
    first, *others = found.values()
    return [first, *sorted(others, key=lambda one: one.horse.name.casefold())]

"""What one person recorded themself on a case they are no longer on. Nothing else of it is here.

People who leave or were removed keep this: their own words and findings, as they stood when they
went. It starts from the person's former memberships, never from an access, which they have not.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Model, Q, QuerySet
from django.http import Http404

from horses.models import (
    Agreement,
    AlertResponse,
    Case,
    Exam,
    ExamFoot,
    Flag,
    FlagAnswer,
    FootWork,
    HorseWeight,
    Look,
    Membership,
    Note,
    Person,
    Picture,
    PlanItemVersion,
    PlanReply,
    Soundness,
    Visit,
)
from horses.models.picture import OF_ONE


@dataclass(frozen=True)
class Former:
    """A case that a person was on, and their times on it."""

    person: Person
    case: Case
    memberships: tuple[Membership, ...]  # oldest first

    @property
    def last(self) -> Membership:
        return self.memberships[-1]

    @property
    def left_at(self) -> datetime:
        assert self.last.left_at is not None
        return self.last.left_at

    def then(self, field: str) -> Q:
        """Rows of the horse hang on no case: those of the person's times on this one."""
        times = Q(pk__in=())
        for member in self.memberships:
            time = Q(**{f"{field}__gte": member.joined_at})
            if member.left_at is not None:
                time &= Q(**{f"{field}__lte": member.left_at})
            times |= time
        return times


def cases_ever_of(person: Person) -> list[Former]:
    """The cases that the person is or was on, the oldest first."""
    rows = Membership.objects.filter(person=person).select_related("case__horse").order_by("pk")
    by_case: dict[int, list[Membership]] = {}
    for row in rows:
        by_case.setdefault(row.case_id, []).append(row)
    return [Former(person, mine[-1].case, tuple(mine)) for mine in by_case.values()]


def formers_of(person: Person) -> list[Former]:
    """The cases that the person was on and is no longer, the one left last first."""
    formers = [
        former
        for former in cases_ever_of(person)
        if all(member.left_at is not None for member in former.memberships)
    ]
    return sorted(formers, key=lambda former: former.left_at, reverse=True)


def former_get(person: Person, case_id: str) -> Former:
    """Http404 for a case that they never were on, and for one that they still are on."""
    for former in formers_of(person):
        if former.case.public_id == case_id:
            return former
    raise Http404("no such former case")


def own_rows(former: Former) -> dict[str, Iterable[Model]]:
    """Title -> rows, each recorded by this person on this case, in the order of the day."""
    person, case = former.person, former.case
    # Taken back or not: who wrote it keeps it.
    visits = Visit.objects.written_up().filter(case=case, person=person)
    exams = Exam.objects.filter(case=case, examined_by=person)
    return {
        "flags": Flag.objects.filter(case=case, raised_by=person).order_by("pk"),
        "photos": own_photos(former),
        "flag_answers": FlagAnswer.objects.filter(flag__case=case, answered_by=person)
        .select_related("flag", "note")
        .order_by("pk"),
        "notes": Note.objects.filter(case=case, author=person).order_by("pk"),
        "examinations": exams.order_by("pk"),
        "examined_feet": ExamFoot.objects.filter(exam__in=exams)
        .select_related("exam")
        .order_by("pk"),
        "soundness": Soundness.objects.filter(case=case, seen_by=person).order_by("pk"),
        "weights": HorseWeight.objects.filter(
            former.then("recorded_at"), horse=case.horse, recorded_by=person
        ).order_by("pk"),
        "looks": Look.objects.filter(case=case, looked_by=person).order_by("pk"),
        "visits": visits.order_by("pk"),
        "work_on_feet": FootWork.objects.filter(visit__in=visits)
        .select_related("visit")
        .order_by("pk"),
        "plan_versions_proposed": PlanItemVersion.objects.filter(
            item__case=case, proposed_by=person
        )
        .select_related("item")
        .order_by("pk"),
        "words_on_the_plan": Agreement.objects.filter(version__item__case=case, person=person)
        .select_related("version")
        .order_by("pk"),
        "replies_on_the_plan": PlanReply.objects.filter(version__item__case=case, person=person)
        .select_related("version")
        .order_by("pk"),
        "answers_to_alerts": AlertResponse.objects.filter(case=case, person=person)
        .select_related("alert")
        .order_by("pk"),
    }


def own_photos(former: Former) -> QuerySet[Picture]:
    """Those that the person added and that are not blanked out."""
    own = Picture.objects.filter(case=former.case, added_by=former.person, redacted_at=None)
    return own.select_related(*OF_ONE).order_by("pk")

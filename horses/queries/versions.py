"""The versions of what was corrected in place: a visit, an examination."""

from datetime import datetime

from django.db.models import QuerySet

from horses.access import CaseAccess
from horses.models import Exam, Person, Visit


def visit_versions(visit: Visit) -> list[Visit]:
    """The visit as first written up, and every version since, this one last."""
    found = [visit]
    while (earlier := found[0].corrects) is not None:
        found.insert(0, earlier)
    return found


def visit_in_force(visit: Visit) -> Visit:
    """The newest version in place of this one; itself when it was not corrected."""
    while later := Visit.objects.filter(corrects=visit).first():
        visit = later
    return visit


def visit_moments(versions: list[Visit]) -> set[datetime]:
    """When this visit wrote: at first, and at each correction. What it brought about, a next day
    or the answer to a lost shoe, carries one of these moments."""
    first, *later = versions
    told = {first.recorded_at}
    return told | {v.corrects.voided_at for v in later if v.corrects and v.corrects.voided_at}


def next_day_of(versions: list[Visit]) -> Visit | None:
    """The next visit that was planned in the same breath, and that nobody has touched since."""
    visit = versions[-1]
    planned = Visit.objects.planned().filter(
        horse=visit.horse_id,
        kind=visit.kind,
        recorded_at__in=visit_moments(versions),
        confirmed_at=None,
    )
    return planned.select_related("planned_for").first()


def all_exams_for(access: CaseAccess) -> QuerySet[Exam]:
    """Those that were corrected or taken back as well, and the rows that took them back."""
    return (
        Exam.objects.filter(case=access.case)
        .select_related("examined_by", "corrects", "corrected_by__examined_by")
        .prefetch_related("feet", "soundness")
    )


def exam_in_force(exam: Exam) -> Exam | None:
    """The newest version in its place; None when it was taken back."""
    while later := Exam.objects.filter(corrects=exam).first():
        if later.is_void:
            return None
        exam = later
    return exam


def own_exam(person: Person, public_id: str) -> Exam | None:
    """An examination that this person wrote down, on whichever board."""
    return Exam.objects.filter(examined_by=person, public_id=public_id).first()

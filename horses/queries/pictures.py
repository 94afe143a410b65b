"""Pictures as one person may see them: who may read what one was added to sees it too."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.db.models import Q
from django.http import Http404

from horses.access import CaseAccess, readable_by
from horses.models import Exam, Foot, Look, Picture, PictureQuerySet, Visit
from horses.models.base import Record
from horses.models.picture import OF_ONE
from horses.queries.board import notes_for, visits_for
from horses.queries.versions import all_exams_for


def pictures_for(access: CaseAccess) -> PictureQuerySet:
    """Those of this case whose note, if any, the person reads; and those of the horse's visits, which
    all its boards show. Blanked out or not, the oldest first."""
    of_case = Q(case=access.case) & (Q(note=None) | readable_by(access, "note__audience"))
    of_visits = Q(visit__isnull=False, case__horse=access.horse)
    seen = Picture.objects.filter(of_case | of_visits)
    return seen.select_related("added_by", "case", *OF_ONE)


def blanked_since(accesses: Iterable[CaseAccess], since: datetime) -> list[tuple[CaseAccess, str]]:
    """The public names of pictures blanked out since then, each with the board it was seen on."""
    gone = Picture.objects.filter(redacted_at__gte=since)
    horses = set(gone.values_list("case__horse", flat=True))
    return [
        (access, picture)
        for access in accesses
        if access.case.horse_id in horses
        for picture in pictures_for(access)
        .filter(redacted_at__gte=since)
        .values_list("public_id", flat=True)
    ]


def picture_get(access: CaseAccess, picture_id: str) -> Picture:
    """Blanked out or not; Http404 for one that this person does not see."""
    picture = pictures_for(access).filter(public_id=picture_id).first()
    if picture is None:
        raise Http404("no such picture")
    return picture


def thing_get(access: CaseAccess, kind: str, thing_id: str) -> Record:
    """What pictures are to be added to, if the person reads it; Http404 if not. (A flag has a form of
    its own: whoever adds to it tells the team.)"""
    found: Any = None
    match kind:
        case "note":
            found = notes_for(access)
        case "visit":
            found = visits_for(access).filter(case=access.case)
        case "exam":
            found = all_exams_for(access)
        case "look":
            found = Look.objects.standing().filter(case=access.case)
    thing: Record | None = found.filter(public_id=thing_id).first() if found is not None else None
    if thing is None:
        raise Http404("no such thing")
    return thing


def of_one_view(
    access: CaseAccess, *, foot: str, view: str, until: date | None = None
) -> list[Picture]:
    """The standing pictures of one foot from one side, the oldest first."""
    found = pictures_for(access).standing().filter(foot=foot, view=view)
    return list(found.filter(taken_on__lte=until) if until else found)


def pictures_of_exam(access: CaseAccess, exam: Exam) -> PictureQuerySet:
    """Those added to it and to the versions that it corrects; blanked out or lost, too."""
    versions = [exam.pk]
    while exam.corrects:
        exam = exam.corrects
        versions.append(exam.pk)
    return pictures_for(access).filter(exam__in=versions)


def pictures_of_visits(access: CaseAccess) -> dict[int, list[Picture]]:
    """By the number of the visit as it stands now, whichever version they were added to; without
    those blanked out or lost."""
    corrected = Visit.objects.filter(horse=access.horse).exclude(corrects=None)
    later = dict(corrected.values_list("corrects_id", "pk"))
    found: dict[int, list[Picture]] = {}
    for picture in pictures_for(access).kept().exclude(visit=None):
        visit = picture.visit_id or 0
        while visit in later:
            visit = later[visit]
        found.setdefault(visit, []).append(picture)
    return found


def by_foot_and_view(pictures: Iterable[Picture]) -> list[tuple[str, str, list[Picture]]]:
    """In groups: the four feet, then what shows no one foot; a foot's views in their own order."""
    feet, views = [*Foot.values, ""], list(Picture.View.values)
    groups: dict[tuple[str, str], list[Picture]] = {}
    for picture in pictures:
        groups.setdefault((picture.foot, picture.view), []).append(picture)
    order = sorted(groups, key=lambda key: (feet.index(key[0]), views.index(key[1])))
    return [(foot, view, groups[foot, view]) for foot, view in order]

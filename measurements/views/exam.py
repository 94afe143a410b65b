"""The page of one examination: what the vet found, and what its films say in numbers."""

from django.http import Http404, HttpResponse
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from horses.access import access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.models import Role
from horses.models.picture import FILMS
from horses.presenters.picture_words import picture_shown
from horses.queries.pictures import pictures_of_exam
from horses.queries.versions import all_exams_for
from horses.views.exams import grade_words
from horses.views.page import case_page
from measurements.panels.film_values import BESIDE, films_shown
from measurements.queries.numbers_kept import numbers_kept
from measurements.services.picture_points import place_right
from measurements.views.points_seen import seen_mark

FILM = FILMS[0]


@require_safe
def exam(request: SignedInRequest, case_id: str, exam_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    found = all_exams_for(access).filter(public_id=exam_id, is_void=False).first()
    if found is None:
        raise Http404("no such examination")
    later = getattr(found, "corrected_by", None)
    pictures = pictures_of_exam(access, found)
    numbers = numbers_kept(access.horse, today=clock.now().date())
    may_place = may(access, place_right(FILM))
    films = films_shown(access, pictures, numbers, may_place=may_place)
    shown = {
        "exam": found,
        "grades": [(grade, grade_words(grade)) for grade in found.soundness.all()],
        "feet": list(found.feet.all()),
        "later": later,
        "films": films,
        "beside_films": BESIDE,
        "pictures": [
            picture_shown(p, access.person) for p in pictures.kept().exclude(view__in=FILMS)
        ],
        "add_picture": may(access, "picture.add") and access.role == Role.VET and later is None,
        "may_correct": later is None
        and may(access, "exam.correct")
        and found.examined_by_id == access.person.pk,
    }
    response = case_page(request, access, "measurements/exam.html", shown)
    if may_place:  # who reads the numbers of others here does not place the points blind any more
        for film in films:
            if film.is_of_another(access.person.pk):
                seen_mark(response, case_id, film.shown.picture)
    return response

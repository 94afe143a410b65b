"""A vet's examinations: writing one down, reading one."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.forms.exam import AAEP_WORDS, TEN_WORDS, ExamForm, ExamNewForm, exam_filled
from horses.models import Role, Soundness
from horses.presenters.picture_words import picture_shown
from horses.queries.board import team_for
from horses.queries.flags import others_on
from horses.queries.pictures import pictures_of_exam
from horses.queries.versions import all_exams_for, own_exam
from horses.services.exams import exam_record
from horses.views.attempt import attempt
from horses.views.page import case_page
from horses.views.pictures import pictures_wait, too_many_answer


@require_http_methods(["GET", "POST"])
def exam_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "exam.record")
    now = clock.now()
    today = timezone.localtime(now).date()
    if request.method != "POST":
        return _exam_form(request, access, ExamNewForm(today=today, initial=_copied(request)))
    if too_many := pictures_wait(request):
        form = ExamNewForm(request.POST, today=today)
        return too_many_answer(
            form, too_many, lambda status: _exam_form(request, access, form, status=status)
        )
    form = ExamNewForm(request.POST, request.FILES, today=today)
    if not form.is_valid():
        return _exam_form(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: exam_record(
            access=access,
            examined_at=form.examined_at(now),
            feet=form.found,
            grade=form.grade,
            words=form.cleaned_data["words"],
            taken=form.taken(form.cleaned_data["on"]),
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _exam_form(request, access, form, status=answer.status)
    saved(request, "The examination is saved. The whole team reads it.", keep=_keep(access))
    return redirect("exam", case_id, answer.made.public_id)


def _copied(request: SignedInRequest) -> dict[str, Any]:
    """An examination of the person's own, taken back on another horse, to be written down here."""
    exam = own_exam(request.user, request.GET.get("from", ""))
    return exam_filled(exam) if exam else {}


def _keep(access: CaseAccess) -> str:
    return f"exam-{access.case.public_id}"


def _exam_form(
    request: HttpRequest, access: CaseAccess, form: ExamForm, *, status: int = 200
) -> HttpResponse:
    readers = others_on(access, team_for(access))
    shown = {"form": form, "feet": form.feet(), "readers": readers, "keep": _keep(access)}
    return case_page(request, access, "horses/exam_new.html", shown, status=status)


@require_safe
def exam(request: SignedInRequest, case_id: str, exam_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    found = all_exams_for(access).filter(public_id=exam_id, is_void=False).first()
    if found is None:
        raise Http404("no such examination")
    later = getattr(found, "corrected_by", None)
    grades = [(grade, grade_words(grade)) for grade in found.soundness.all()]
    shown = {
        "exam": found,
        "grades": grades,
        "feet": list(found.feet.all()),
        "later": later,
        "pictures": [picture_shown(p, request.user) for p in pictures_of_exam(access, found)],
        "add_picture": may(access, "picture.add") and access.role == Role.VET and later is None,
        "may_correct": later is None
        and may(access, "exam.correct")
        and found.examined_by_id == request.user.pk,
    }
    return case_page(request, access, "horses/exam.html", shown)


def grade_words(grade: Soundness) -> str:
    """What the grade means, in the words of its own scale."""
    if grade.scale == Soundness.Scale.AAEP:
        return AAEP_WORDS[grade.grade]
    return TEN_WORDS

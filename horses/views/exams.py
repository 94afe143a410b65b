"""A vet's examinations: writing one down. Its page, with what its films say: measurements/views/exam.py."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.exam import AAEP_WORDS, TEN_WORDS, ExamForm, ExamNewForm, exam_filled
from horses.models import Soundness
from horses.queries.board import team_for
from horses.queries.flags import others_on
from horses.queries.versions import own_exam
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


def grade_words(grade: Soundness) -> str:
    """What the grade means, in the words of its own scale."""
    if grade.scale == Soundness.Scale.AAEP:
        return AAEP_WORDS[grade.grade]
    return TEN_WORDS

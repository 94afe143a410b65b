"""An examination put right in place, or taken back."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.exam import ExamCorrectForm, ExamVoidForm
from horses.models import Exam
from horses.queries.board import team_for
from horses.queries.flags import others_on
from horses.queries.other_boards import other_boards
from horses.queries.pictures import pictures_of_exam
from horses.queries.versions import all_exams_for, exam_in_force
from horses.services import exam_correct as service
from horses.services.exam_correct import NO_OTHER
from horses.views.attempt import attempt
from horses.views.page import case_page

LABELS = {"words": "Findings", "reason": "Why it is corrected"}
ENDED = "It was taken back: nothing is left to correct."


@require_http_methods(["GET", "POST"])
def exam_correct(request: SignedInRequest, case_id: str, exam_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "exam.correct")
    asked = _own(access, exam_id)
    exam, now = exam_in_force(asked), clock.now()
    if request.method == "GET":
        if exam is None:
            return redirect("exam", case_id, asked.public_id)
        if exam != asked:
            return redirect("exam_correct", case_id, exam.public_id)
    data = request.POST if request.method == "POST" else None
    form = ExamCorrectForm(data, exam=exam or asked, today=timezone.localtime(now).date())
    if data is None:
        return _form_page(request, access, form)
    if not form.is_valid():
        return _form_page(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: service.exam_correct(
            access=access,
            exam_id=exam_id,
            examined_at=form.examined_at(now),
            feet=form.found,
            grade=form.grade,
            words=form.cleaned_data["words"],
            reason=form.cleaned_data["reason"],
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        shown = _conflict_shown(answer.conflict)
        if shown:
            shown["over"] = ENDED if exam is None else ""
        return _form_page(request, access, form, status=answer.status, **shown)
    saved(
        request,
        "The examination is corrected. The version before stays, struck through.",
        keep=_keep(form.exam),
    )
    return redirect("exam", case_id, answer.made.public_id)


def _conflict_shown(conflict: Conflict | None) -> dict[str, Any]:
    return {"conflict": conflict, "pairs": conflict.pairs(LABELS)} if conflict else {}


def _own(access: CaseAccess, exam_id: str) -> Exam:
    exam = all_exams_for(access).filter(public_id=exam_id, is_void=False).first()
    if exam is None:
        raise Http404("no such examination")
    if exam.examined_by_id != access.person.pk:
        raise PermissionDenied(NO_OTHER.format(exam.examined_by))
    return exam


def _keep(exam: Exam) -> str:
    return f"exam-correct-{exam.public_id}"


def _form_page(
    request: SignedInRequest,
    access: CaseAccess,
    form: ExamCorrectForm,
    *,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    readers = others_on(access, team_for(access))
    shown = {
        "form": form,
        "feet": form.feet(),
        "readers": readers,
        "keep": _keep(form.exam),
        "correcting": form.exam,
        **more,
    }
    return case_page(request, access, "horses/exam_new.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def exam_void(request: SignedInRequest, case_id: str, exam_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "exam.correct")
    exam = _own(access, exam_id)
    if request.method == "GET" and exam_in_force(exam) != exam:
        return redirect("exam", case_id, exam_id)
    data = request.POST if request.method == "POST" else None
    form = ExamVoidForm(data, boards=other_boards(access))
    keep = f"exam-void-{exam_id}"
    has_pictures = bool(pictures_of_exam(access, exam))
    shown: dict[str, Any] = {"exam": exam, "form": form, "keep": keep, "has_pictures": has_pictures}
    status = 200 if data is None else 422
    if form.is_valid():
        answer = attempt(
            form,
            lambda: service.exam_void(
                access=access,
                exam_id=exam_id,
                reason=form.cleaned_data["reason"],
                now=clock.now(),
            ),
        )
        shown |= _conflict_shown(answer.conflict)
        status = answer.status
        if answer.made is not None:
            saved(request, "The examination is taken back. It stays, struck through.", keep=keep)
            if other := form.cleaned_data["other"]:
                return redirect(f"{reverse('exam_new', args=[other])}?from={exam_id}")
            return redirect("exam", case_id, exam_id)
    return case_page(request, access, "horses/exam_void.html", shown, status=status)

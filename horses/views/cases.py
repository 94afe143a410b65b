"""Opening a case for a concern, and closing one with its outcome."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.forms.case import CaseCloseForm, CaseOpenForm
from horses.models import Case
from horses.queries.board import open_flags_for, team_for
from horses.queries.plan_lines import plan_for
from horses.services.cases import case_close as case_close_save
from horses.services.cases import case_open as case_open_save
from horses.views.attempt import Answer, attempt
from horses.views.page import board_url

REUSED = (
    "This form was saved before with other words in it. Nothing was saved now. If you mean another "
    "case, save once more; else look at the board first."
)


@require_http_methods(["GET", "POST"])
def case_open(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.open")
    posted = request.POST if request.method == "POST" else None
    form = CaseOpenForm(posted)
    if posted is None:
        return _open_page(request, access, form)
    if not form.is_valid():
        return _open_page(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: case_open_save(
            access=access,
            title=form.cleaned_data["title"],
            why=form.cleaned_data["why"],
            client_key=form.key,
            now=clock.now(),
        ),
        sent_before=REUSED,
    )
    if answer.made is None:
        return _open_page(request, access, form, status=answer.status)
    words = f"The case “{answer.made}” is open. The whole team is on it."
    saved(request, words, keep=_open_keep(case_id))
    return redirect("board", case_id=answer.made.public_id)


def _open_keep(case_id: str) -> str:
    return f"case-open-{case_id}"


def _open_page(
    request: SignedInRequest, access: CaseAccess, form: CaseOpenForm, *, status: int = 200
) -> HttpResponse:
    shown = {
        "form": form,
        "keep": _open_keep(access.case.public_id),
        "horse": access.horse,
        "case": access.case,
        "team": team_for(access),
    }
    return render(request, "horses/case_open.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def case_close(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    posted = request.POST if request.method == "POST" else None
    form = CaseCloseForm(posted)
    # Words sent after somebody else closed the case are answered with both texts.
    require(access, "case.close", closed_too=form.is_valid(), only_look=True)
    if posted is None:
        return _close_page(request, access, form)
    if not form.is_valid():
        return _close_page(request, access, form, status=422)
    doing = f"close the case “{access.case}”"
    if asked := fresh_wanted(request, doing=doing, back=board_url(access)):
        return asked
    answer = _close(fresh_access(request, access), form)
    if answer.made is None:
        return _close_page(request, access, form, conflict=answer.conflict, status=answer.status)
    saved(request, f"The case “{access.case}” is closed.", keep=_close_keep(case_id))
    return redirect("board", case_id=case_id)


def _close(access: CaseAccess, form: CaseCloseForm) -> Answer[Case]:
    said = form.cleaned_data
    return attempt(
        form,
        lambda: case_close_save(
            access=access, outcome=said["outcome"], words=said["words"], now=clock.now()
        ),
    )


def _close_keep(case_id: str) -> str:
    return f"case-close-{case_id}"


def _close_page(
    request: SignedInRequest,
    access: CaseAccess,
    form: CaseCloseForm,
    *,
    conflict: Conflict | None = None,
    status: int = 200,
) -> HttpResponse:
    labels = {"outcome": "How it ended", "words": "In words"}
    shown = {
        "conflict": conflict,
        "pairs": conflict.pairs(labels) if conflict else None,
        "form": form,
        "keep": _close_keep(access.case.public_id),
        "horse": access.horse,
        "case": access.case,
        "is_routine": access.case.kind == Case.Kind.ROUTINE,
        "may_pause": may(access, "horse.pause"),
        "open_flags": open_flags_for(access),
        "open_items": plan_for(access, open_only=True),
    }
    return render(request, "horses/case_close.html", shown, status=status)

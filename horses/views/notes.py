"""Notes: written for the whole team or part of it, corrected by a later one."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.text_safe import safe_line
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.wording import readers_short
from horses.forms.audience import audiences_for
from horses.forms.note import NoteForm
from horses.models import Note
from horses.queries.board import notes_for, team_for
from horses.services.notes import note_write
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page
from horses.views.pictures import pictures_wait, too_many_answer


@require_http_methods(["GET", "POST"])
def note_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "note.write")
    corrects = _own_note(access, safe_line(request.GET.get("corrects", "")))
    again = None if corrects else _own_note(access, safe_line(request.GET.get("again", "")))
    about: dict[str, Any] = {
        "offered": audiences_for(access, team_for(access)),
        "role": access.role,
        "corrects": corrects,
        "again": again,
    }
    if request.method != "POST":
        return _note_page(request, access, NoteForm(**about), corrects, again)
    if too_many := pictures_wait(request):
        form = NoteForm(request.POST, **about)
        return too_many_answer(
            form,
            too_many,
            lambda status: _note_page(request, access, form, corrects, again, status=status),
        )
    form = NoteForm(request.POST, request.FILES, **about)
    if not form.is_valid():
        return _note_page(request, access, form, corrects, again, status=422)
    audience: frozenset[str] = form.cleaned_data["audience"]
    answer = attempt(
        form,
        lambda: note_write(
            access=access,
            body=form.cleaned_data["body"],
            audience=audience,
            corrects_id=corrects.public_id if corrects else "",
            taken=form.taken(),
            client_key=form.key,
            now=clock.now(),
        ),
    )
    if answer.made is None:
        return _note_page(request, access, form, corrects, again, status=answer.status)
    saved(
        request, f"Saved. Read by {readers_short(audience)}.", keep=_keep(access, corrects, again)
    )
    return redirect(board_url(access))


def _own_note(access: CaseAccess, note_id: str) -> Note | None:
    """The note to be corrected or written again: one's own."""
    if not note_id:
        return None
    note = notes_for(access).filter(public_id=note_id, author=access.person).first()
    if note is None:
        raise Http404("no such note of yours")
    return note


def _keep(access: CaseAccess, corrects: Note | None, again: Note | None) -> str:
    if again:
        return f"note-again-{again.public_id}"
    return f"note-{corrects.public_id if corrects else access.case.public_id}"


def _note_page(
    request: HttpRequest,
    access: CaseAccess,
    form: NoteForm,
    corrects: Note | None,
    again: Note | None,
    *,
    status: int = 200,
) -> HttpResponse:
    shown = {
        "form": form,
        "corrects": corrects,
        "old_readers": readers_short(corrects.audience_roles) if corrects else "",
        "again": again,
        "again_readers": readers_short(again.audience_roles) if again else "",
        "keep": _keep(access, corrects, again),
    }
    return case_page(request, access, "horses/note_new.html", shown, status=status)

"""Notes: written for the whole team or part of it, corrected by a later one."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.text_safe import safe_line
from horses.access import Standing, require, standing_get
from horses.accounts.request import SignedInRequest
from horses.domain.wording import readers_short
from horses.forms.audience import audiences_for
from horses.forms.note import NoteForm
from horses.models import Note
from horses.queries.board import notes_for, team_for
from horses.services.idempotency import KeyReused
from horses.services.notes import AudienceRefused, note_write
from horses.views.page import board_url, case_page, say_sent_before


@require_http_methods(["GET", "POST"])
def note_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    standing = standing_get(request.user, case_id)
    require(standing, "note.write")
    corrects = _own_note(standing, safe_line(request.GET.get("corrects", "")))
    again = None if corrects else _own_note(standing, safe_line(request.GET.get("again", "")))
    data = request.POST if request.method == "POST" else None
    form = NoteForm(
        data, offered=audiences_for(standing, team_for(standing)), corrects=corrects, again=again
    )
    if data is None:
        return _note_page(request, standing, form, corrects, again)
    if not form.is_valid():
        return _note_page(request, standing, form, corrects, again, status=422)
    audience: frozenset[str] = form.cleaned_data["audience"]
    try:
        note_write(
            standing=standing, body=form.cleaned_data["body"], audience=audience,
            corrects_id=corrects.public_id if corrects else "", client_key=form.key,
            now=clock.now(),
        )  # fmt: skip
    except AudienceRefused as refusal:
        form.add_error("audience", str(refusal))
        return _note_page(request, standing, form, corrects, again, status=422)
    except KeyReused:
        return _note_page(request, standing, form, corrects, again, status=say_sent_before(form))
    saved(
        request, f"Saved. Read by {readers_short(audience)}.", keep=_keep(standing, corrects, again)
    )
    return redirect(board_url(standing))


def _own_note(standing: Standing, note_id: str) -> Note | None:
    """The note to be corrected or written again: one's own."""
    if not note_id:
        return None
    note = notes_for(standing).filter(public_id=note_id, author=standing.person).first()
    if note is None:
        raise Http404("no such note of yours")
    return note


def _keep(standing: Standing, corrects: Note | None, again: Note | None) -> str:
    if again:
        return f"note-again-{again.public_id}"
    return f"note-{corrects.public_id if corrects else standing.case.public_id}"


def _note_page(
    request: HttpRequest,
    standing: Standing,
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
        "keep": _keep(standing, corrects, again),
    }
    return case_page(request, standing, "horses/note_new.html", shown, status=status)

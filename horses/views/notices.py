"""What somebody was told, newest first; what they are mailed; and the way out of the mails."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.open_pages import open_to_all
from horses.accounts.request import SignedInRequest
from horses.forms.notices import NoticeChoicesForm
from horses.notices.create import (
    muted_by,
    notice_open,
    notices_for,
    notices_mark_read,
    unread_count,
)
from horses.notices.messages import unsubscribe_whose
from horses.presenters.notice_words import notice_told
from horses.queries.board import open_cases_of
from horses.services.notice_choices import mail_unsubscribe, notice_choices_save

A_PAGE = 30  # house default
KEEP = "notice-choices"


@require_http_methods(["GET", "POST"])
def notice_list(request: SignedInRequest) -> HttpResponse:
    """Looking at the list marks nothing as read: opening a notice does, and the button."""
    now = clock.now()
    if request.method == "POST":
        notices_mark_read(person=request.user, now=now)
        saved(request, "All marked as read.")
        return redirect("notices")
    page = Paginator(notices_for(request.user), A_PAGE).get_page(request.GET.get("page"))
    told = [notice_told(notice, request.user) for notice in page]
    shown = {"page": page, "told": told, "unread": unread_count(request.user), "now": now}
    return render(request, "horses/notices.html", shown)


@require_http_methods(["GET", "POST"])
def notice_choices(request: SignedInRequest) -> HttpResponse:
    person = request.user
    posted = request.POST if request.method == "POST" else None
    initial = {
        "mail_when": person.mail_when,
        "quiet_from": person.quiet_from,
        "quiet_to": person.quiet_to,
        "muted": muted_by(person),
    }
    form = NoticeChoicesForm(posted, cases=open_cases_of(person), initial=initial)
    if form.is_valid():
        given = form.cleaned_data
        notice_choices_save(
            person=person,
            mail_when=given["mail_when"],
            quiet_from=given["quiet_from"],
            quiet_to=given["quiet_to"],
            muted=set(given["muted"]),
            now=clock.now(),
        )
        saved(request, "Saved.", keep=KEEP)
        return redirect("notice_choices")
    status = 200 if posted is None else 422
    shown = {"form": form, "keep": KEEP}
    return render(request, "horses/notice_choices.html", shown, status=status)


@csrf_exempt  # the button of a mail program sends no cookie: the signed address is what counts
@open_to_all
@require_http_methods(["GET", "POST"])
def unsubscribe(request: HttpRequest) -> HttpResponse:
    """Looking changes nothing: mail programs open addresses by themselves. One POST does it."""
    token = request.GET.get("of", "")[:200]
    known = unsubscribe_whose(token) is not None
    done = request.method == "POST" and mail_unsubscribe(token=token)
    status = 422 if request.method == "POST" and not done else 200
    shown = {"known": known, "done": done}
    response = render(request, "horses/unsubscribe.html", shown, status=status)
    response["Referrer-Policy"] = "same-origin"  # no other site learns the address
    response["Cache-Control"] = "private, no-store"
    return response


@require_safe
def notice(request: SignedInRequest, notice_id: str) -> HttpResponse:
    """Opening a notice is reading it: it is marked, and the page that it tells of is shown."""
    return redirect(notice_open(person=request.user, notice_id=notice_id, now=clock.now()))

"""The page behind the link in an invitation. Looking changes nothing; only a POST joins."""

from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.open_pages import open_to_all
from horses.access import access_on
from horses.forms.team import ROLE_WORDS
from horses.models import Invitation, Person, Role
from horses.services.invitations import (
    invitation_accept,
    invitation_find,
    invitation_taken,
)
from horses.views.attempt import attempt_button


@open_to_all
@require_http_methods(["GET", "POST"])
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Shows only what the mail said, because whoever holds the link may see it."""
    now = clock.now()
    person = request.user
    try:
        found = invitation_find(token=token, now=now)
    except Http404:
        return _gone(request, token)
    if request.method == "GET":
        return _page(request, found)
    if not isinstance(person, Person):
        return redirect_to_login(request.path)
    try:
        membership, refusal = attempt_button(
            lambda: invitation_accept(person=person, token=token, now=now)
        )
    except Http404:  # taken or taken back between the two looks
        return _gone(request, token)
    if membership is None:
        return _page(request, found, status=422, refusal=refusal)
    case = membership.case
    role = Role(membership.role).label
    saved(request, f"Welcome to the team of {case.horse}. You are here as {role}.")
    return redirect("board", case_id=case.public_id)


def _gone(request: HttpRequest, token: str) -> HttpResponse:
    """For whoever joined by it and pressed twice, their board. For all others, not there."""
    if request.method == "POST" and isinstance(request.user, Person):
        mine = invitation_taken(person=request.user, token=token)
        if mine is not None:
            return redirect("board", case_id=mine.case.public_id)
    return render(request, "horses/invitation_gone.html", status=404)


def _page(
    request: HttpRequest, found: Invitation, *, status: int = 200, **more: Any
) -> HttpResponse:
    person = request.user
    back = urlencode({"next": request.path})
    shown: dict[str, Any] = {
        "invitation": found,
        "horse": found.case.horse,
        "role_words": ROLE_WORDS[Role(found.role)],
        "sign_in_url": f"{reverse('account_login')}?{back}",
        "sign_up_url": f"{reverse('account_signup')}?{back}",
        **more,
    }
    if isinstance(person, Person):
        shown["is_mine"] = found.email.casefold() == person.email.casefold()
        shown["is_member"] = access_on(person, found.case) is not None
    response = render(request, "horses/invitation.html", shown, status=status)
    # The address of this page is the way in: no other site may learn it, no cache may keep it. Our
    # own may: with "no-referrer" a browser joins under the origin "null", which is refused.
    response["Referrer-Policy"] = "same-origin"
    response["Cache-Control"] = "private, no-store"
    return response

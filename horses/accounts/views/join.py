"""The page behind a yard's link. Whoever follows it types name and address once, and one code.

Looking changes nothing; only what is sent joins. Whether somebody has an account is not said: the
same code is mailed to every address. A link that came by mail has proved its address, and no code is
asked of whoever has no account yet; a link is too old for a key to an account that is there.
"""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.address_key import address_key
from caseboard.lib.flash_saved import saved
from caseboard.lib.limits import limit_check
from caseboard.lib.machine import machine_of
from caseboard.lib.open_pages import open_to_all
from horses.accounts import reauthentication
from horses.accounts.forms.email_change import CodeForm
from horses.accounts.forms.join import JoinForm
from horses.accounts.mail_arrival import arrival_words
from horses.accounts.services.by_link import is_known_address, person_proved
from horses.accounts.services.code_mails import code_mail_mark
from horses.accounts.services.fresh_codes import SUBJECT, fresh_code_mail, fresh_code_want
from horses.models import Person, YardInvitation, YardMember, YardRole
from horses.services.deed import DeedRefused
from horses.services.yard_links import yard_link_find, yard_link_take, yard_link_taken

WINDOW_S, A_MACHINE, AN_ADDRESS = 600, 60, 8  # house defaults, as at the sign-in
PURPOSE = "yard join"
BACKEND = settings.AUTHENTICATION_BACKENDS[0]
JOIN_CODE = (
    "Here is your code to join a yard on the hoof case board:\n\n{code}\n\n"
    "Type it into the page that asked for it. It works once, for five minutes.\n"
    "If it was not you, do nothing."
)
ROLE_WORDS = {
    YardRole.MANAGER: "Runs the yard: adds horses, plans visits, says who is on the team of the "
    "yard's own horses.",
    YardRole.OWNER: "Keeps a horse there: sees that horse and no other, and decides for it.",
    YardRole.FARRIER: "Measures, writes up the visits, agrees for the farrier's side.",
    YardRole.STAND_IN: "Comes when the usual farrier cannot.",
    YardRole.VET: "Examines, answers urgent flags, agrees for the vet's side.",
    YardRole.CARER: "Groom, rider, sharer. Reads, and says when something is not right.",
}
SOMEBODY_CLOSED = "This account is closed."


@open_to_all
@require_http_methods(["GET", "POST"])
def yard_invitation(request: HttpRequest, token: str) -> HttpResponse:
    now = clock.now()
    try:
        link = yard_link_find(token=token, now=now)
    except Http404:
        return _gone(request, token)
    person = request.user
    if isinstance(person, Person):
        if request.method == "GET":
            return _page(request, link)
        return _take(request, person, token, link, now)
    posted = request.POST if request.method == "POST" else None
    form = JoinForm(posted, email=link.email)
    if not form.is_valid():
        return _page(request, link, form=form, status=200 if posted is None else 422)
    name, address = form.cleaned_data["name"], form.address
    _count(request, address, now)
    if link.email and not is_known_address(address):
        return _in(request, token, link, name, address, now)
    fresh_code_want(request.session, PURPOSE, to=address, subject=SUBJECT, words=JOIN_CODE, now=now)
    reauthentication.code_note(request.session, PURPOSE, name=name, token=token)
    return redirect("yard_invitation_code", token=token)


@open_to_all
@require_http_methods(["GET", "POST"])
def yard_invitation_code(request: HttpRequest, token: str) -> HttpResponse:
    """Where the code from the mail is typed; with the right one they have joined."""
    now = clock.now()
    asked = reauthentication.code_asked(request.session, PURPOSE)
    if asked.get("token") != token:
        return _quiet(redirect("yard_invitation", token=token))
    try:
        link = yard_link_find(token=token, now=now)
    except Http404:
        return _gone(request, token)
    posted = request.POST if request.method == "POST" else None
    form = CodeForm(posted)
    if form.is_valid():
        _count(request, asked["to"], now)
        tried = reauthentication.code_try(request.session, PURPOSE, form.cleaned_data["code"], now)
        if tried is reauthentication.Tried.RIGHT:
            return _in(request, token, link, asked["name"], asked["to"], now)
        form.add_error("code", tried.value)
    mail = fresh_code_mail(request.session, PURPOSE)
    shown = {
        "form": form,
        "link": link,
        "to": asked["to"],
        "arrival": arrival_words(mail, now=now),
        "mark": code_mail_mark(mail.public_id) if mail else "",
        "back": reverse("yard_invitation", args=[token]),
    }
    status = 200 if posted is None else 422
    return _quiet(render(request, "horses/yard_invitation_code.html", shown, status=status))


def _count(request: HttpRequest, address: str, now: datetime) -> None:
    machine = machine_of(request)
    for scope, who, limit in (
        ("join machine", machine, A_MACHINE),
        ("join address", f"{machine} {address_key(address)}", AN_ADDRESS),
    ):
        limit_check(scope, who, limit=limit, window_s=WINDOW_S, now=now, by_strangers=True)


def _in(
    request: HttpRequest, token: str, link: YardInvitation, name: str, address: str, now: datetime
) -> HttpResponse:
    """The address is proved: they are signed in, and take the link."""
    person = person_proved(address=address, name=name, now=now)
    if not person.is_active:
        return _page(request, link, form=JoinForm(email=link.email), refusal=SOMEBODY_CLOSED)
    login(request, person, backend=BACKEND)
    return _take(request, person, token, link, now)


def _take(
    request: HttpRequest, person: Person, token: str, link: YardInvitation, now: datetime
) -> HttpResponse:
    try:
        member = yard_link_take(person=person, token=token, now=now)
    except DeedRefused as refused:
        return _page(request, link, refusal=str(refused))
    except Http404:  # taken or ended between the two looks
        return _gone(request, token)
    return _welcome(request, member)


def _welcome(request: HttpRequest, member: YardMember) -> HttpResponse:
    if member.is_in_force:
        saved(request, f"Welcome to {member.yard}. You are here as {member.get_role_display()}.")
        return redirect("yard", yard_id=member.yard.public_id)
    saved(
        request,
        f"{member.invited_by} is asked to read your name and say yes. Then the horses of "
        f"{member.yard} stand in your list.",
    )
    return redirect("horses")


def _gone(request: HttpRequest, token: str) -> HttpResponse:
    """For whoever joined by it and pressed twice, where it led. For all others, not there."""
    if isinstance(request.user, Person):
        mine = yard_link_taken(person=request.user, token=token)
        if mine is not None:
            return redirect("horses")
    return _quiet(render(request, "horses/invitation_gone.html", status=404))


def _page(
    request: HttpRequest,
    link: YardInvitation,
    *,
    form: JoinForm | None = None,
    status: int = 200,
    refusal: str = "",
) -> HttpResponse:
    shown: dict[str, Any] = {
        "link": link,
        "role_words": ROLE_WORDS[YardRole(link.role)],
        "form": form,
        "proves": bool(link.email),
        "refusal": refusal,
    }
    response = render(
        request, "horses/yard_invitation.html", shown, status=422 if refusal else status
    )
    return _quiet(response)


def _quiet(response: HttpResponse) -> HttpResponse:
    """The address of this page is the way in: no other site may learn it, no cache keep it."""
    response["Referrer-Policy"] = "same-origin"
    response["Cache-Control"] = "private, no-store"
    return response

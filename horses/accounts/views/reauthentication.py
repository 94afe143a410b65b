"""Asks for a fresh code before a careful deed, without losing what was typed.

The page that asks carries the whole form along and is sent to the same address: with the right
code the deed goes on as if nothing had happened in between. A view asks after it has asked
`access`, so that nobody learns from this page that a thing exists:

    if asked := fresh_wanted(request, doing="remove Finn", back=team_url):
        return asked
    member_remove(access=fresh_access(request, access), ...)

The service refuses an access that is not fresh, so that a view which forgets to ask does nothing.

Decided 2026-11: the page that asks carries the fields along. The road not taken: the form in the
session, which mixes up two tabs. Which deeds ask is the column `asks_again` of `POLICY`; `require`
refuses there unless the access is `fresh`, which only a view that looked at its session makes it.
Proposing a therapeutic item does not ask: a vet beside the horse waits for no mail, and the item is
not agreed before somebody who was asked has agreed. Withdrawing, declining and leaving never ask.
"""

from dataclasses import replace
from datetime import datetime

from django.http import HttpResponse
from django.shortcuts import render

from caseboard.lib import clock
from caseboard.lib.limits import limit_check
from horses.access import CaseAccess
from horses.accounts import reauthentication
from horses.accounts.mail_arrival import BEFORE_A_DEED, arrival_words
from horses.accounts.request import SignedInRequest
from horses.accounts.services.code_mails import code_mail_mark
from horses.accounts.services.fresh_codes import FRESH, SUBJECT, fresh_code_mail, fresh_code_want

CODES_A_WINDOW = 8  # house default, as at the sign-in
WINDOW_S = 600
TYPED, AGAIN, LOOK = "fresh_code", "fresh_again", "fresh_look"
OWN_FIELDS = {TYPED, AGAIN, LOOK, "csrfmiddlewaretoken"}
PURPOSE = "deed"
NOTHING_TYPED = "Please type the code from the mail."


def fresh_wanted(request: SignedInRequest, *, doing: str, back: str) -> HttpResponse | None:
    """None when the person showed lately who they are, else the page that asks them to.

    `doing` completes "To ..., ..."; `back` is where somebody goes who would rather not.
    """
    now = clock.now()
    if reauthentication.is_fresh(request.session, now):
        return None
    typed = request.POST.get(TYPED)
    if LOOK in request.POST:
        return _page(request, doing, back)
    if typed is None or AGAIN in request.POST:
        _send(request, now)
        return _page(request, doing, back)
    if not typed.strip():
        return _page(request, doing, back, NOTHING_TYPED)
    tried = reauthentication.code_try(request.session, PURPOSE, typed, now)
    if tried is reauthentication.Tried.RIGHT:
        reauthentication.fresh_stamp(request.session, now)
        return None
    return _page(request, doing, back, tried.value)


def fresh_access(request: SignedInRequest, access: CaseAccess) -> CaseAccess:
    """The access, which knows from now on whether this browser showed lately who sits at it."""
    return replace(access, fresh=reauthentication.is_fresh(request.session, clock.now()))


def _send(request: SignedInRequest, now: datetime) -> None:
    person = request.user
    limit_check(
        "fresh code",
        person.public_id,
        limit=CODES_A_WINDOW,
        window_s=WINDOW_S,
        now=now,
        what="codes by mail",
    )
    fresh_code_want(
        request.session, PURPOSE, to=person.email, subject=SUBJECT, words=FRESH, now=now
    )


def _page(request: SignedInRequest, doing: str, back: str, trouble: str = "") -> HttpResponse:
    carried = [
        (name, value)
        for name, values in request.POST.lists()
        if name not in OWN_FIELDS
        for value in values
    ]
    mail = fresh_code_mail(request.session, PURPOSE)
    shown = {
        "arrival": arrival_words(mail, now=clock.now(), ways=BEFORE_A_DEED),
        "mark": code_mail_mark(mail.public_id) if mail else "",
        "doing": doing,
        "back": back,
        "trouble": trouble,
        "carried": carried,
        "typed": "" if AGAIN in request.POST else request.POST.get(TYPED, ""),
    }
    return render(request, "horses/fresh.html", shown, status=422 if trouble else 200)

"""Changing the address somebody signs in with, and taking the change back by the old address."""

from datetime import datetime

from django.contrib.auth import logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.limits import limit_check
from caseboard.lib.open_pages import open_to_all
from horses.accounts import reauthentication
from horses.accounts.forms.email_change import AddressForm, CodeForm
from horses.accounts.mail_arrival import TO_A_NEW_ADDRESS, arrival_words
from horses.accounts.request import SignedInRequest
from horses.accounts.services.code_mails import code_mail_mark
from horses.accounts.services.email_changes import (
    AddressTaken,
    address_change,
    address_is_taken,
    address_put_back,
    way_back_find,
)
from horses.accounts.services.fresh_codes import (
    NEW_ADDRESS,
    SUBJECT,
    SUBJECT_TAKEN,
    TAKEN,
    fresh_code_mail,
    fresh_code_want,
)
from horses.accounts.views.reauthentication import fresh_wanted

CODES_A_WINDOW, WINDOW_S = 8, 600  # house default, as at the sign-in
PURPOSE, KEEP = "address", "address"


@require_http_methods(["GET", "POST"])
def address(request: SignedInRequest) -> HttpResponse:
    """Where it is typed. The code goes to the new address, after one to the old."""
    posted = request.POST if request.method == "POST" else None
    form = AddressForm(posted, current=request.user.email)
    if form.is_valid():
        doing = f"sign in with {form.cleaned_data['email']} from now on"
        if asked := fresh_wanted(request, doing=doing, back=reverse("sign_ins")):
            return asked
        _send(request, form.cleaned_data["email"], clock.now())
        return redirect("address_confirm")
    shown = {"form": form, "keep": KEEP}
    return render(request, "horses/address.html", shown, status=200 if posted is None else 422)


def _send(request: SignedInRequest, new: str, now: datetime) -> None:
    """The same page, work and answer whether the address is free or somebody's already."""
    for who in (request.user.public_id, new.casefold()):
        limit_check("new address", who, limit=CODES_A_WINDOW, window_s=WINDOW_S, now=now)
    taken = address_is_taken(person=request.user, address=new)
    subject, words = (SUBJECT_TAKEN, TAKEN) if taken else (SUBJECT, NEW_ADDRESS)
    fresh_code_want(request.session, PURPOSE, to=new, subject=subject, words=words, now=now)


@require_http_methods(["GET", "POST"])
def address_confirm(request: SignedInRequest) -> HttpResponse:
    """Where the code from the new address is typed."""
    now = clock.now()
    new = reauthentication.code_asked(request.session, PURPOSE).get("to", "")
    if not new:
        return redirect("address")
    posted = request.POST if request.method == "POST" else None
    form = CodeForm(posted)
    if form.is_valid():
        tried = reauthentication.code_try(request.session, PURPOSE, form.cleaned_data["code"], now)
        if tried is reauthentication.Tried.RIGHT and _change(request, new, now):
            return redirect("sign_ins")
        form.add_error(
            "code",
            reauthentication.Tried.WRONG.value
            if tried is reauthentication.Tried.RIGHT
            else tried.value,
        )
    mail = fresh_code_mail(request.session, PURPOSE)
    shown = {
        "form": form,
        "new": new,
        "arrival": arrival_words(mail, now=now, ways=TO_A_NEW_ADDRESS),
        "mark": code_mail_mark(mail.public_id) if mail else "",
    }
    status = 200 if posted is None else 422
    return render(request, "horses/address_confirm.html", shown, status=status)


def _change(request: SignedInRequest, new: str, now: datetime) -> bool:
    old = request.user.email
    try:
        address_change(person=request.user, new=new, now=now)
    except AddressTaken:
        return False
    saved(request, f"From now on you sign in with {new}. A mail to {old} says so too.", keep=KEEP)
    return True


@open_to_all
@require_http_methods(["GET", "POST"])
def address_back(request: HttpRequest, change_id: str, way_back: str) -> HttpResponse:
    """The link in the mail to the old address. Opening it changes nothing."""
    now = clock.now()
    try:
        change = way_back_find(public_id=change_id, token=way_back, now=now)
        if request.method == "POST":
            change = address_put_back(public_id=change_id, token=way_back, now=now)
    except (Http404, AddressTaken):
        return _quiet(render(request, "horses/address_back_gone.html", status=404))
    if request.method == "GET":
        return _quiet(render(request, "horses/address_back.html", {"change": change}))
    logout(request)
    saved(request, f"{change.old} signs in again, and everybody is signed out. Sign in to go on.")
    return redirect("account_login")


def _quiet(response: HttpResponse) -> HttpResponse:
    """The address of this page is the way back: nothing else may learn or keep it."""
    response["Referrer-Policy"] = "same-origin"
    response["Cache-Control"] = "private, no-store"
    return response

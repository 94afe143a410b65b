"""Adding a passkey, signing in with one, taking one away."""

import logging

from django import forms
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.known_browser import known_browser
from caseboard.lib.limits import limit_check
from caseboard.lib.machine import machine_of
from caseboard.lib.open_pages import open_to_all
from caseboard.lib.text_safe import SafeCharField
from horses.accounts import passkey_protocol
from horses.accounts.devices import UNKNOWN, device_words
from horses.accounts.passkey_protocol import PasskeyWrong
from horses.accounts.request import SignedInRequest
from horses.accounts.services.passkeys import passkey_add as add_save
from horses.accounts.services.passkeys import passkey_find, passkey_used
from horses.accounts.services.passkeys import passkey_remove as remove_save
from horses.accounts.views.reauthentication import fresh_wanted

A_WINDOW_FOR_A_MACHINE, WINDOW_S = 60, 600  # house default, as for codes
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
NOT_ADDED = "The passkey was not added. Try once more; codes by mail work as before."
NOT_IN = "That passkey does not open this board. Sign in by a code in place of it."
log = logging.getLogger("horses.accounts.passkey_protocol")


class PasskeyForm(forms.Form):
    name = SafeCharField(
        label="Name of this passkey",
        max_length=60,
        help_text="So that you know later which phone or computer it is in.",
    )
    credential = forms.CharField(widget=forms.HiddenInput, required=False)


@require_http_methods(["GET", "POST"])
def passkey_add(request: SignedInRequest) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    device = device_words(request.headers.get("User-Agent", ""))
    form = PasskeyForm(posted, initial={"name": "" if device == UNKNOWN else device})
    if form.is_valid():
        doing = f"add the passkey “{form.cleaned_data['name']}”"
        if asked := fresh_wanted(request, doing=doing, back=reverse("sign_ins")):
            return asked
        if _add(request, form):
            return redirect("sign_ins")
        form.add_error(None, NOT_ADDED)
    possible = passkey_protocol.passkeys_possible(request)
    shown = {
        "form": form,
        "possible": possible,
        "options": passkey_protocol.add_begin(request, request.user) if possible else "",
    }
    return render(request, "horses/passkey_add.html", shown, status=200 if posted is None else 422)


def _add(request: SignedInRequest, form: PasskeyForm) -> bool:
    given = form.cleaned_data
    try:
        key = passkey_protocol.add_finish(request, given["credential"])
        add_save(person=request.user, key=key, name=given["name"], now=clock.now())
    except PasskeyWrong as refused:
        log.warning("passkey.not_added why=%s", refused)
        return False
    saved(request, f"Added: {given['name']}. You can sign in with it from now on.")
    return True


@require_POST
def passkey_remove(request: SignedInRequest, passkey_id: str) -> HttpResponse:
    if asked := fresh_wanted(request, doing="take the passkey away", back=reverse("sign_ins")):
        return asked
    name = remove_save(person=request.user, public_id=passkey_id)
    saved(request, f"Taken away: {name}. You may delete it from the device too.")
    return redirect("sign_ins")


@open_to_all
@require_http_methods(["GET", "POST"])
def passkey_sign_in(request: HttpRequest) -> HttpResponse:
    """GET gives the script of the sign-in page a challenge, POST takes the answer."""
    now = clock.now()
    known = known_browser(request)
    limit_check(
        "passkey browser" if known else "passkey machine",
        known.device if known else machine_of(request),
        limit=A_WINDOW_FOR_A_MACHINE,
        window_s=WINDOW_S,
        now=now,
        by_strangers=True,
    )
    if request.method == "GET":
        challenge = JsonResponse(passkey_protocol.sign_in_begin(request))
        challenge["Cache-Control"] = "no-store"
        return challenge
    try:
        answer = request.POST.get("credential", "")
        passkey, count = passkey_protocol.sign_in_finish(request, answer, passkey_find)
        passkey_used(passkey=passkey, sign_count=count, now=now)
    except PasskeyWrong as refused:
        log.warning("passkey.refused why=%s", refused)
        saved(request, NOT_IN)
        return redirect("account_request_login_code")
    request.way_in = "passkey"  # type: ignore[attr-defined]  # read by the line of the sign-in
    login(request, passkey.person, backend=BACKEND)
    return redirect(_next(request))


def _next(request: HttpRequest) -> str:
    """Only a path of our own."""
    to = request.POST.get("next", "")
    ours = to.startswith("/") and url_has_allowed_host_and_scheme(to, allowed_hosts=None)
    return to if ours else reverse("horses")

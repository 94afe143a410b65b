"""How somebody signs in, and where they are signed in now."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.accounts.request import SignedInRequest
from horses.accounts.services.sessions import sign_in_end as end_one
from horses.accounts.services.sessions import sign_ins_end_others as end_others
from horses.accounts.services.sessions import sign_ins_of


@require_safe
def sign_ins(request: SignedInRequest) -> HttpResponse:
    now = clock.now()
    rows = sign_ins_of(request.user, now=now)
    here = [row for row in rows if row.session_key == request.session.session_key]
    others = [row for row in rows if row not in here]
    shown = {"here": here, "others": others, "now": now, "passkeys": request.user.passkeys.all()}
    return render(request, "horses/sign_ins.html", shown)


@require_POST
def sign_in_end(request: SignedInRequest, handle: str) -> HttpResponse:
    row = end_one(person=request.user, handle=handle, now=clock.now())
    if row.session_key == request.session.session_key:
        request.session.flush()
        return redirect("account_login")
    saved(request, f"Signed out there: {row.device}.")
    return redirect("sign_ins")


@require_POST
def sign_ins_end_others(request: SignedInRequest) -> HttpResponse:
    ended = end_others(person=request.user, but_key=request.session.session_key or "")
    saved(request, "Signed out everywhere else." if ended else "You were signed in only here.")
    return redirect("sign_ins")

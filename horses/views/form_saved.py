"""What a phone asks about the drafts it keeps, and the page that lists them."""

from django.http import HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from horses.accounts.request import SignedInRequest
from horses.services.drafts import draft_was_accepted
from horses.services.idempotency import key_used

LONGEST_KEY = 64  # as in the column


@require_safe
def form_saved(request: SignedInRequest) -> HttpResponse:
    """Whether a form that a phone still keeps was saved after all: its answer may have been lost.
    Of the person's own forms only; any other key was not used."""
    key = request.GET.get("key", "")
    whole = len(key) <= LONGEST_KEY and "\0" not in key
    was = whole and (key_used(request.user, key) or draft_was_accepted(request.user, key))
    return JsonResponse({"saved": was})


@require_safe
def draft_sender(request: SignedInRequest) -> HttpResponse:
    """Who is signed in here, a token for what they send (a kept page's own may be of last week), and
    what time it is."""
    said = {"person": request.user.public_id, "token": get_token(request), "now": clock.now_ms()}
    return JsonResponse(said)


@require_safe
def waiting(request: SignedInRequest) -> HttpResponse:
    """Waiting in this phone: the page is the same for everybody, what it lists is in the phone."""
    return render(request, "horses/waiting.html")

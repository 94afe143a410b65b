"""Which foot the card on a chosen picture was last used for: asked before the picture is added."""

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from caseboard.lib import clock
from caseboard.lib.limits import limit_check
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from measurements.forms.card_asked import CardAskedForm
from measurements.panels.card_offered import card_offered
from measurements.queries.card_uses import last_use
from measurements.queries.picture_card import card_searched


@require_POST
def card_asked(request: SignedInRequest, case_id: str) -> HttpResponse:
    """A part of the page: the offer, or nothing. The picture is not kept."""
    access = access_get(request.user, case_id)
    require(access, "picture.add")
    limit_check(
        "picture.card",
        request.user.public_id,
        limit=settings.LIMIT_PHOTO_FORMS,
        window_s=3600,
        now=clock.now(),
        what="photos",
    )
    form = CardAskedForm(request.POST, request.FILES)
    if not form.is_valid():
        return HttpResponse(status=422)
    (photo,) = form.cleaned_data["picture"]
    seen = card_searched(photo.jpeg, photo.sha256)
    use = last_use(request.user, seen.number) if seen else None
    offered = card_offered(access, seen.number, use, request.user) if seen else None
    return render(request, "measurements/card_offered.html", {"offered": offered})

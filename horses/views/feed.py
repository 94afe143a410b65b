"""A person's private calendar: its address, made and taken back, and what a calendar reads there."""

import hashlib

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.limits import limit_check
from caseboard.lib.open_pages import open_to_all
from horses.accounts.reauthentication import is_fresh
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_wanted
from horses.presenters.calendar import visits_calendar
from horses.queries.calendar_feed import feed_visits_for
from horses.services.feeds import (
    feed_find,
    feed_make,
    feed_name_places,
    feed_of,
    feed_revoke,
    feed_token,
)

# Calendars look every hour or so, on several devices of one person. House default.
READS_AN_HOUR = 120
NEW_ADDRESSES_AN_HOUR = 20  # house default


@require_http_methods(["GET", "POST"])
def my_calendar(request: SignedInRequest) -> HttpResponse:
    now = clock.now()
    if request.method == "POST":
        if request.POST.get("act") in ("place", "no-place"):
            feed_name_places(person=request.user, wanted=request.POST["act"] == "place")
            messages.success(request, "Saved. The calendar shows it at its next look.")
            return redirect("my_calendar")
        revoking = request.POST.get("act") == "revoke"
        if not revoking and (asked := _asked(request)):
            return asked
        limit_check(
            "calendar_new",
            request.user.public_id,
            limit=NEW_ADDRESSES_AN_HOUR,
            window_s=3600,
            now=now,
            what="new calendar addresses",
        )
        if revoking:
            feed_revoke(person=request.user, now=now)
            messages.success(request, "The address opens nothing any more.")
        else:
            feed_make(person=request.user, fresh=is_fresh(request.session, now), now=now)
            messages.success(request, "Here is your new address. An older one opens nothing now.")
        return redirect("my_calendar")
    feed = feed_of(request.user)
    path = reverse("calendar_feed", args=[feed_token(feed.public_id)]) if feed else ""
    shown = {"feed": feed, "address": f"{settings.SITE_URL}{path}" if feed else ""}
    return render(request, "horses/my_calendar.html", shown)


def _asked(request: SignedInRequest) -> HttpResponse | None:
    doing = "make a new address for your calendar"
    return fresh_wanted(request, doing=doing, back=reverse("my_calendar"))


@open_to_all
@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """Whoever holds the address reads it: calendars cannot sign in. Looked up before it is counted,
    so that addresses somebody makes up leave nothing behind."""
    now = clock.now()
    feed = feed_find(token)
    limit_check(
        "calendar", feed.public_id, limit=READS_AN_HOUR, window_s=3600, now=now, what="readings"
    )
    visits = feed_visits_for(feed.person, today=timezone.localtime(now).date())
    body = visits_calendar(
        visits, name="Hoof visits", site=settings.SITE_URL, with_place=feed.with_place
    )
    answer = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'inline; filename="hoof-visits.ics"'
    answer["Cache-Control"] = "private, no-cache"  # kept, and asked about before each use
    answer["ETag"] = etag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    answer["X-Robots-Tag"] = "noindex"
    answer["Referrer-Policy"] = "no-referrer"
    return get_conditional_response(request, etag=etag, response=answer) or answer

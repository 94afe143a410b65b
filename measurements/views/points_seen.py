"""Who saw what others made of a picture does not place its points blind any more.

Kept in the browser, for this picture's pages alone: looking writes nothing here.
"""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from horses.models import Picture

SEEN = "points-seen"
SEEN_FOR_S = 400 * 24 * 3600  # as long as browsers keep a cookie; house default


def _name(picture: Picture) -> str:
    """One a picture: a page may show what several say."""
    return f"{SEEN}-{picture.public_id}"


def was_seen(request: HttpRequest, picture: Picture) -> bool:
    return _name(picture) in request.COOKIES


def seen_mark(response: HttpResponse, case_id: str, picture: Picture) -> None:
    response.set_cookie(
        _name(picture),
        "1",
        max_age=SEEN_FOR_S,
        path=reverse("picture_points", args=[case_id, picture.public_id]),
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )

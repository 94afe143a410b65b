"""The files of pictures, whole and small: for who sees the picture only; never by a public address."""

import io
from typing import Any

from django.http import FileResponse, Http404, HttpResponse
from django.views.decorators.http import require_safe

from caseboard.lib.logging.fields import logger
from caseboard.lib.photo import PictureUnreadable, made_small
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.models import Picture
from horses.queries.pictures import picture_get

log = logger("horses.photos")

NO_STORE = "private, no-store"


@require_safe
def picture_file(request: SignedInRequest, case_id: str, picture_id: str) -> Any:
    return _answer(_seen(request, case_id, picture_id), small=False)


@require_safe
def picture_small(request: SignedInRequest, case_id: str, picture_id: str) -> Any:
    """For a page that shows many."""
    return _answer(_seen(request, case_id, picture_id), small=True)


def _seen(request: SignedInRequest, case_id: str, picture_id: str) -> Picture:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    found = picture_get(access, picture_id)
    if not found.file:
        raise Http404("blanked out")
    return found


def _small(kept: bytes) -> bytes:
    """What cannot be made smaller goes out whole: it is the file that was kept."""
    try:
        return made_small(kept)
    except PictureUnreadable:
        return kept


def _answer(found: Picture, *, small: bool) -> Any:
    try:
        content: Any = found.file.open("rb")
        if small:
            with content:
                content = io.BytesIO(_small(content.read()))
    except FileNotFoundError:
        raise Http404("the file is not there") from None
    except OSError as error:  # the storage does not answer: not the same as gone
        log.error("photo.not_read", error=type(error).__name__)
        return HttpResponse(
            "This photo cannot be fetched just now.",
            status=503,
            content_type="text/plain",
            headers={"Retry-After": "60"},
        )
    response = FileResponse(content, content_type="image/jpeg")
    response["Content-Disposition"] = f'inline; filename="picture-{found.public_id}.jpg"'
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    response["Cache-Control"] = NO_STORE
    return response

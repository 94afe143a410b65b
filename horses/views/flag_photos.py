"""The photos of a flag: shown to the team, added later, blanked out."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.limits import limit_check
from caseboard.lib.logging.fields import logger
from caseboard.lib.spans import one_or
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.flag import BlankForm, PhotosForm
from horses.queries.flags import flag_get
from horses.services.photos import flag_photos_add, photo_get
from horses.services.photos import photo_blank as photo_blank_out
from horses.views.attempt import attempt
from horses.views.page import case_page

log = logger("horses.photos")

NO_STORE = "private, no-store"
OTHER_PHOTOS = "This form was sent before with other photos. Choose once more."


def count_photo_form(person_id: str) -> None:
    """Raises TooMany; asked before the photos are read."""
    limit_check(
        "flag.photos",
        person_id,
        limit=settings.LIMIT_PHOTO_FORMS,
        window_s=3600,
        now=clock.now(),
        what="photos",
    )


@require_POST
def photos_add(request: SignedInRequest, case_id: str, flag_id: str) -> HttpResponse:
    """Back to the flag in any case: a browser does not keep chosen photos, so nothing is lost.

    (Too many of them in an hour have the page of their own that all limits have.)
    """
    access = access_get(request.user, case_id)
    require(access, "flag.photo")
    flag_get(access, flag_id)
    count_photo_form(access.person.public_id)
    form = PhotosForm(request.POST, request.FILES)
    if form.is_valid():
        photos = form.cleaned_data["photos"]
        answer = attempt(
            form,
            lambda: flag_photos_add(
                access=access,
                flag_id=flag_id,
                photos=photos,
                client_key=form.key,
                now=clock.now(),
            ),
            sent_before=OTHER_PHOTOS,
        )
        if answer.made is not None:
            words = one_or(len(photos), "The photo is added.", f"{len(photos)} photos are added.")
            saved(request, f"{words} The team is told.")
            return redirect("flag", case_id, flag_id)
    refused = form.errors.get("photos") or form.non_field_errors() or ["Choose a photo first."]
    for reason in refused:
        messages.error(request, str(reason))
    return redirect("flag", case_id, flag_id)


@require_safe
def photo(request: SignedInRequest, case_id: str, flag_id: str, photo_id: str) -> Any:
    """The picture itself, for the team only; never through a public address."""
    access = access_get(request.user, case_id)
    require(access, "case.see")
    found = photo_get(access, flag_id, photo_id)
    if not found.file:
        raise Http404("blanked out")
    try:
        content = found.file.open("rb")
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
    response["Content-Disposition"] = f'inline; filename="photo-{found.public_id}.jpg"'
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    response["Cache-Control"] = NO_STORE
    return response


@require_http_methods(["GET", "POST"])
def photo_blank(
    request: SignedInRequest, case_id: str, flag_id: str, photo_id: str
) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "flag.redact")
    found = photo_get(access, flag_id, photo_id)
    form = BlankForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        answer = attempt(
            form,
            lambda: photo_blank_out(
                access=access, flag_id=flag_id, photo_id=photo_id, reason=reason, now=clock.now()
            ),
        )
        if answer.made is not None:
            saved(request, "The photo is blanked out. The picture is deleted.")
            return redirect("flag", case_id, flag_id)
    status = 422 if form.errors else 200
    context = {"form": form, "photo": found, "flag": found.flag}
    return case_page(request, access, "horses/photo_blank.html", context, status=status)

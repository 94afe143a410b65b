"""Pictures: the strip of them by foot and view, one large, added, blanked out; the files themselves."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.errors import TooMany
from caseboard.lib.flash_saved import saved
from caseboard.lib.limits import limit_check
from caseboard.lib.spans import counted, one_or
from caseboard.lib.text_safe import safe_line
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.domain.wording import readers_short
from horses.forms.flag import BlankForm
from horses.forms.pictures import PictureForm
from horses.models import Picture
from horses.models.base import Record
from horses.presenters.picture_words import OF_WORDS, picture_shown, shows_words
from horses.queries.pictures import (
    by_foot_and_view,
    of_one_view,
    picture_get,
    pictures_for,
    thing_get,
)
from horses.services.pictures import may_blank, picture_blank, pictures_add
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page

OTHER_PICTURES = "This form was sent before with other pictures. Choose once more."


def count_picture_form(person_id: str) -> None:
    """Raises TooMany; asked before the pictures are read."""
    limit_check(
        "flag.photos",
        person_id,
        limit=settings.LIMIT_PHOTO_FORMS,
        window_s=3600,
        now=clock.now(),
        what="photos",
    )


def pictures_wait(request: SignedInRequest) -> TooMany | None:
    """Why the pictures of this form wait, where too many were sent in the last hour."""
    try:
        if request.FILES:
            count_picture_form(request.user.public_id)
    except TooMany as error:
        return error
    return None


def too_many_answer(
    form: forms.Form,
    error: TooMany,
    page: Callable[[int], HttpResponse],
    *,
    field: str = "pictures",
) -> HttpResponse:
    """The page of the form again, with all that was typed; `page` is handed the status."""
    minutes = -(-error.retry_after_s // 60)
    form.add_error(
        field,
        "Many photos were sent from here in the last hour. Send this without photos now, or with "
        f"them in {counted(minutes, 'minute')}.",
    )
    response = page(429)
    response["Retry-After"] = str(error.retry_after_s)
    return response


@require_safe
def picture_list(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    standing = list(pictures_for(access).standing())
    groups = [
        {
            "foot": foot,
            "view": view,
            "words": shows_words(foot, view, request.user),
            "pictures": [picture_shown(p, request.user) for p in reversed(found)],
            "comparable": bool(foot or view == "whole") and len(found) > 1,
        }
        for foot, view, found in by_foot_and_view(standing)
    ]
    gone = pictures_for(access).count() - len(standing)
    return case_page(request, access, "horses/pictures.html", {"groups": groups, "gone": gone})


# -- adding


@require_http_methods(["GET", "POST"])
def picture_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    """`?of=visit&id=…`: for a thing that is there; `foot` and `view` are filled in."""
    access = access_get(request.user, case_id)
    require(access, "picture.add")
    of, thing = _thing(request, access)
    today = timezone.localtime(clock.now()).date()
    if request.method != "POST":
        filled = {f"picture_{name}": request.GET.get(name, "") for name in ("foot", "view")}
        form = PictureForm(today=today, role=access.role, initial=filled)
        return _new_page(request, access, form, of, thing)
    if too_many := pictures_wait(request):
        form = PictureForm(request.POST, today=today, role=access.role)
        return too_many_answer(
            form,
            too_many,
            lambda status: _new_page(request, access, form, of, thing, status=status),
        )
    form = PictureForm(request.POST, request.FILES, today=today, role=access.role)
    if not form.is_valid():
        return _new_page(request, access, form, of, thing, status=422)
    answer = attempt(
        form,
        lambda: pictures_add(
            access=access,
            taken=form.taken(form.cleaned_data["on"]),
            of=of,
            of_id=thing.public_id if thing else "",
            client_key=form.key,
            now=clock.now(),
        ),
        sent_before=OTHER_PICTURES,
    )
    if answer.made is None:
        return _new_page(request, access, form, of, thing, status=answer.status)
    many = len(answer.made)
    words = one_or(many, "The picture is added.", f"{many} pictures are added.")
    saved(request, words, keep=_keep(access, thing))
    return redirect("picture", case_id, answer.made[0].public_id)


def _thing(request: HttpRequest, access: CaseAccess) -> tuple[str, Record | None]:
    of = safe_line(request.GET.get("of", ""))
    if not of:
        return "", None
    return of, thing_get(access, of, safe_line(request.GET.get("id", "")))


def _keep(access: CaseAccess, thing: Record | None) -> str:
    return f"picture-{(thing or access.case).public_id}"


def _new_page(
    request: HttpRequest,
    access: CaseAccess,
    form: PictureForm,
    of: str,
    thing: Record | None,
    *,
    status: int = 200,
) -> HttpResponse:
    note_readers = getattr(thing, "audience_roles", None)
    shown = {
        "form": form,
        "of_words": OF_WORDS.get(of, ""),
        "readers": readers_short(note_readers) if note_readers else "the whole team",
        "keep": _keep(access, thing),
        "way_back": reverse("pictures", args=[access.case.public_id]),
    }
    return case_page(request, access, "horses/picture_new.html", shown, status=status)


# -- one of them


@require_safe
def picture(request: SignedInRequest, case_id: str, picture_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    found = picture_get(access, picture_id)
    shown = {
        "picture": found,
        "shown": picture_shown(found, request.user),
        "of_path": _path_of(access, found),
        "compares": len(of_one_view(access, foot=found.foot, view=found.view)) > 1,
        "may_blank": may(access, "picture.redact")
        and may_blank(access, found)
        and found.redacted_at is None,
        "stands": pictures_for(access).standing().filter(pk=found.pk).exists(),
    }
    return case_page(request, access, "horses/picture.html", shown)


def _path_of(access: CaseAccess, found: Picture) -> str:
    """Where what it was added to stands."""
    case_id = access.case.public_id
    if found.flag:
        return reverse("flag", args=[case_id, found.flag.public_id])
    if found.exam:
        return reverse("exam", args=[case_id, found.exam.public_id])
    if found.visit:
        return reverse("visits", args=[case_id])
    return board_url(access)


@require_http_methods(["GET", "POST"])
def picture_blank_out(request: SignedInRequest, case_id: str, picture_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "picture.redact")
    found = picture_get(access, picture_id)
    if not may_blank(access, found):
        raise PermissionDenied("The owner blanks out any picture; everybody else their own.")
    form = BlankForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        answer = attempt(
            form,
            lambda: picture_blank(
                access=access, picture_id=picture_id, reason=reason, now=clock.now()
            ),
        )
        if answer.made is not None:
            saved(request, "The picture is blanked out. Its file is deleted.")
            return redirect("picture", case_id, picture_id)
    shown: dict[str, Any] = {
        "form": form,
        "picture": found,
        "shown": picture_shown(found, request.user),
    }
    status = 422 if form.errors else 200
    return case_page(request, access, "horses/picture_blank.html", shown, status=status)

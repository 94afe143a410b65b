"""Points on a picture: placed, reckoned while they are placed, shown with what comes of them."""

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.models import Picture
from horses.views.attempt import attempt
from horses.views.page import case_page
from measurements.forms.picture_points import (
    PointsForm,
    SizeForm,
    corners_read,
    four_corners,
    points_read,
)
from measurements.forms.picture_typed import typed_cells
from measurements.forms.points_readings import PointsReadingsForm
from measurements.hoof.points import ViewAsked
from measurements.models import PicturePoints
from measurements.panels.points_agree import agree_shown
from measurements.panels.points_editor import card_told, editor_shown
from measurements.panels.points_sentences import picture_helps
from measurements.panels.points_shown import PointsShown, shown_points
from measurements.panels.points_words import values_shown
from measurements.pictures.known import KNOWN, TRIED
from measurements.queries.numbers import Numbers
from measurements.queries.numbers_kept import numbers_kept
from measurements.queries.picture_card import card_corners
from measurements.queries.picture_points import (
    Scale,
    picture_to_measure,
    points_get,
    reckoned_so_far,
)
from measurements.queries.points_agreement import pairs_agree
from measurements.queries.tap_errors import tap_px_of
from measurements.services.picture_points import Placed, place_right, points_place
from measurements.services.points_readings import points_readings_record
from measurements.views.points_seen import seen_mark, was_seen


@require_http_methods(["GET", "POST"])
def picture_points(request: SignedInRequest, case_id: str, picture_id: str) -> HttpResponse:
    access, picture, asked = _opened(request, case_id, picture_id)
    form = PointsForm(request.POST if request.method == "POST" else None, asked=asked)
    if request.method == "GET":
        return _editor(request, access, picture, asked, form)
    if not form.is_valid():
        return _editor(request, access, picture, asked, form, status=422)
    found = card_corners(picture) if asked.takes_card else None
    answer = attempt(
        form,
        lambda: points_place(
            access=access,
            picture_id=picture_id,
            placed=Placed(
                points=form.points,
                card_corners=found or four_corners(form.corners),
                card_mm=form.card_size,
                card_by_hand=not found,
                card_nearer_mm=form.card_nearer_mm,
                marker_mm=form.cleaned_data.get("marker_mm"),
                shoe_then=form.cleaned_data.get("shoe_then", ""),
                blind=not was_seen(request, picture),
            ),
            client_key=form.key,
            now=clock.now(),
        ),
    )
    if answer.made is None:
        return _editor(request, access, picture, asked, form, status=answer.status)
    saved(request, "The points are saved.")
    return redirect("points_shown", case_id, picture_id, answer.made.public_id)


@require_safe
def points_values(request: SignedInRequest, case_id: str, picture_id: str) -> HttpResponse:
    """What the points come to so far, as a part of the editor."""
    access, picture, asked = _opened(request, case_id, picture_id)
    sizes, points = SizeForm(request.GET, asked=asked), points_read(request.GET, asked)
    if not sizes.is_valid():
        return render(request, "measurements/points_values.html", {"sizes": sizes})
    found = card_corners(picture) if asked.takes_card else None
    scale = Scale(
        corners=found or four_corners(corners_read(request.GET, asked)),
        card_mm=sizes.card_size,
        by_hand=not found,
        nearer_mm=sizes.card_nearer_mm,
        marker_mm=sizes.cleaned_data.get("marker_mm"),
    )
    results = reckoned_so_far(picture, points, scale, tap_px=tap_px_of(access.person))
    values = values_shown(results, asked, points, request.user.length_unit)
    return render(request, "measurements/points_values.html", {"values": values})


@require_safe
def points_card(request: SignedInRequest, case_id: str, picture_id: str) -> JsonResponse:
    """The card's square on the picture: searching for it takes a second, which the page does not wait."""
    _, picture, _ = _opened(request, case_id, picture_id)
    return JsonResponse(card_told(picture, card_corners(picture)))


def _opened(
    request: SignedInRequest, case_id: str, picture_id: str
) -> tuple[CaseAccess, Picture, ViewAsked]:
    access = access_get(request.user, case_id)
    picture, asked = picture_to_measure(access, picture_id)
    require(access, place_right(picture.view))
    return access, picture, asked


def _editor(
    request: HttpRequest,
    access: CaseAccess,
    picture: Picture,
    asked: ViewAsked,
    form: PointsForm,
    *,
    status: int = 200,
) -> HttpResponse:
    today = clock.now().date()
    numbers = numbers_kept(access.horse, today=today)
    shown = {
        "picture": picture,
        "form": form,
        "helps": picture_helps(numbers, picture.foot, picture.view, today),
        "may_type": bool(typed_cells(picture, asked)),
        "editor": editor_shown(access, picture, asked, placed=form.points, corners=form.corners),
        "asked": asked,
        "tried": TRIED,
        "known": KNOWN,
    }
    return case_page(request, access, "measurements/picture_points.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def points_shown(
    request: SignedInRequest, case_id: str, picture_id: str, points_id: str
) -> HttpResponse:
    """What placed points come to; who placed them writes the values down from here."""
    access = access_get(request.user, case_id)
    picture, asked = picture_to_measure(access, picture_id)
    row = points_get(access, picture, points_id)
    today = clock.now().date()
    numbers = numbers_kept(access.horse, today=today)
    found = shown_points(access, row, asked, numbers, today)
    form = _readings_form(request, access, row, found, numbers)
    if request.method == "GET":
        response = _shown(request, access, row, found, form)
        if row.placed_by_id == access.person.pk:
            return response
        seen_mark(response, case_id, picture)
        return response
    require(access, "reading.record")
    if form is None:
        raise PermissionDenied("There is nothing here for you to write down.")
    if not form.is_valid():
        return _shown(request, access, row, found, form, status=422)
    answer = attempt(
        form,
        lambda: points_readings_record(
            access=access,
            points_id=points_id,
            readings=form.readings,
            client_key=form.key,
            now=clock.now(),
        ),
    )
    if answer.made is None:
        return _shown(request, access, row, found, form, status=answer.status)
    saved(request, "The values are saved. The picture and its points stay with them.")
    return redirect("foot", case_id, picture.foot)


def _readings_form(
    request: SignedInRequest,
    access: CaseAccess,
    row: PicturePoints,
    found: PointsShown,
    numbers: Numbers,
) -> PointsReadingsForm | None:
    """None where there is nothing for this person to write down."""
    if not (found.to_write_down and may(access, "reading.record")):
        return None
    return PointsReadingsForm(
        request.POST if request.method == "POST" else None,
        row=row,
        found=found.to_write_down,
        numbers=numbers,
        length_unit=request.user.length_unit,
        today=clock.now().date(),
    )


def _shown(
    request: HttpRequest,
    access: CaseAccess,
    row: PicturePoints,
    found: PointsShown,
    form: PointsReadingsForm | None,
    *,
    status: int = 200,
) -> HttpResponse:
    shown = {
        "picture": row.picture,
        "row": row,
        "found": found,
        "form": form,
        "agree": agree_shown(
            pairs_agree(access, row.view, row.placed_by_id), access.person.length_unit
        ),
        "mine": row.placed_by_id == access.person.pk,
        "may_place": may(access, place_right(row.view)),
        "tried": TRIED,
        "known": KNOWN,
    }
    return case_page(request, access, "measurements/points_shown.html", shown, status=status)

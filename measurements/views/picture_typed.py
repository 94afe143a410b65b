"""Values typed beside a picture: for whoever measures on it in another way, or has no scripts."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.models import Picture
from horses.views.attempt import attempt
from horses.views.page import case_page
from measurements.forms.picture_typed import PictureTypedForm, typed_cells
from measurements.panels.points_editor import picture_src
from measurements.queries.numbers_kept import numbers_kept
from measurements.queries.picture_points import picture_to_measure
from measurements.services.picture_points import place_right
from measurements.services.readings import readings_record


@require_http_methods(["GET", "POST"])
def picture_typed(request: SignedInRequest, case_id: str, picture_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    picture, asked = picture_to_measure(access, picture_id)
    require(access, place_right(picture.view))
    require(access, "reading.record")
    if not typed_cells(picture, asked):
        raise Http404("nothing of this view is followed as a reading")
    today = clock.now().date()
    form = PictureTypedForm(
        request.POST if request.method == "POST" else None,
        picture=picture,
        asked=asked,
        numbers=numbers_kept(access.horse, today=today),
        today=today,
        length_unit=request.user.length_unit,
        side_words=request.user.side_words,
    )
    if request.method == "GET":
        return _page(request, access, picture, form)
    if not form.is_valid():
        return _page(request, access, picture, form, status=422)
    answer = attempt(
        form,
        lambda: readings_record(
            access=access,
            taken_on=picture.taken_on,
            readings=form.readings,
            visit=picture.visit,
            client_key=form.key,
            now=clock.now(),
        ),
    )
    if answer.made is None:
        return _page(request, access, picture, form, status=answer.status)
    saved(request, "The values are saved.", keep=_keep(picture))
    return redirect("foot", case_id, picture.foot)


def _keep(picture: Picture) -> str:
    return f"picture-typed-{picture.public_id}"


def _page(
    request: HttpRequest,
    access: CaseAccess,
    picture: Picture,
    form: PictureTypedForm,
    *,
    status: int = 200,
) -> HttpResponse:
    shown = {
        "picture": picture,
        "src": picture_src(access, picture),
        "form": form,
        "rows": form.rows(),
        "keep": _keep(picture),
    }
    return case_page(request, access, "measurements/picture_typed.html", shown, status=status)

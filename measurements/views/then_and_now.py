"""Then and now: one foot, one view, two days, side by side or laid over each other."""

from typing import Any

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from caseboard.lib.text_safe import safe_line
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.models import Foot, Picture
from horses.presenters.picture_words import picture_shown, shows_words
from horses.queries.pictures import of_one_view
from horses.views.page import case_page
from measurements.panels.then_and_now import chosen_two, laid_over
from measurements.queries.points_kept import newest_points
from measurements.views.points_seen import seen_mark

TOO_FEW = "Then and now needs two pictures that show the same."


@require_safe
def then_and_now(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    asked = {name: safe_line(request.GET.get(name, "")) for name in ("foot", "view", "then", "now")}
    view = asked["view"] if asked["view"] in Picture.View.values else Picture.View.SIDE
    foot = asked["foot"] if asked["foot"] in Foot.values else ""
    pictures = of_one_view(access, foot=foot, view=view)
    two = chosen_two(pictures, asked["then"], asked["now"])
    shown: dict[str, Any] = {
        "foot": foot,
        "view": view,
        "words": shows_words(foot, view, request.user),
        "pictures": list(reversed(pictures)),
        "too_few": TOO_FEW,
    }
    marked = list[Picture]()
    if two is not None:
        points = newest_points(two)
        laid = laid_over(*two, points)
        if laid.is_aligned:  # the line of the ground shows where somebody placed it
            marked = [one for one in two if points[one.pk].placed_by_id != access.person.pk]
        shown |= {
            "laid": laid,
            "two": [
                ("Then", picture_shown(two[0], request.user)),
                ("Now", picture_shown(two[1], request.user)),
            ],
        }
    response = case_page(request, access, "measurements/then_and_now.html", shown)
    for picture in marked:
        seen_mark(response, case_id, picture)
    return response

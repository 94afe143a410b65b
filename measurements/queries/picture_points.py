"""The points on the pictures that a person may see, and what is reckoned from them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, cast

from django.db.models import QuerySet
from django.http import Http404

from horses.access import CaseAccess
from horses.models import Picture
from horses.queries.pictures import pictures_for
from measurements.hoof.pictures.agreement import KEPT_LONG_EDGE_PX
from measurements.hoof.pictures.measured import (
    TAP_PX,
    Card,
    Measured,
    Point,
    Results,
    UnusablePicture,
    corner_by_hand_px,
)
from measurements.hoof.pictures.views import measure
from measurements.hoof.points import VIEWS, ViewAsked
from measurements.hoof.quantities import Method
from measurements.models import PicturePoints


def picture_to_measure(access: CaseAccess, picture_id: str) -> tuple[Picture, ViewAsked]:
    """A picture whose view can be measured; Http404 for any other, and for one that is gone."""
    picture = pictures_for(access).standing().filter(public_id=picture_id).first()
    if picture is None or picture.view not in VIEWS:
        raise Http404("no such picture")
    return picture, VIEWS[picture.view]


def points_get(access: CaseAccess, picture: Picture, points_id: str) -> PicturePoints:
    found = points_on(picture).filter(public_id=points_id).first()
    if found is None:
        raise Http404("no such points")
    return found


def points_on(picture: Picture) -> QuerySet[PicturePoints]:
    """Everything placed on a picture, oldest first."""
    return PicturePoints.objects.filter(picture=picture).select_related("picture", "placed_by")


def points_seen(access: CaseAccess, view: str) -> QuerySet[PicturePoints]:
    """Everything placed on the pictures of a view that this person may see, oldest first."""
    seen = pictures_for(access).standing().filter(view=view)
    return PicturePoints.objects.filter(picture__in=seen).select_related("picture", "placed_by")


def last_points(access: CaseAccess, picture: Picture) -> PicturePoints | None:
    """Where the points were on another picture of the same foot and view: the newest one."""
    others = points_seen(access, picture.view).filter(picture__foot=picture.foot)
    return others.exclude(picture=picture).order_by("-picture__taken_on", "-pk").first()


@dataclass(frozen=True)
class Scale:
    """What gives a picture its scale: the card, with all that was said of it, or a film's marker."""

    corners: Any = None  # four places; none: no card
    card_mm: Any = None
    by_hand: bool = False  # somebody tapped the corners
    nearer_mm: Any = None  # told; none: in line with the foot's middle as well as may be
    marker_mm: Any = None

    def card(self, tap_px: float) -> Card | None:
        """`tap_px`: the error of a tap on this picture."""
        if not self.corners or not self.card_mm:
            return None
        four = tuple((float(x), float(y)) for x, y in self.corners)
        card = Card(cast(tuple[Point, Point, Point, Point], four), float(self.card_mm))
        if self.by_hand:
            card = replace(card, corner_px=corner_by_hand_px(tap_px))
        return replace(card, nearer_mm=float(self.nearer_mm or 0))


def values_of(row: PicturePoints, *, tap_px: float | None = None) -> Results:
    """What is reckoned from the points as they were placed."""
    return reckoned_so_far(
        row.picture,
        points_as_placed(row),
        Scale(row.card_corners, row.card_mm, row.card_by_hand, row.card_nearer_mm, row.marker_mm),
        tap_px=tap_px,
    )


def measured_only(results: Results) -> dict[str, Measured]:
    """Those that have a value."""
    return {key: found for key, found in results.items() if isinstance(found, Measured)}


def points_as_placed(row: PicturePoints) -> Mapping[str, Point]:
    return {name: (float(x), float(y)) for name, (x, y) in row.points.items()}


def reckoned_so_far(
    picture: Picture,
    points: Mapping[str, Point],
    scale: Scale,
    *,
    tap_px: float | None,
) -> Results:
    """What points that are not kept yet come to; nothing while none is placed. `tap_px` is told for a
    picture of the usual size; None: of a hand not known yet."""
    if not points:
        return {}
    size = max(picture.width_px, picture.height_px) / KEPT_LONG_EDGE_PX
    here_px = (tap_px or TAP_PX) * size
    try:
        return measure(
            picture.view,
            points,
            card=scale.card(here_px),
            marker_mm=float(scale.marker_mm) if scale.marker_mm else None,
            size_px=(float(picture.width_px), float(picture.height_px)),
            tap_px=here_px,
            tap_known=tap_px is not None,
        )
    except UnusablePicture:
        return {}


def method_of(row: PicturePoints) -> Method:
    """How values of these points were got."""
    if VIEWS[row.view].by_vets_only:
        return Method.FILM
    return Method.PHOTO_CARD if row.card_corners else Method.PHOTO


def own_points(access: CaseAccess, ids: Iterable[str]) -> dict[str, PicturePoints]:
    """Points that this person placed on pictures of the horse that they see, by their ids."""
    if not ids:
        return {}
    rows = PicturePoints.objects.filter(
        placed_by=access.person, picture__in=pictures_for(access), public_id__in=set(ids)
    )
    return {row.public_id: row for row in rows.select_related("picture", "placed_by")}

"""Points on pictures: for the copies that people take, and to lay pictures over each other."""

from collections.abc import Iterable

from django.db.models import QuerySet

from horses.models import Picture, PictureQuerySet
from horses.queries.former_members import Former
from measurements.models import PicturePoints


def points_of(pictures: PictureQuerySet) -> QuerySet[PicturePoints]:
    """All that was placed on these pictures, the oldest first."""
    placed = PicturePoints.objects.filter(picture__in=pictures.values("pk"))
    return placed.select_related("picture", "placed_by").order_by("pk")


def own_points(former: Former) -> QuerySet[PicturePoints]:
    """All that this person placed on the case's pictures."""
    placed = PicturePoints.objects.filter(picture__case=former.case, placed_by=former.person)
    return placed.select_related("picture").order_by("pk")


def newest_points(pictures: Iterable[Picture]) -> dict[int, PicturePoints]:
    """By the picture's number; none where nobody placed any. For pictures that the person sees."""
    rows = PicturePoints.objects.filter(picture__in=list(pictures)).order_by("pk")
    return {row.picture_id: row for row in rows}

"""How far a person's taps lie from where they would put them again, learned from pictures that were
placed twice, by themselves or with others."""

from horses.models import Person
from measurements.hoof.pictures.agreement import Placed, TapError, tap_errors
from measurements.models import PicturePoints
from measurements.queries.picture_points import points_as_placed

# The newest that are looked at: a hand gets steadier, and a page does not read a lifetime. House default.
MOST_PLACED = 400
# Fewer differences (two a point) say next to nothing of a hand: the usual error stands. House default.
DIFFERENCES_NEEDED = 12


def tap_px_of(person: Person) -> float | None:
    """SD of one tap along each axis, px of a picture of the usual size; None while it is not known."""
    error = tap_error_of(person)
    return error.sd_px if error and error.differences >= DIFFERENCES_NEEDED else None


def tap_error_of(person: Person) -> TapError | None:
    """What the person's repeats say; None without any."""
    own = PicturePoints.objects.filter(placed_by=person, blind=True).order_by("-pk")
    pictures = own.values_list("picture_id", flat=True)[:MOST_PLACED]
    rows = PicturePoints.objects.filter(picture__in=list(pictures), blind=True)
    found = tap_errors([_placed(row) for row in rows.select_related("picture")])
    error = found.get(person.pk)
    return error if error and error.differences else None


def _placed(row: PicturePoints) -> Placed:
    long_edge = float(max(row.picture.width_px, row.picture.height_px))
    return Placed(row.placed_by_id, row.picture_id, points_as_placed(row), long_edge)

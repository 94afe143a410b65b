"""Values of a form that came from the points on a picture: they keep their own error and the points.

A page says in one hidden field which value came from which points, "LF-toe_angle-after=<id> …"; what is
believed of it is only the points' name: the value itself is reckoned again.
"""

from dataclasses import replace
from decimal import Decimal

from measurements.hoof.pictures.measured import Measured
from measurements.hoof.points import READING_OF
from measurements.hoof.quantities import BY_POINTS, Method
from measurements.models import EnteredHow, PicturePoints, Reading
from measurements.queries.picture_points import method_of, values_of
from measurements.queries.tap_errors import tap_px_of
from measurements.services.readings import Taken

POINTS = "points"  # the name of the hidden field
MOST_SENT = 4000  # characters of it; house default
# What rounding for the screen takes away: a value further off was typed anew. House default.
ROUNDED = {"deg": 0.06, "mm": 0.6}
FINE = Decimal("0.000001")


def points_said(text: str) -> dict[str, str]:
    """By the name of a value's field, the points that it came from."""
    pairs = (one.partition("=") for one in text[:MOST_SENT].split())
    return {name: points for name, _, points in pairs if points}


def with_own_error(taken: Taken, row: PicturePoints | None) -> Taken:
    """The value with what its points say of it; typed, where they do not say this value: that it
    came from a picture is believed of no page."""
    if taken.entered_how != EnteredHow.PICTURE:
        return taken
    typed = replace(taken, entered_how=EnteredHow.TYPED)
    if row is None or row.picture.foot != taken.foot:
        return typed
    for key, found in values_of(row, tap_px=tap_px_of(row.placed_by)).items():
        if READING_OF.get(key) != taken.quantity or not isinstance(found, Measured):
            continue
        if abs(float(taken.value) - found.value) <= ROUNDED[found.unit]:
            return replace(
                taken,
                method=method_of(row).value,
                shoe_then=taken.shoe_then or row.shoe_then,
                entered_blind=row.blind,
                sd=Decimal(str(found.sd)).quantize(FINE),
                points_id=row.pk,
            )
    return typed


def is_of_no_points(taken: Taken) -> bool:
    """A value that claims to be reckoned from points, and comes with none."""
    return Method(taken.method) in BY_POINTS and taken.points_id is None


def as_it_was(taken: Taken, before: Reading | None) -> Taken:
    """A value that is corrected without being changed keeps its error, its points and how it came."""
    if before is None or (taken.value, taken.method) != (before.value, before.method):
        return taken
    return replace(
        taken,
        entered_how=before.entered_how,
        entered_blind=before.entered_blind,
        sd=before.sd,
        points_id=before.points_id,
    )

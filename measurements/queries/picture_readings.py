"""The readings that the points on a picture gave, and who may make some."""

from datetime import date

from horses.access import CaseAccess
from horses.models import Picture, Role
from measurements.hoof.points import VIEWS
from measurements.hoof.quantities import QUANTITIES
from measurements.models import PicturePoints, Reading
from measurements.queries.numbers import current_readings
from measurements.wording import full_day_words

TWICE = "This picture gave this value already: it shows the foot before the trim, or after it."


def may_become_readings(row: PicturePoints, access: CaseAccess) -> bool:
    """Whether this person may write these points' values down: those who placed them, of one foot."""
    films = VIEWS[row.view].by_vets_only
    return (
        row.placed_by_id == access.person.pk
        and bool(row.picture.foot)
        and (access.role == Role.VET or not films)
    )


def points_trouble(row: PicturePoints, quantity: str, on: date) -> str:
    """Why a value of these points is no new reading of that day, in words; "" when it is one."""
    if row.picture.taken_on != on:
        return (
            f"This value is from a picture of {full_day_words(row.picture.taken_on)}. Write it down "
            "there, with the picture; here goes what was measured on the day of the visit."
        )
    if found := readings_of_picture(row.picture).get(quantity):
        return (
            f"The {QUANTITIES[quantity].label} of this picture is written down already, by "
            f"{found.taken_by_name}. Points placed again say how well people agree; they do not take "
            "its place."
        )
    return ""


def readings_of_picture(picture: Picture) -> dict[str, Reading]:
    """The readings that stand and were made from points on this picture, by quantity."""
    rows = current_readings(picture.case.horse).filter(points__picture=picture)
    return {row.quantity: row for row in rows.select_related("points")}

"""The readings that the points on a picture gave, and who may make some."""

from horses.access import CaseAccess
from horses.models import Picture, Role
from measurements.hoof.points import VIEWS
from measurements.models import PicturePoints, Reading
from measurements.queries.numbers import current_readings


def may_become_readings(row: PicturePoints, access: CaseAccess) -> bool:
    """Whether this person may write these points' values down: those who placed them, of one foot."""
    films = VIEWS[row.view].by_vets_only
    return (
        row.placed_by_id == access.person.pk
        and bool(row.picture.foot)
        and (access.role == Role.VET or not films)
    )


def readings_of_picture(picture: Picture) -> dict[str, Reading]:
    """The readings that stand and were made from points on this picture, by quantity."""
    rows = current_readings(picture.case.horse).filter(points__picture=picture)
    return {row.quantity: row for row in rows.select_related("points")}

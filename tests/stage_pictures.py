"""The stage's pictures that can be measured, and points on them: made when they are first asked for."""

from datetime import timedelta
from decimal import Decimal

from horses.access import CaseAccess
from horses.models import Picture
from measurements.models import PicturePoints
from measurements.services.picture_points import Placed, points_place
from tests.pictures import CARD, SIDE_POINTS, picture
from tests.stage import Stage


def side_of(stage: Stage) -> Picture:
    return _of_view(stage, "side", "owner")


def film_of(stage: Stage) -> Picture:
    return _of_view(stage, "film_side", "vet")


def _of_view(stage: Stage, view: str, role: str) -> Picture:
    found = Picture.objects.filter(case=stage.cast.concern, view=view).first()
    # Taken before any test's own time: what hangs on it is of a day that has been.
    return found or picture(stage.access(role), stage.exam.recorded_at, view=view)


def points_of(stage: Stage, access: CaseAccess) -> PicturePoints:
    """This person's own on the picture from the side."""
    side = side_of(stage)
    own = PicturePoints.objects.filter(picture=side, placed_by=access.person).first()
    return own or points_place(
        access=access,
        picture_id=side.public_id,
        placed=Placed(SIDE_POINTS, card_corners=CARD, card_mm=Decimal(60)),
        now=stage.exam.recorded_at + timedelta(minutes=1),
    )

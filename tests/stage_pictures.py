"""The stage's pictures that can be measured, and points on them by everybody who may place some."""

from datetime import timedelta
from decimal import Decimal

from horses.models import Picture
from measurements.models import PicturePoints
from measurements.services.picture_points import Placed, points_place
from tests.pictures import CARD, SIDE_POINTS, picture
from tests.stage import Stage

WITH_CARD = Placed(SIDE_POINTS, card_corners=CARD, card_mm=Decimal(60))


def with_pictures(stage: Stage) -> Stage:
    """A picture of the left fore from the side, a film of it, and points of four people."""
    at = stage.exam.recorded_at
    side = picture(stage.access("owner"), at)
    picture(stage.access("vet"), at, view="film_side")
    for who in ("owner", "vet", "farrier", "stand_in"):
        points_place(
            access=stage.access(who),
            picture_id=side.public_id,
            placed=WITH_CARD,
            now=at + timedelta(minutes=1),
        )
    return stage


def side_of(stage: Stage) -> Picture:
    return Picture.objects.get(case=stage.cast.concern, view="side", note=None)


def film_of(stage: Stage) -> Picture:
    return Picture.objects.get(case=stage.cast.concern, view="film_side", note=None, exam=None)


def points_of(stage: Stage, who: str) -> PicturePoints:
    """This person's own on the picture from the side; the farrier's for who placed none."""
    rows = {row.placed_by_id: row for row in PicturePoints.objects.filter(picture=side_of(stage))}
    return rows.get(stage.person(who).pk) or rows[stage.cast.farrier.pk]

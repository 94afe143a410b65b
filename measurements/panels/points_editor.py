"""What the editor of points shows: the picture, its points, the drawing, the last picture of the foot."""

import json
from dataclasses import dataclass

from django.urls import reverse

from horses.access import CaseAccess
from horses.models import Picture
from measurements.hoof.feet import Foot, is_left
from measurements.hoof.pictures.measured import Point
from measurements.hoof.points import PointAsked, ViewAsked
from measurements.queries.picture_points import last_points, points_as_placed

DRAWING_WIDE = 160


@dataclass(frozen=True)
class PointShown:
    """One point of the editor: where it is on the drawing, and where it was placed before."""

    asked: PointAsked
    number: int
    x: int
    y: int
    value: str = ""  # "812,640": as it was sent, on a form that comes back


@dataclass(frozen=True)
class LastPicture:
    """Where the points were on the last picture of the same foot and view."""

    picture: Picture
    src: str
    marks: list[Point]
    radius: float


@dataclass(frozen=True)
class EditorShown:
    picture: Picture
    src: str
    points: list[PointShown]
    drawing: str
    turned: bool  # the drawing of a right foot from the front or below is the other way round
    lines: str
    last: LastPicture | None

    @property
    def needed(self) -> int:
        return sum(not point.asked.optional for point in self.points)

    @property
    def no_card_words(self) -> str:
        if self.picture.view == Picture.View.SOLE:
            return "no card: no scale, no values"
        return "no card: coarser, and no lengths"

    @property
    def may_be_left_out(self) -> str:
        """ "pastern, low; pastern, high"."""
        return "; ".join(point.asked.words for point in self.points if point.asked.optional)


def picture_src(access: CaseAccess, picture: Picture) -> str:
    return reverse("picture_file", args=[access.case.public_id, picture.public_id])


def editor_shown(
    access: CaseAccess,
    picture: Picture,
    asked: ViewAsked,
    *,
    placed: dict[str, Point],
) -> EditorShown:
    turned = asked.has_sides and bool(picture.foot) and not is_left(Foot(picture.foot))
    points = [
        PointShown(
            point,
            number,
            DRAWING_WIDE - point.at[0] if turned else point.at[0],
            point.at[1],
            ",".join(f"{part:g}" for part in placed[point.name]) if point.name in placed else "",
        )
        for number, point in enumerate(asked.points, start=1)
    ]
    return EditorShown(
        picture=picture,
        src=picture_src(access, picture),
        points=points,
        drawing=asked.drawing,
        turned=turned,
        lines=json.dumps(asked.lines),
        last=_last(access, picture),
    )


def _last(access: CaseAccess, picture: Picture) -> LastPicture | None:
    row = last_points(access, picture)
    if row is None or not row.picture.file:
        return None
    earlier: Picture = row.picture
    marks = list(points_as_placed(row).values())
    return LastPicture(earlier, picture_src(access, earlier), marks, earlier.width_px / 60)

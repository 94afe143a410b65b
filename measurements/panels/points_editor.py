"""What the editor of points shows: the picture, its points, the drawing, the last picture of the foot."""

import json
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from horses.access import CaseAccess
from horses.models import Picture
from measurements.hoof.feet import Foot, is_left
from measurements.hoof.pictures.look_at import box_by_points
from measurements.hoof.pictures.measured import Point
from measurements.hoof.points import CARD_CORNERS, PointAsked, ViewAsked
from measurements.queries.picture_card import Corners, card_remembered, foot_box
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
    corners: list[PointShown]  # of the card, where it is placed by hand
    card: (
        str  # what is known of the card already, as the page asks for it; "" where it must be asked
    )
    box: str  # where the foot was on the last picture

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
    corners: dict[str, Point],
) -> EditorShown:
    turned = asked.has_sides and bool(picture.foot) and not is_left(Foot(picture.foot))
    points = [
        PointShown(
            point,
            number,
            DRAWING_WIDE - point.at[0] if turned else point.at[0],
            point.at[1],
            _sent(placed, point.name),
        )
        for number, point in enumerate(asked.points, start=1)
    ]
    last = _last(access, picture)
    return EditorShown(
        picture=picture,
        src=picture_src(access, picture),
        points=points,
        drawing=asked.drawing,
        turned=turned,
        lines=json.dumps(asked.lines),
        last=last,
        corners=[
            PointShown(corner, number, *corner.at, _sent(corners, corner.name))
            for number, corner in enumerate(CARD_CORNERS, start=1)
            if asked.takes_card
        ],
        card=_card_known(picture) if asked.takes_card else "",
        box=_box_then(last, picture),
    )


def _sent(placed: dict[str, Point], name: str) -> str:
    return ",".join(f"{part:g}" for part in placed[name]) if name in placed else ""


def card_told(picture: Picture, corners: Corners | None) -> dict[str, Any]:
    """The card's square and where the foot is beside it, as the editor takes them."""
    return {"corners": corners or [], "box": foot_box(picture, corners) if corners else None}


def _card_known(picture: Picture) -> str:
    """Only a card that is there: a search that could not be made is made again when asked for."""
    seen = card_remembered(picture)
    return json.dumps(card_told(picture, seen.corners)) if seen else ""


def _box_then(last: LastPicture | None, picture: Picture) -> str:
    if last is None:
        return ""
    then, now = last.picture, (float(picture.width_px), float(picture.height_px))
    box = box_by_points(last.marks, (float(then.width_px), float(then.height_px)), now)
    return json.dumps(box) if box else ""


def _last(access: CaseAccess, picture: Picture) -> LastPicture | None:
    row = last_points(access, picture)
    if row is None or not row.picture.file:
        return None
    earlier: Picture = row.picture
    marks = list(points_as_placed(row).values())
    return LastPicture(earlier, picture_src(access, earlier), marks, earlier.width_px / 60)

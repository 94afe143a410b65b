"""Points on a picture: placed once or again by anybody, and turned into readings by who placed them.

Decided 2026-11: a repeat is a row of its own that refines what is known of the error; it never takes a
reading's place. A reading is made once from a picture, by whoever placed its points first and wants it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from horses.access import CaseAccess
from horses.models import Person, Picture
from horses.services.deed import DeedRefused, deed
from horses.services.pictures import picture_audience
from measurements.hoof.pictures.measured import Measured, Point, Results
from measurements.hoof.points import VIEWS, ViewAsked
from measurements.models import PicturePoints
from measurements.panels.points_words import result_line
from measurements.queries.picture_points import (
    measured_only,
    picture_to_measure,
    points_on,
    values_of,
)
from measurements.queries.tap_errors import tap_px_of

PLACE, PLACE_ON_FILM = "points.place", "points.place_on_film"


@dataclass(frozen=True)
class Placed:
    """What a person placed: pixels of the kept picture, and what they said beside it."""

    points: Mapping[str, Point]
    card_corners: tuple[Point, ...] | None = None
    card_mm: Decimal | None = None
    card_by_hand: bool = False  # the corners were tapped: the card was not found
    card_nearer_mm: Decimal | None = None  # than the foot's middle; below zero: further
    marker_mm: Decimal | None = None
    shoe_then: str = ""
    blind: bool = True  # the page of this picture's points by others was not shown before


def place_right(view: str) -> str:
    """The right that placing points on this view needs."""
    return PLACE_ON_FILM if view in VIEWS and VIEWS[view].by_vets_only else PLACE


def points_place(
    *,
    access: CaseAccess,
    picture_id: str,
    placed: Placed,
    client_key: str = "",
    now: datetime,
) -> PicturePoints:
    """Keeps the points, if anything can be reckoned from them."""
    picture, asked = picture_to_measure(access, picture_id)
    with deed(access, place_right(picture.view), now=now, key=client_key) as act:
        _checked(picture, asked, placed)
        payload = {"picture": picture_id, **vars(placed)}
        if earlier := act.made_before(PicturePoints, payload):
            return earlier
        row = PicturePoints(
            picture=picture,
            view=picture.view,
            placed_by=access.person,
            placed_by_name=str(access.person),
            placed_role=access.role,
            placed_at=now,
            points={name: list(point) for name, point in placed.points.items()},
            card_corners=[list(corner) for corner in placed.card_corners or ()] or None,
            card_mm=placed.card_mm if placed.card_corners else None,
            card_by_hand=bool(placed.card_corners) and placed.card_by_hand,
            card_nearer_mm=placed.card_nearer_mm if placed.card_corners else None,
            marker_mm=placed.marker_mm,
            shoe_then=placed.shoe_then,
            blind=placed.blind and not _knows_them(picture, access.person),
        )
        results = values_of(row, tap_px=tap_px_of(access.person))
        _some_value(results)
        others = points_on(picture).exclude(placed_by=access.person).exists()
        row.save()
        act.row(row)
        act.line(
            "points.placed",
            row,
            after={
                "foot": picture.foot,
                "view": picture.view,
                "taken_on": str(picture.taken_on),
                "values": [result_line(key, of) for key, of in measured_only(results).items()],
                "others": others,
                "blind": row.blind,
                "card_by_hand": row.card_by_hand,
            },
            audience=picture_audience(picture),
        )
        return act.made(row)


def _knows_them(picture: Picture, person: Person) -> bool:
    """Whoever placed points after having seen those of others has seen them for good."""
    return points_on(picture).filter(placed_by=person, blind=False).exists()


def _checked(picture: Picture, asked: ViewAsked, placed: Placed) -> None:
    if set(placed.points) - set(asked.names):
        raise DeedRefused("This point does not belong to this view.")
    tapped = (*placed.points.values(), *(placed.card_corners or () if placed.card_by_hand else ()))
    for x, y in tapped:
        if not (0 <= x <= picture.width_px and 0 <= y <= picture.height_px):
            raise DeedRefused("A point lies outside the picture. Place it again.")
    wanting = [point.words for point in asked.points if point.name in _wanting(asked, placed)]
    if wanting:
        raise DeedRefused(f"Still to be placed: {'; '.join(wanting)}.")
    if asked.needs_marker and not placed.marker_mm:
        raise DeedRefused("How long is the marker on the film, in mm?", field="marker_mm")


def _wanting(asked: ViewAsked, placed: Placed) -> set[str]:
    return set(asked.needed) - set(placed.points)


def _some_value(results: Results) -> None:
    """Refuses points of which nothing comes, with the reasons, each once."""
    if measured_only(results):
        return
    reasons = dict.fromkeys(
        found.reason for found in results.values() if not isinstance(found, Measured)
    )
    raise DeedRefused(" ".join(reasons) or "Nothing can be reckoned from these points.")

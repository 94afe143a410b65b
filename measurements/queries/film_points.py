"""Which points of a film count where its numbers stand, and which film came before it.

Decided 2026-11: those that a reading was made of count for good. Until there is one, the newest of who
placed first: a slip can be put right. Another person's are a repeat and take nobody's place.
"""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from horses.access import CaseAccess
from horses.models import Picture
from horses.models.picture import FILMS
from horses.queries.pictures import pictures_for
from measurements.models import PicturePoints
from measurements.queries.numbers import current_readings
from measurements.queries.picture_points import measured_only, values_of
from measurements.queries.tap_errors import tap_px_of


def counting_points(access: CaseAccess, pictures: Iterable[Picture]) -> dict[int, PicturePoints]:
    """By the picture's number; none where nobody placed any. For pictures that the person sees."""
    rows = PicturePoints.objects.filter(picture__in=list(pictures)).order_by("pk")
    by_picture: dict[int, list[PicturePoints]] = defaultdict(list)
    for row in rows.select_related("picture__case", "placed_by"):
        by_picture[row.picture_id].append(row)
    written = current_readings(access.horse).filter(points__picture__in=list(by_picture))
    used = set(written.values_list("points", flat=True))
    return {pk: _counts(placed, used) for pk, placed in by_picture.items()}


def _counts(placed: list[PicturePoints], used: set[int]) -> PicturePoints:
    first = placed[0].placed_by_id
    written = [row for row in placed if row.pk in used]
    return (written or [row for row in placed if row.placed_by_id == first])[-1]


def points_before(access: CaseAccess, film: Picture) -> PicturePoints | None:
    """Those that count of the last film of the same foot from the same side; blanked out or lost
    meanwhile, its numbers stay."""
    others = pictures_for(access).of_this_horse().filter(foot=film.foot, view=film.view)
    earlier = [one for one in others if (one.taken_on, one.pk) < (film.taken_on, film.pk)]
    placed = counting_points(access, earlier)
    last = max(
        (one for one in earlier if one.pk in placed),
        key=lambda one: (one.taken_on, one.pk),
        default=None,
    )
    return placed[last.pk] if last else None


def film_value_rows(rows: Iterable[PicturePoints]) -> list[dict[str, Any]]:
    """What points on films come to, for the copies that people take: mm and degrees with their error."""
    films = [row for row in rows if row.view in FILMS]
    taps = {row.placed_by_id: tap_px_of(row.placed_by) for row in films}
    return [
        {
            "picture": row.picture.public_id,
            "points": row.public_id,
            "foot": row.picture.foot,
            "view": row.view,
            "taken_on": row.picture.taken_on.isoformat(),
            "placed_by": row.placed_by_name,
            "what": key,
            "value": round(found.value, 2),
            "unit": found.unit,
            "sd": round(found.sd, 3),
        }
        for row in films
        for key, found in measured_only(values_of(row, tap_px=taps[row.placed_by_id])).items()
    ]

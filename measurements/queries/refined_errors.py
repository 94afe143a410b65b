"""The errors of readings off pictures, as far as points that were placed again say more of them.

Decided 2026-11-29: of a picture that several people placed blind, what is learned of each hand on that
picture takes the place of the usual error of a tap, and the reading's own error is reckoned anew with
it. The reading itself stays as it was written down. Only its own picture is asked, so that what is
known of a horse changes with that horse's boards alone (see numbers_kept.py); what a person's repeats
on all horses say goes into the values that they write down next (tap_errors.py).
"""

from collections import OrderedDict, defaultdict
from collections.abc import Sequence
from decimal import Decimal

from measurements.hoof.pictures.agreement import Placed, tap_errors
from measurements.hoof.points import READING_OF
from measurements.models import PicturePoints
from measurements.queries.picture_points import measured_only, points_as_placed, values_of
from measurements.queries.reading_values import ReadingValue

FINE = Decimal("0.000001")
MOST_KEPT = 2000  # points whose errors are remembered, a process; house default
_kept: OrderedDict[tuple[str, float], dict[str, Decimal]] = OrderedDict()


def refined(rows: Sequence[ReadingValue]) -> list[ReadingValue]:
    """The same readings; those of pictures that were placed again with a better known error."""
    wanted = {row.points_id for row in rows if row.points_id is not None}
    if not wanted:
        return list(rows)
    sds = _sds(wanted)
    return [
        row._replace(sd=sds.get((row.points_id, row.quantity), row.sd)) if row.points_id else row
        for row in rows
    ]


def _sds(wanted: set[int]) -> dict[tuple[int | None, str], Decimal]:
    every = PicturePoints.objects.filter(picture__points__in=wanted, blind=True).distinct()
    by_picture: dict[int, list[PicturePoints]] = defaultdict(list)
    for points in every.select_related("picture").order_by("pk"):
        by_picture[points.picture_id].append(points)
    found: dict[tuple[int | None, str], Decimal] = {}
    for together in by_picture.values():
        if len(together) < 2:
            continue
        errors = tap_errors([_placed(points) for points in together])
        for points in together:
            if points.pk in wanted:
                sds = _sds_of(points, round(errors[points.placed_by_id].sd_px, 2))
                found.update({(points.pk, quantity): sd for quantity, sd in sds.items()})
    return found


def _placed(points: PicturePoints) -> Placed:
    long_edge = float(max(points.picture.width_px, points.picture.height_px))
    return Placed(points.placed_by_id, points.picture_id, points_as_placed(points), long_edge)


def _sds_of(points: PicturePoints, tap_px: float) -> dict[str, Decimal]:
    """Reckoned once: points never change."""
    key = points.public_id, tap_px
    if key not in _kept:
        values = measured_only(values_of(points, tap_px=tap_px))
        _kept[key] = {
            READING_OF[name]: Decimal(str(found.sd)).quantize(FINE)
            for name, found in values.items()
            if name in READING_OF
        }
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return _kept[key]

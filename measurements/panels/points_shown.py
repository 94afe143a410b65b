"""The page of placed points: their values, what becomes readings, how well two people agree."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from horses.access import CaseAccess, may
from horses.models import Picture
from measurements.hoof.pictures.measured import Measured
from measurements.hoof.points import READING_OF, ViewAsked
from measurements.hoof.quantities import QUANTITIES
from measurements.models import PicturePoints, Reading
from measurements.panels.points_editor import picture_src
from measurements.panels.points_sentences import beside_values, card_words, picture_helps
from measurements.panels.points_words import ValuesShown, values_shown
from measurements.queries.numbers import Numbers
from measurements.queries.picture_points import (
    measured_only,
    method_of,
    points_as_placed,
    values_of,
)
from measurements.queries.picture_readings import may_become_readings, readings_of_picture
from measurements.queries.tap_errors import tap_px_of
from measurements.wording import entered_words


@dataclass(frozen=True)
class WrittenDown:
    """A reading that this picture gave."""

    label: str
    words: str
    by: str
    url: str


@dataclass(frozen=True)
class PointsShown:
    values: ValuesShown
    marks: list[tuple[float, float]]
    src: str
    radius: float
    method_label: str
    to_write_down: dict[str, Measured]
    written_down: list[WrittenDown]
    sentences: list[str]
    helps: str  # that pictures between visits gain time, where it is true


def shown_points(
    access: CaseAccess, row: PicturePoints, asked: ViewAsked, numbers: Numbers, today: date
) -> PointsShown:
    results = values_of(row, tap_px=tap_px_of(row.placed_by))
    placed = points_as_placed(row)
    picture: Picture = row.picture
    there = readings_of_picture(picture)
    open_to = may(access, "reading.record") and may_become_readings(row, access)
    method = method_of(row)
    offered = {
        key: found
        for key, found in measured_only(results).items()
        if open_to
        and key in READING_OF
        and READING_OF[key] not in there
        and method in QUANTITIES[READING_OF[key]].methods
    }
    return PointsShown(
        values=values_shown(results, asked, placed, access.person.length_unit),
        marks=list(placed.values()),
        src=picture_src(access, picture),
        radius=picture.width_px / 90,
        method_label=method.label + card_words(row) if asked.of_one_foot else "",
        to_write_down=offered,
        written_down=[_written_down(access, reading) for reading in there.values()],
        sentences=beside_values(row.view, measured_only(results), numbers),
        helps=picture_helps(numbers, picture.foot, row.view, today),
    )


def _written_down(access: CaseAccess, reading: Reading) -> WrittenDown:
    return WrittenDown(
        QUANTITIES[reading.quantity].label,
        entered_words(reading, access.person.length_unit),
        reading.taken_by_name,
        reverse("series", args=[access.case.public_id, reading.foot, reading.quantity]),
    )

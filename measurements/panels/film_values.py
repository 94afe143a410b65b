"""What the films of an examination say in numbers, beside the last film of the same foot.

A difference is told as one only where it is more than the errors of both films allow.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.urls import reverse

from caseboard.lib.words import listed
from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import Picture
from horses.models.picture import FILMS
from horses.presenters.picture_words import PictureShown, picture_shown
from measurements.hoof.feet import Foot
from measurements.hoof.pictures.measured import Measured, Results
from measurements.hoof.points import DIFFERENCES, READING_OF, VIEWS, value_label
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED
from measurements.models import PicturePoints
from measurements.panels.points_words import value_give, values_shown
from measurements.queries.film_points import counting_points, points_before
from measurements.queries.numbers import Numbers
from measurements.queries.picture_points import measured_only, points_as_placed, values_of
from measurements.queries.picture_readings import readings_of_picture
from measurements.queries.tap_errors import tap_px_of

BESIDE = (
    "A foot that was not filmed square on shows less than there is, and no point tells. A change is named "
    "where it is more than both films may be off; a smaller one these films do not show."
)


@dataclass(frozen=True)
class FilmValue:
    """One value: "palmar angle", "5.1°", give or take "2.4°", and how it stands to the film before."""

    label: str
    words: str
    give: str
    before: str


@dataclass(frozen=True)
class FilmShown:
    """One film with its numbers; without a row nobody has placed points on it."""

    shown: PictureShown
    row: PicturePoints | None = None
    values: list[FilmValue] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    between: str = ""  # what was done to the foot since the film before
    not_in_warnings: str = ""  # the values that no warning looks at: nobody wrote them down
    url: str = ""  # the points on the picture
    place_url: str = ""  # where this person may place some

    def is_of_another(self, person_id: int) -> bool:
        """Whether its numbers are of somebody else's points."""
        return self.row is not None and self.row.placed_by_id != person_id


def films_shown(
    access: CaseAccess, pictures: Iterable[Picture], numbers: Numbers, *, may_place: bool
) -> list[FilmShown]:
    films = [picture for picture in pictures if picture.view in FILMS]
    placed = counting_points(access, films)
    return [_film(access, film, placed.get(film.pk), numbers, may_place) for film in films]


def _film(
    access: CaseAccess,
    film: Picture,
    row: PicturePoints | None,
    numbers: Numbers,
    may_place: bool,
) -> FilmShown:
    shown = picture_shown(film, access.person)
    ids = [access.case.public_id, film.public_id]
    is_there = not shown.state
    place_url = reverse("picture_points", args=ids) if may_place and is_there else ""
    if row is None:
        return FilmShown(shown, place_url=place_url)
    before = points_before(access, film)
    results, length_unit = _results(row), access.person.length_unit
    found, earlier = measured_only(results), measured_only(_results(before)) if before else {}
    asked = VIEWS[film.view]
    on = before.picture.taken_on if before else film.taken_on
    return FilmShown(
        shown,
        row=row,
        values=[
            FilmValue(
                _label(key, one, film.foot),
                *value_give(key, one, length_unit),
                _against(key, one, earlier.get(key), on, length_unit),
            )
            for key in asked.values
            if (one := found.get(key))
        ],
        refused=values_shown(results, asked, points_as_placed(row), length_unit).refused,
        between=_between(numbers.trim_days(film.foot), on, film.taken_on) if before else "",
        not_in_warnings=_not_in_warnings(film, found),
        url=reverse("points_shown", args=[*ids, row.public_id]) if is_there else "",
        place_url="" if row.placed_by_id == access.person.pk else place_url,
    )


def _results(row: PicturePoints) -> Results:
    return values_of(row, tap_px=tap_px_of(row.placed_by))


def _label(key: str, found: Measured, foot: str) -> str:
    """The name of the value; palmar in front, plantar behind."""
    if key in QUANTITIES and foot:
        return QUANTITIES[key].label_on(Foot(foot))
    return value_label(key, found.value)


def _against(
    key: str, found: Measured, earlier: Measured | None, on: date, length_unit: str
) -> str:
    """ "2.4° less than on 3 Mar 2026, give or take 1.9°"; nothing without a film before."""
    if earlier is None:
        return ""
    change = found.value - earlier.value
    of_both = math.hypot(found.sd, earlier.sd)
    was, _ = value_give(key, earlier, length_unit)
    if key in DIFFERENCES:  # to which side it lay
        was = f"{value_label(key, earlier.value)} {was}"
    if abs(change) <= Z_95_TWO_SIDED * of_both:
        return f"{was} on {day_words(on)}: no change that shows"
    size, give = value_give(key, Measured(abs(change), found.unit, of_both), length_unit)
    if key in DIFFERENCES:
        return f"{was} on {day_words(on)}: changed by {size}, give or take {give}"
    return (
        f"{was} on {day_words(on)}: {size} {'more' if change > 0 else 'less'}, give or take {give}"
    )


def _between(trims: list[date], before: date, on: date) -> str:
    """On the day of a film nobody knows which came first."""
    days = [day_words(day) for day in trims if before <= day <= on]
    return f"Trimmed from one film to the other: {listed(days)}." if days else ""


def _not_in_warnings(film: Picture, found: dict[str, Measured]) -> str:
    """The followed values that nobody wrote down as readings, in words."""
    followed = {READING_OF[key] for key in found if key in READING_OF}
    left = sorted(followed - readings_of_picture(film).keys()) if followed and film.foot else []
    return listed(QUANTITIES[key].label_on(Foot(film.foot)) for key in left)

"""How a foot stands against its band."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from measurements.hoof.bands import Place
from measurements.queries.numbers import numbers_of
from measurements.verdicts.bands import (
    BandLook,
    Moving,
    band_look,
    band_words,
    moving_toward_edge,
    moving_words,
    outside_words,
)
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def _look(cast: Cast, now: datetime, value: float, **more: Any) -> BandLook | None:
    """A band of 50 to 54 degrees just after the trim, and one reading."""
    target = build.target(cast.access(cast.vet), now)
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", value, now.date(), **more)
    return band_look(numbers_of(cast.horse, today=now.date()), target)


@pytest.mark.parametrize(
    ("value", "place"),
    [
        (52, Place.INSIDE),
        (50, Place.INSIDE),
        (49.9, Place.AT_EDGE),
        (40, Place.OUTSIDE),
        (54.1, Place.AT_EDGE),
        (64, Place.OUTSIDE),
    ],
)
def test_past_the_edge_by_less_than_the_error_is_not_outside(
    value: float, place: Place, cast: Cast, now: datetime
) -> None:
    look = _look(cast, now, value)
    assert look is not None
    assert look.position.place is place


def test_the_error_is_that_of_the_person_once_their_repeats_have_shown_it(
    cast: Cast, now: datetime
) -> None:
    farrier, target = cast.access(cast.farrier), build.target(cast.access(cast.vet), now)
    build.reading(farrier, now, "LF", "toe_angle", 48.4, now.date())
    before = band_look(numbers_of(cast.horse, today=now.date()), target)
    for days in range(1, 31):  # thirty pairs that agree
        on = now.date() - timedelta(days=days)
        for value in (52.0, 52.1):
            build.reading(farrier, now, "RF", "toe_angle", value, on, trim_state="between")
    after = band_look(numbers_of(cast.horse, today=now.date()), target)
    assert before is not None
    assert after is not None
    assert (before.position.place, after.position.place) == (Place.AT_EDGE, Place.OUTSIDE)


def test_a_band_for_just_after_the_trim_says_nothing_of_the_end_of_the_cycle(
    cast: Cast, now: datetime
) -> None:
    assert _look(cast, now, 40, trim_state="before") is None


def test_the_sentence_says_what_when_and_whose_band(cast: Cast, now: datetime) -> None:
    look = _look(cast, now, 40)
    assert look is not None
    words = outside_words(look)
    assert "left fore toe angle was 40" in words
    assert "2 Nov 2026" in words
    assert "under the vet's band of 50" in words


def test_at_the_edge_the_sentence_asks_to_measure_again(cast: Cast, now: datetime) -> None:
    look = _look(cast, now, 49.9)
    assert look is not None
    assert "measure again" in outside_words(look)


def test_a_farriers_band_is_called_an_aim(cast: Cast, now: datetime) -> None:
    target = build.target(cast.access(cast.farrier), now, therapeutic=False)
    assert "the farrier's aim" in band_words(target)


def _moving(cast: Cast, now: datetime, levels: list[float], **band: Any) -> Moving | None:
    before = now - timedelta(days=400)
    target = build.target(cast.access(cast.vet), before, **band)
    build.series(cast.access(cast.farrier), now, levels)
    return moving_toward_edge(numbers_of(cast.horse, today=now.date()), target)


def test_a_steady_fall_toward_the_lower_edge_is_seen_before_it_is_reached(
    cast: Cast, now: datetime
) -> None:
    moving = _moving(cast, now, [56, 55, 54, 53, 52, 51.2])
    assert moving is not None
    assert moving.trend.rate_per_trim < 0
    assert moving.earliest_on <= moving.likely_on
    assert "after allowing for growth since the trim" in moving_words(moving, now.date())


@pytest.mark.parametrize(
    "levels",
    [
        [52, 52, 52, 52, 52, 52],
        [52],
        [52, 51.7, 52.2, 51.9, 52.1, 52],
        [49, 49.5, 50, 50.5, 51, 51.5],
    ],
)
def test_no_change_too_few_visits_noise_or_the_way_back_in_are_not(
    levels: list[float], cast: Cast, now: datetime
) -> None:
    assert _moving(cast, now, levels, high=Decimal(60)) is None


def test_trims_that_nobody_measured_do_not_put_the_day_off(cast: Cast, now: datetime) -> None:
    moving = _moving(cast, now, [56, 55, 54, 53, 52, 51.2])
    assert moving is not None
    build.visit(cast.access(cast.farrier), now, now.date())
    later = moving_toward_edge(numbers_of(cast.horse, today=now.date()), moving.target)
    assert later is not None
    assert later.likely_on == moving.likely_on


def test_growth_within_the_cycle_alone_is_no_movement(cast: Cast, now: datetime) -> None:
    """The foot falls by 2.6 degrees in each cycle, and each trim puts it back."""
    assert _moving(cast, now, [52.0] * 8) is None

"""One foot on one page: from the side, its ladder of charts, what follows from two of them."""

from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from measurements.hoof.quantities import QUANTITIES
from measurements.queries.numbers import numbers_of
from measurements.series.derived import derived_charts
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def page(cast: Cast, client: Client, foot: str = "LF") -> str:
    client.force_login(cast.owner)
    answer = client.get(reverse("foot", args=[cast.case.public_id, foot]))
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_foot_without_numbers_says_so(cast: Cast, client: Client) -> None:
    assert "Nothing measured yet." in page(cast, client)


def test_every_measured_quantity_has_a_chart_on_the_same_days(
    cast: Cast, client: Client, now: datetime
) -> None:
    for days, quantities in ((300, ["toe_angle"]), (30, ["toe_angle", "toe_length", "sole_depth"])):
        on = now.date() - timedelta(days=days)
        for quantity in quantities:
            method = {"method": "radiograph"} if quantity == "sole_depth" else {}
            who = cast.vet if method else cast.farrier
            build.reading(cast.access(who), now, "LF", quantity, 50, on, **method)
    shown = page(cast, client)
    for quantity in ("toe_angle", "toe_length", "sole_depth"):
        assert QUANTITIES[quantity].label.capitalize() in shown
    assert shown.count('class="plot plot-ladder"') == 3


def test_a_foot_that_no_horse_has_is_not_found(cast: Cast, client: Client) -> None:
    client.force_login(cast.owner)
    assert client.get(reverse("foot", args=[cast.case.public_id, "XX"])).status_code == 404


def test_left_less_right_is_the_same_on_both_pages(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    for days in (50, 1):
        on = now.date() - timedelta(days=days)
        build.reading(farrier, now, "LF", "toe_angle", 52, on)
        build.reading(farrier, now, "RF", "toe_angle", 50, on)
    numbers = numbers_of(cast.horse, today=now.date())
    span = (now.date() - timedelta(days=60), now.date())
    for foot in ("LF", "RF"):
        ((_, chart),) = derived_charts(numbers, foot, length_unit="mm", span=span)
        assert [dot.value for dot in chart.dots] == [2.0, 2.0]


def test_values_of_different_days_are_not_taken_from_each_other(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    for days in (50, 1):
        build.reading(farrier, now, "LF", "toe_angle", 52, now.date() - timedelta(days=days))
        build.reading(farrier, now, "LF", "heel_angle", 45, now.date() - timedelta(days=days + 1))
    numbers = numbers_of(cast.horse, today=now.date())
    span = (now.date() - timedelta(days=60), now.date())
    assert derived_charts(numbers, "LF", length_unit="mm", span=span) == []

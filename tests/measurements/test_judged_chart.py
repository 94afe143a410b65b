"""The line of a chart is the level that the verdict speaks of, not another one beside it."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from measurements.queries.numbers import numbers_of
from measurements.series.chart import series_chart
from measurements.verdicts.of_series import SeriesVerdict, series_verdict
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
FALLING = [54, 53.1, 52.2, 51.1, 50.3, 49.2, 48.2]


def drawn(cast: Cast, now: datetime, verdict: SeriesVerdict | None) -> tuple[list[float], int]:
    """The heights of the level, and how many points the forecast has."""
    numbers = numbers_of(cast.horse, today=now.date())
    chart = series_chart(numbers, "LF", "toe_angle", judged=verdict)
    assert chart is not None
    return [span.value for span in chart.level], len(chart.forecast)


def test_a_judged_level_is_drawn_as_the_verdict_says_it(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, FALLING)
    last = now.date() - timedelta(days=10)
    told = SeriesVerdict(path=((last, 48.5, 47.9, 49.1),), ahead=((last, 48.5, 47.9, 49.1),) * 4)
    assert drawn(cast, now, told) == ([48.5], 4)


def test_without_a_verdict_the_straight_line_is_drawn(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, FALLING)
    assert drawn(cast, now, SeriesVerdict()) == drawn(cast, now, None)
    assert len(drawn(cast, now, None)[0]) == len(FALLING)


def test_the_verdict_that_is_kept_has_its_level_and_where_it_goes(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    build.series(cast.access(cast.farrier), now, FALLING)
    drain()
    numbers = numbers_of(cast.horse, today=now.date())
    told = series_verdict(numbers, "LF", "toe_angle", now.date())
    heights, ahead = drawn(cast, now, told)
    assert heights[0] - heights[-1] == pytest.approx(6, abs=2)
    assert ahead == 4
    assert told.ahead[0][1:] == told.path[-1][1:]

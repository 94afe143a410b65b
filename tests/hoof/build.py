"""Builders of readings and of series for the hoof tests: regular visits, known changes, seeded noise."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np

from measurements.hoof.drift.verdict import Verdict, judge
from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading

Found = TypeVar("Found")
INTERVAL_DAYS = 49.0
_LIMITS: dict[str, tuple[float, ...]] = {}  # one cache for all tests: they share dates


def the(answer: Found | None) -> Found:
    """An answer that must be there."""
    assert answer is not None
    return answer


def a_reading(**changes: Any) -> SeriesReading:
    """A plain after-trim gauge reading of 52, with the given fields changed."""
    plain: dict[str, Any] = {
        "at_days": 0.0,
        "value": 52.0,
        "sd": 1.0,
        "trim_index": 0,
        "days_since_trim": 0.0,
        "trim_state": TrimState.AFTER,
        "shoeing": Shoeing.SHOD,
        "method": Method.GAUGE,
        "by": "farrier",
        "key": "",
    }
    return SeriesReading(**{**plain, **changes})


def after_trims(
    values: Iterable[float], *, interval_days: float = INTERVAL_DAYS, **changes: Any
) -> list[SeriesReading]:
    """One after-trim reading per trim, oldest first."""
    return [
        a_reading(at_days=index * interval_days, value=float(value), trim_index=index, **changes)
        for index, value in enumerate(values)
    ]


def before_trims(
    values: Iterable[float], *, interval_days: float = INTERVAL_DAYS, **changes: Any
) -> list[SeriesReading]:
    """One reading at the end of each cycle, just before the next trim, oldest first."""
    return [
        a_reading(
            at_days=(index + 1) * interval_days,
            value=float(value),
            trim_index=index,
            days_since_trim=interval_days,
            trim_state=TrimState.BEFORE,
            **changes,
        )
        for index, value in enumerate(values)
    ]


def a_series(
    visits: int,
    *,
    rate: float = 0.0,
    step: float = 0.0,
    onset: int = 5,
    noise: float = 0.0,
    seed: int = 1,
    growth: float = -3.0,
    level: float = 52.0,
    interval_days: float = INTERVAL_DAYS,
    first_trim: int = 0,
    **changes: Any,
) -> list[SeriesReading]:
    """Before and after readings at every visit; `rate` per trim and `step` once after `onset`."""
    rng = np.random.default_rng(seed)
    readings = []
    for visit in range(visits):
        for trim, since, state in (
            (visit - 1, interval_days, TrimState.BEFORE),
            (visit, 0.0, TrimState.AFTER),
        ):
            true = level + rate * max(0, trim - onset) + step * (trim > onset)
            value = true + growth * since / 56.0 + noise * float(rng.normal())
            readings.append(
                a_reading(
                    **{
                        "at_days": visit * interval_days,
                        "value": value,
                        "trim_index": trim + first_trim,
                        "days_since_trim": since,
                        "trim_state": state,
                        **changes,
                    }
                )
            )
    return readings


def toe(readings: list[SeriesReading], **options: Any) -> Verdict:
    """The verdict on a toe angle series, limits kept between tests."""
    return judge({"toe_angle": readings}, cache=_LIMITS, **options)


def with_values(readings: list[SeriesReading], values: list[float]) -> list[SeriesReading]:
    """The same readings with other values."""
    return [replace(row, value=value) for row, value in zip(readings, values, strict=True)]

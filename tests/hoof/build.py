"""Builders of readings for the hoof tests."""

from collections.abc import Iterable
from typing import Any, TypeVar

from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading

Found = TypeVar("Found")


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
    values: Iterable[float], *, interval_days: float = 49.0, **changes: Any
) -> list[SeriesReading]:
    """One after-trim reading per trim, oldest first."""
    return [
        a_reading(at_days=index * interval_days, value=float(value), trim_index=index, **changes)
        for index, value in enumerate(values)
    ]


def before_trims(
    values: Iterable[float], *, interval_days: float = 49.0, **changes: Any
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

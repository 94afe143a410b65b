"""Puts one series of a horse into a chart: readings, trims, band, level and forecast.

Decided 2026-11:
- the chart of a judged angle draws the verdict's level, trim by trim. The road not taken: a
  straight line beside the sentence, which told another story because it bent the steady time before
  the onset.
- a reading before the first known trim is drawn but not judged, because nobody knows how long it
  grew.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from measurements.charts.draw import Chart, Dot, Span, TargetBand
from measurements.charts.model import Note
from measurements.hoof.quantities import QUANTITIES, TrimState
from measurements.hoof.trend import RATE_CONFIDENCE, Trend
from measurements.hoof.units import from_base
from measurements.models import Target
from measurements.queries.numbers import ORIGIN, Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.verdicts.bands import band_edges, trend_of, whose_band
from measurements.verdicts.judge import FORECAST_VISITS
from measurements.verdicts.of_series import SeriesVerdict
from measurements.wording import foot_quantity, full_day_words, shown_unit, value_words

# The least range of values up the side, so that noise does not look large. House defaults.
LEAST_SPAN = {"deg": 6.0, "mm": 12.0}
# More readings than this are not told one by one on the chart: the table has them. House default.
MOST_TOLD = 300


def series_chart(
    numbers: Numbers,
    foot: str,
    quantity: str,
    *,
    length_unit: str = "mm",
    corrected: Sequence[ReadingValue] = (),
    doubtful: frozenset[str] = frozenset(),
    since: date | None = None,
    with_trend: bool = True,
    judged: SeriesVerdict | None = None,
) -> Chart | None:
    """The chart of one series, None without a single reading.

    `corrected` are readings that no longer stand, `doubtful` the ids of readings to be measured
    again; `since` leaves out what is older. A level that was `judged` is drawn as its verdict says
    it, another by the straight line.
    """
    unit = shown_unit(quantity, length_unit)
    readings = [
        r
        for r in numbers.readings.get((foot, quantity), [])
        if since is None or r.taken_on >= since
    ]
    if not readings:
        return None
    first = readings[0].taken_on
    level, forecast = _course(numbers, foot, quantity, judged, with_trend=with_trend)
    return Chart(
        key=f"{foot}-{quantity}".lower(),
        title=f"{foot_quantity(foot, quantity).capitalize()} over time",
        desc=_description(quantity, readings, unit),
        unit="degrees" if unit == "deg" else unit,
        least_span=_least_span(quantity, unit),
        dots=_dots(numbers, readings, corrected, doubtful, unit),
        trims=tuple(day for day in numbers.trim_days(foot) if day >= first),
        bands=tuple(_band(t, unit) for t in numbers.targets.get((foot, quantity), [])),
        level=tuple(span for span in _scaled(level, unit) if span.on >= first),
        forecast=_scaled(forecast, unit),
    )


def _shown(value: Any, unit: str) -> float:
    """A stored value in the unit of the chart."""
    return float(value) if unit == "deg" else float(from_base(Decimal(str(value)), unit))  # type: ignore[arg-type]


def _least_span(quantity: str, unit: str) -> float:
    scale = _shown(1000, unit) / 1000 if unit != "deg" else 1.0
    return LEAST_SPAN[QUANTITIES[quantity].unit] * scale


def _dots(
    numbers: Numbers,
    readings: Sequence[ReadingValue],
    corrected: Sequence[ReadingValue],
    doubtful: frozenset[str],
    unit: str,
) -> tuple[Dot, ...]:
    """The readings that stand, each with its cycle, then those that were corrected."""
    foot, quantity = readings[0].foot, readings[0].quantity
    cycles = {s.key: s.trim_index for s in numbers.series(foot, quantity)}

    def dot(reading: ReadingValue, cycle: int | None, note: Note) -> Dot:
        value = _shown(reading.value, unit)
        words = _dot_words(reading, unit) if len(readings) <= MOST_TOLD else ""
        return Dot(reading.taken_on, value, reading.trim_state, cycle, note, words)

    standing = (
        dot(r, cycles.get(r.public_id), "doubt" if r.public_id in doubtful else "")
        for r in readings
    )
    return (*standing, *(dot(r, None, "corrected") for r in corrected))


def _dot_words(reading: ReadingValue, unit: str) -> str:
    """ "49.5°, after the trim, 10 Nov 2026, gauge, Gus Hallow"."""
    value = value_words(reading.quantity, float(reading.value), unit)
    moment = TrimState(reading.trim_state).label
    day = f"{reading.taken_on:%-d %b %Y}"
    return ", ".join(
        filter(None, (value, moment, day, reading.method_label, reading.taken_by_name))
    )


def _course(
    numbers: Numbers, foot: str, quantity: str, judged: SeriesVerdict | None, *, with_trend: bool
) -> tuple[list[Span], list[Span]]:
    """The level and the forecast, in base units: as judged, else by the straight line."""
    if judged is not None and judged.path:
        return [Span(*p) for p in judged.path], [Span(*p) for p in judged.ahead]
    trend = trend_of(numbers, foot, quantity) if with_trend else None
    if not isinstance(trend, Trend):
        return [], []
    # A change smaller than the measuring error is not drawn as one.
    ahead = _forecast(trend, numbers.horse.interval_days) if trend.is_moving else []
    return _level(trend), ahead


def _band(target: Target, unit: str) -> TargetBand:
    low, high = (None if edge is None else _shown(edge, unit) for edge in band_edges(target))
    return TargetBand(low, high, target.from_on, target.moment, whose_band(target))


def _day(at_days: float) -> date:
    return ORIGIN + timedelta(days=round(at_days))


def _span(trend: Trend, on: date, visits_ahead: float) -> Span:
    value = float(trend.line.at(visits_ahead))
    half = float(trend.line.half_width(visits_ahead, RATE_CONFIDENCE))
    return Span(on, value, value - half, value + half)


def _level(trend: Trend) -> list[Span]:
    last = trend.levels[-1].trim_index
    return [_span(trend, _day(lv.trim_day), lv.trim_index - last) for lv in trend.levels]


def _forecast(trend: Trend, interval_days: int) -> list[Span]:
    start = _day(trend.levels[-1].trim_day)
    return [
        _span(trend, start + timedelta(days=interval_days * ahead), ahead)
        for ahead in range(FORECAST_VISITS + 1)
    ]


def _scaled(spans: list[Span], unit: str) -> tuple[Span, ...]:
    if unit in ("deg", "mm"):
        return tuple(spans)
    per_mm = float(from_base(1000, unit)) / 1000  # type: ignore[arg-type]
    return tuple(Span(s.on, s.value * per_mm, s.low * per_mm, s.high * per_mm) for s in spans)


def _description(quantity: str, readings: Sequence[ReadingValue], unit: str) -> str:
    first, last = readings[0], readings[-1]
    if len(readings) == 1:
        return f"One reading: {value_words(quantity, float(last.value), unit)} on {full_day_words(last.taken_on)}."
    return (
        f"{len(readings)} readings from {full_day_words(first.taken_on)} "
        f"({value_words(quantity, float(first.value), unit)}) to {full_day_words(last.taken_on)} "
        f"({value_words(quantity, float(last.value), unit)}). The table of readings has them all."
    )

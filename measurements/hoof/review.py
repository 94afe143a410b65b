"""Replays old records reading by reading: when would the board have spoken, and what of?"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from measurements.hoof.drift.finding import Estimate
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.drift.verdict import Verdict, first_alarm, observe
from measurements.hoof.feet import Foot
from measurements.hoof.growth import CYCLE_DAYS, growth_prior
from measurements.hoof.quantities import QUANTITIES, TrimState, error_sd
from measurements.hoof.review_rows import ReviewRow
from measurements.hoof.series import SeriesReading

OUTPUT_COLUMNS = (
    "horse",
    "foot",
    "first_alert_on",
    "kind",
    "rate_per_visit",
    "rate_low",
    "rate_high",
    "since",
    "doubtful_rows",
)

# Days said or dated this close belong to one trim: sheets are filled in from memory. House default.
SAME_TRIM_DAYS = 3.0
# A first reading before any known trim: the middle of the everyday 6 to 8 weeks, and how far off
# that may be. House default.
UNKNOWN_CYCLE_DAYS = 49.0
UNKNOWN_CYCLE_SD_DAYS = 14.0


@dataclass(frozen=True)
class FootRecord:
    """All rows of one foot of one horse, as they stand in the file."""

    horse: str
    foot: Foot
    rows: tuple[ReviewRow, ...]


def records_of(rows: Iterable[ReviewRow]) -> list[FootRecord]:
    """One record per horse and foot, in order of first appearance."""
    groups: dict[tuple[str, Foot], list[ReviewRow]] = defaultdict(list)
    for row in rows:
        groups[(row.horse, row.foot)].append(row)
    return [FootRecord(horse, foot, tuple(group)) for (horse, foot), group in groups.items()]


def review_record(record: FootRecord, visits_per_false_alarm: float) -> dict[str, str]:
    """The verdict row of a record, its columns as text.

    The alarm, its kind, rate and onset are those known on the day of the first alarm; without an
    alarm the rate is the one at the end. Only toe and heel angle raise alarms. `doubtful_rows`
    are line numbers, judged on the whole record.
    """
    readings, lines = readings_of(record)
    angles = {key: readings[key] for key in DRIFT_QUANTITIES if key in readings}
    alarm = first_alarm(angles, visits_per_false_alarm=visits_per_false_alarm) if angles else None
    groups = [angles] if angles else []
    groups += [{key: rows} for key, rows in readings.items() if key not in angles]
    observed = [observe(group) for group in groups]
    return _output(record, alarm, alarm or observed[0], _doubtful_lines(observed, lines))


def _output(
    record: FootRecord, alarm: Verdict | None, told: Verdict, doubtful: Sequence[int]
) -> dict[str, str]:
    leading = told.leading
    rate = None if leading is None else leading.rate_per_visit
    origin = _origin(record)
    return {
        "horse": record.horse,
        "foot": record.foot.value,
        "first_alert_on": "" if alarm is None else _on(origin, alarm.alarm_days),
        "kind": "" if alarm is None else alarm.state.value,
        **_rate_columns(rate),
        "since": "" if alarm is None else _on(origin, alarm.since_days),
        "doubtful_rows": " ".join(str(line) for line in doubtful),
    }


def _rate_columns(rate: Estimate | None) -> dict[str, str]:
    values = (
        ("", "", "") if rate is None else [f"{x:.3f}" for x in (rate.value, rate.low, rate.high)]
    )
    return dict(zip(("rate_per_visit", "rate_low", "rate_high"), values, strict=True))


def _on(origin: date, days: float | None) -> str:
    return "" if days is None else (origin + timedelta(days=round(days))).isoformat()


def _origin(record: FootRecord) -> date:
    return min(row.on for row in record.rows)


def _doubtful_lines(observed: Sequence[Verdict], lines: Mapping[str, Sequence[int]]) -> list[int]:
    return sorted(
        lines[finding.quantity][standing.index]
        for verdict in observed
        for finding in verdict.findings
        for standing in finding.doubtful
    )


def readings_of(
    record: FootRecord,
) -> tuple[dict[str, list[SeriesReading]], dict[str, list[int]]]:
    """The record's readings by quantity, and the line each came from."""
    origin = _origin(record)
    trims = trim_days_of(record.rows, origin)
    readings: dict[str, list[SeriesReading]] = defaultdict(list)
    lines: dict[str, list[int]] = defaultdict(list)
    for row in record.rows:
        readings[row.quantity].append(_reading(row, origin, trims))
        lines[row.quantity].append(row.line)
    return readings, lines


def trim_days_of(rows: Sequence[ReviewRow], origin: date) -> list[float]:
    """The days of all trims a record knows of, rising.

    A reading before or after a trim dates one; days since a trim date the one before it, so that
    a visit without any reading is not lost.
    """
    dated = {_day(row, origin) for row in rows if row.trim is not TrimState.BETWEEN}
    told = {_day(row, origin) - row.days_since_trim for row in rows if row.days_since_trim}
    trims: list[float] = []
    for day in sorted(dated):
        if not trims or day - trims[-1] > SAME_TRIM_DAYS:
            trims.append(day)
    for day in sorted(told):
        if all(abs(day - trim) > SAME_TRIM_DAYS for trim in trims):
            trims.append(day)
    return sorted(trims)


def _day(row: ReviewRow, origin: date) -> float:
    return float((row.on - origin).days)


def _reading(row: ReviewRow, origin: date, trims: Sequence[float]) -> SeriesReading:
    day = _day(row, origin)
    # A reading after the trim stands on the trim of its own day, any other on the one before.
    own_trim = day + SAME_TRIM_DAYS if row.trim is TrimState.AFTER else day - SAME_TRIM_DAYS
    if row.trim is TrimState.BETWEEN and not row.days_since_trim:
        own_trim = day
    index = int(np.searchsorted(trims, own_trim, side="right")) - 1
    days, days_sd = _days_since_trim(row, day, trims, index)
    quantity = QUANTITIES[row.quantity]
    growth = growth_prior(quantity, row.shoeing).mean_per_56_days
    sd = float(np.hypot(error_sd(quantity, row.method), growth * days_sd / CYCLE_DAYS))
    return SeriesReading(
        at_days=day,
        value=row.value,
        sd=sd,
        trim_index=index,
        days_since_trim=days,
        trim_state=row.trim,
        shoeing=row.shoeing,
        method=row.method,
        by=row.by,
    )


def _days_since_trim(
    row: ReviewRow, day: float, trims: Sequence[float], index: int
) -> tuple[float, float]:
    """Days since the trim a reading stands on, and their SD (0 when known)."""
    if row.trim is TrimState.AFTER:
        return 0.0, 0.0
    if row.days_since_trim is not None:
        return row.days_since_trim, 0.0
    if index < 0:
        return UNKNOWN_CYCLE_DAYS, UNKNOWN_CYCLE_SD_DAYS
    return day - trims[index], 0.0

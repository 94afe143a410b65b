"""Judges a foot with the drift method after each change of its numbers, and keeps the verdict.

A verdict is kept with the fingerprint of what it was judged on. The same readings are not judged
twice, and an old verdict is never rewritten: a late or corrected reading makes a new one.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any

from measurements.hoof.drift.arrays import PlannedChange
from measurements.hoof.drift.finding import Estimate, LevelAt, QuantityFinding
from measurements.hoof.drift.foot import series_key
from measurements.hoof.drift.offsets import HandPair
from measurements.hoof.drift.power import WouldShow
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.drift.verdict import Verdict, ahead, forecast, judge, limits_prepare
from measurements.hoof.quantities import Moment
from measurements.hoof.series import SeriesReading
from measurements.models import FootVerdict
from measurements.queries.numbers import ORIGIN, Numbers
from measurements.verdicts.bands import band_edges
from measurements.verdicts.hand_changes import hand_pairs
from measurements.verdicts.limit_cache import SharedLimits
from measurements.verdicts.yard_variation import learned_at, learned_dict

FORECAST_VISITS = 3  # house default: about half a year; a straight continuation holds no longer

Band = tuple[str, str, float | None, float | None]  # quantity, moment, low and high edge
Readings = Mapping[str, Sequence[SeriesReading]]


def day_of(days: float) -> date:
    """The date of a place on the series' time axis."""
    return ORIGIN + timedelta(days=round(days))


def foot_readings(numbers: Numbers, foot: str) -> dict[str, list[SeriesReading]]:
    """The toe and heel angles of one foot, which are judged together."""
    found = {quantity: numbers.series(foot, quantity) for quantity in DRIFT_QUANTITIES}
    return {quantity: rows for quantity, rows in found.items() if rows}


def foot_plans(numbers: Numbers, foot: str) -> dict[str, list[PlannedChange]]:
    """The movement that the team has agreed to for this foot: in that direction it is no news.

    A trim or a wedge that turns the foot turns its toe and its heel alike (the flat, stiff ground
    surface of `hoof.mechanics`), so that what is agreed for one angle is planned for both.
    """
    planned = [
        PlannedChange(
            from_days=float((date.fromisoformat(change["from_on"]) - ORIGIN).days),
            rate_per_visit=float(change["rate_per_visit"]),
            visits=int(change["visits"]),
        )
        for change in numbers.planned.get(foot, [])
        if change["quantity"] in DRIFT_QUANTITIES
    ]
    return dict.fromkeys(DRIFT_QUANTITIES, planned) if planned else {}


@dataclass(frozen=True)
class FootQuestion:
    """What a foot is judged on as its numbers stand, with the fingerprint of all of it."""

    readings: dict[str, list[SeriesReading]]
    plans: dict[str, list[PlannedChange]]
    bands: list[Band]
    pairs: dict[str, list[HandPair]]

    @cached_property
    def key(self) -> str:
        parts = (
            series_key(self.readings),
            repr(sorted(self.plans.items())),
            repr(self.bands),
            repr(sorted(self.pairs.items())),
        )
        return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def foot_question(numbers: Numbers, foot: str) -> FootQuestion:
    """What the numbers ask of a foot; worked out once, as is its fingerprint."""
    return numbers.worked_out(("question", foot), lambda: _question(numbers, foot))


def _question(numbers: Numbers, foot: str) -> FootQuestion:
    targets = [t for q in DRIFT_QUANTITIES for t in numbers.targets.get((foot, q), [])]
    return FootQuestion(
        readings=foot_readings(numbers, foot),
        plans=foot_plans(numbers, foot),
        bands=sorted((t.quantity, t.moment, *band_edges(t)) for t in targets),
        pairs=hand_pairs(numbers, foot),
    )


@dataclass(frozen=True)
class VerdictNow:
    """The verdict on a foot; not `is_current` while the numbers as they stand are not judged yet."""

    verdict: FootVerdict | None
    is_current: bool


def verdict_now(numbers: Numbers, foot: str) -> VerdictNow:
    """The verdict on the numbers as they stand; until it is there, the newest of the earlier ones.

    Found by its fingerprint: after a reading was taken off, an early verdict may be the right one.
    """
    question = foot_question(numbers, foot)
    if not question.readings:
        return VerdictNow(None, True)
    known = numbers.horse.verdicts.filter(foot=foot)
    # A verdict on exactly these numbers stays the right one; where there is none yet, it is looked
    # for each time.
    try:
        current = numbers.worked_out(
            ("verdict", foot),
            lambda: known.filter(series_key=question.key).latest("judged_at", "pk"),
        )
    except FootVerdict.DoesNotExist:
        return VerdictNow(known.last(), False)
    return VerdictNow(current, True)


def foot_prepare(numbers: Numbers, foot: str, *, now: datetime) -> None:
    """Has what is slow kept that `foot_judge` will ask for, unless the verdict itself is there: what
    the yard teaches, and limits that have to be simulated."""
    question = foot_question(numbers, foot)
    known = numbers.horse.verdicts.filter(foot=foot, series_key=question.key)
    if question.readings and not known.exists():
        limits_prepare(
            question.readings,
            plans=question.plans,
            pairs=question.pairs,
            learned=learned_at(numbers, foot, now=now),
            cache=SharedLimits(),
        )


def foot_judge(numbers: Numbers, foot: str, *, now: datetime) -> FootVerdict | None:
    """The verdict on a foot as its readings, plans and bands stand; made when it is not there."""
    question = foot_question(numbers, foot)
    if not question.readings:
        return None
    key = question.key
    known = FootVerdict.objects.filter(horse=numbers.horse, foot=foot, series_key=key).last()
    if known is not None:
        return known
    learned = learned_at(numbers, foot, now=now)
    verdict = judge(
        question.readings,
        plans=question.plans,
        pairs=question.pairs,
        learned=learned,
        cache=SharedLimits(),
    )
    return FootVerdict.objects.create(
        horse=numbers.horse,
        foot=foot,
        series_key=key,
        state=verdict.state.value,
        visits_seen=verdict.visits_seen,
        judged_at=now,
        result={
            **verdict_dict(verdict, question.readings, question.bands),
            "learned": learned_dict(learned),
        },
    )


def verdict_dict(verdict: Verdict, readings: Readings, bands: Sequence[Band]) -> dict[str, Any]:
    """Everything of a verdict that people see, as plain numbers, days as dates."""
    allowed = verdict.allowed_for
    return json.loads(  # through JSON once, so that what is kept is what is compared
        json.dumps(
            {
                "state": verdict.state.value,
                "visits_seen": verdict.visits_seen,
                "visits_needed": verdict.visits_needed,
                "statistic": _round(verdict.statistic, 3),
                "limit": _round(verdict.limit, 3),
                "alarm_on": _day(verdict.alarm_days),
                "since_on": _day(verdict.since_days),
                "since_earliest_on": _day(verdict.since_earliest_days),
                "since_latest_on": _day(verdict.since_latest_days),
                "lead": verdict.lead,
                "findings": [_finding(verdict, f, readings[f.quantity]) for f in verdict.findings],
                "interval_days": _round(allowed.interval_days, 1) if allowed else None,
                "doubtful": allowed.doubtful if allowed else 0,
                "readers": allowed.readers if allowed else 0,
                "shoeing_changes": allowed.shoeing_changes if allowed else 0,
                "planned": allowed.planned if allowed else False,
                "would_show": _would_show(verdict.would_show),
                "forecasts": _forecasts(verdict, bands),
            },
            allow_nan=False,
        )
    )


def _round(number: float | None, digits: int) -> float | None:
    return None if number is None else round(number, digits)


def _day(days: float | None) -> str | None:
    return None if days is None else str(day_of(days))


def _estimate(estimate: Estimate | None) -> list[float] | None:
    if estimate is None:
        return None
    return [round(n, 3) for n in (estimate.value, estimate.low, estimate.high)]


def _would_show(found: WouldShow | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "since_on": _day(found.since_days),
        "visits": found.visits,
        "alike": round(found.alike, 2),
        "alone": {quantity: round(total, 2) for quantity, total in found.alone},
    }


def _points(points: Sequence[LevelAt]) -> list[list[Any]]:
    return [[_day(point.at_days), *(_estimate(point.level) or ())] for point in points]


def _finding(
    verdict: Verdict, finding: QuantityFinding, rows: Sequence[SeriesReading]
) -> dict[str, Any]:
    return {
        "quantity": finding.quantity,
        "rate_per_visit": _estimate(finding.rate_per_visit),
        "change": _estimate(finding.change),
        "level": _estimate(finding.level),
        "growth_per_56_days": _estimate(finding.growth_per_56_days),
        "weights": {rows[r.index].key: round(r.weight, 3) for r in finding.readings},
        "doubtful": [rows[r.index].key for r in finding.doubtful],
        "path": _points(finding.path),
        "ahead": _points(ahead(verdict, finding.quantity, FORECAST_VISITS)),
    }


def _forecasts(verdict: Verdict, bands: Sequence[Band]) -> list[dict[str, Any]]:
    judged = {finding.quantity for finding in verdict.findings}
    found = []
    for quantity, moment, low, high in bands:
        if quantity not in judged:
            continue
        for crossing in forecast(verdict, quantity, low, high, Moment(moment)):
            found.append(
                {
                    "quantity": quantity,
                    "moment": moment,
                    "low": low,
                    "high": high,
                    "edge": crossing.edge,
                    "chance": round(crossing.chance, 3),
                    "outside_chance": round(crossing.outside_chance, 3),
                    "earliest_on": _day(crossing.earliest_days),
                    "likely_on": _day(crossing.likely_days),
                    "latest_on": _day(crossing.latest_days),
                }
            )
    return found

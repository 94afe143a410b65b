"""Scores of one scenario: false alarms, delays, and whether the intervals hold the truth."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from measurements.hoof.drift.forecast import Crossing
from measurements.hoof.drift.verdict import Verdict, first_alarm, forecast, judge
from tests.bench.drift_simulate import Simulated

# The band edge of the date test lies this far beyond the stable level.
EDGE_DEG = 4.0


@dataclass
class Score:
    """Counts of one method over one scenario. Delays in visits after the last stable trim."""

    series: int = 0
    visits: int = 0
    false_alarms: int = 0
    early: int = 0
    delays: list[float] = field(default_factory=list)
    kinds: list[str] = field(default_factory=list)
    rate_covered: list[bool] = field(default_factory=list)
    rate_covered_at_end: list[bool] = field(default_factory=list)
    rate_error: list[float] = field(default_factory=list)
    date_covered: list[bool] = field(default_factory=list)
    date_covered_by_visit: list[bool] = field(default_factory=list)

    def add(self, series: Simulated, alarm_visit: int | None) -> bool:
        """Counts one series; whether its alarm answers a change."""
        self.series += 1
        if not series.scenario.has_change and series.scenario.longer_days is None:
            last = series.scenario.visits - 1 if alarm_visit is None else alarm_visit
            self.visits += max(0, last - 1)  # from the third visit on
            self.false_alarms += alarm_visit is not None
            return False
        if alarm_visit is not None and alarm_visit <= series.onset:
            self.early += 1
            return False
        self.delays.append(np.inf if alarm_visit is None else alarm_visit - series.onset)
        return alarm_visit is not None

    @property
    def per_100_visits(self) -> float:
        return 100.0 * self.false_alarms / max(1, self.visits)

    def within(self, visits: int) -> float:
        return float(np.mean(np.array(self.delays) <= visits))

    @property
    def median(self) -> float:
        return float(np.median(self.delays))

    def mean(self, cap: float = 16.0) -> float:
        """The mean delay; series never caught count as the cap."""
        return float(np.minimum(self.delays, cap).mean())


def score_product(many: Iterable[Simulated], *, intervals: bool = False) -> Score:
    """The product's own entry on every series."""
    score = Score()
    for series in many:
        alarm = first_alarm(series.readings)
        visit = None if alarm is None else visit_of(series, alarm)
        if score.add(series, visit) and alarm is not None:
            score.kinds.append(alarm.state.value)
            if intervals:
                _score_intervals(score, series, alarm)
    return score


def visit_of(series: Simulated, alarm: Verdict) -> int:
    """The visit at which an alarm is seen: its own, or the next one after an owner's reading."""
    assert alarm.alarm_days is not None
    return int(np.searchsorted(series.visit_days, alarm.alarm_days - 0.5))


def _score_intervals(score: Score, series: Simulated, alarm: Verdict) -> None:
    finding = alarm.finding("toe_angle")
    assert finding.rate_per_visit is not None
    truth = series.true_rate
    score.rate_covered.append(finding.rate_per_visit.low <= truth <= finding.rate_per_visit.high)
    score.rate_error.append(abs(finding.rate_per_visit.value) - abs(truth))
    at_end = judge(series.readings).finding("toe_angle").rate_per_visit
    assert at_end is not None
    score.rate_covered_at_end.append(at_end.low <= truth <= at_end.high)
    _score_date(score, series, alarm)


def _score_date(score: Score, series: Simulated, alarm: Verdict) -> None:
    """Whether the 80 % range of dates holds the day the true level leaves the band."""
    edge = float(series.levels[0] + series.direction * EDGE_DEG)
    low, high = (edge, None) if series.direction < 0 else (None, edge)
    told = forecast(alarm, "toe_angle", low, high)[0]
    visit = series.onset + EDGE_DEG / series.scenario.rate
    assert alarm.rhythm is not None
    if _day(series, visit) <= alarm.rhythm.last_trim_days:
        return
    score.date_covered.append(_holds(told, _day(series, visit)))
    score.date_covered_by_visit.append(_holds(told, _day(series, float(np.ceil(visit)))))


def _day(series: Simulated, visit: float) -> float:
    """The day of a (fractional) visit, the schedule continued at its mean beyond the end."""
    days = series.visit_days
    beyond = max(0.0, visit - (len(days) - 1))
    return float(np.interp(visit, np.arange(len(days)), days) + beyond * 49.0 * 1.05)


def _holds(told: Crossing, day: float) -> bool:
    if told.earliest_days is None:
        return False
    return told.earliest_days <= day and (told.latest_days is None or day <= told.latest_days)


def score_table(
    many: Sequence[Simulated], statistics: Sequence[np.ndarray], limits: np.ndarray
) -> Score:
    """A comparison method with its limits by visit."""
    score = Score()
    for series, values in zip(many, statistics, strict=True):
        above = np.flatnonzero(values > limits[: len(values)])
        score.add(series, int(above[0]) if len(above) else None)
    return score

"""The one entry that judges a foot: too early, quiet, drift or step, with the evidence for it.

A toe and a heel angle of one foot are judged together (they share the onset), any other quantity
on its own. The same readings give the same verdict in whatever order they come.

Decided 2026-11: toe and heel angles are judged by the drift method, other quantities by a straight
line with growth allowed for, which speaks only when there is a band to leave.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from measurements.hoof.drift.alarm import (
    LimitCache,
    certain_at,
    limits_of,
    pairs_came_after,
    standing_alarm,
)
from measurements.hoof.drift.arrays import Floats, Ints
from measurements.hoof.drift.evidence import log_sum_exp
from measurements.hoof.drift.finding import LevelAt, QuantityFinding, describe, estimate
from measurements.hoof.drift.foot import FootSeries, Pairs, Plans, Readings, prepare
from measurements.hoof.drift.forecast import Crossing, VisitRhythm, crossing, rhythm_of
from measurements.hoof.drift.learning import Variation, under, with_learned_error
from measurements.hoof.drift.look_statistics import statistics_by_look
from measurements.hoof.drift.posterior import Shape, onset_log_weights, shape_evidence
from measurements.hoof.drift.power import WouldShow, would_show
from measurements.hoof.drift.priors import VISITS_NEEDED, VISITS_PER_FALSE_ALARM
from measurements.hoof.drift.replay import Fit, fits_at
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Moment

# The heel speaks for the foot only if its own odds are this much better. House default.
_LEAD_LOG_ODDS = float(np.log(3.0))


class DriftState(StrEnum):
    """What can be said of a foot."""

    TOO_EARLY = "too_early"
    QUIET = "quiet"
    DRIFT = "drift"
    STEP = "step"


@dataclass(frozen=True)
class AllowedFor:
    """What the verdict does not mistake for a change.

    `interval_days`, `interval_sd_days`: the rhythm of the trims. `doubtful`: readings that count
    much less. `readers`: persons with their methods, each with an offset of its own.
    `shoeing_changes`: new baselines. `planned`: whether agreed movement was taken out.
    """

    interval_days: float
    interval_sd_days: float
    doubtful: int
    readers: int
    shoeing_changes: int
    planned: bool


@dataclass(frozen=True)
class Verdict:
    """The state of a foot at its latest reading.

    `visits_seen` of `visits_needed`. `statistic` against `limit` at the latest judged look (both
    `None` before the first). `alarm_trim_index`, `alarm_days`: the trim and day at which the
    alarm now standing was raised (`None`: none stands). `since_trim_index`, `since_days`: drift:
    the last trim before it began; step: the trim at which it happened; with the 80 % range
    `since_earliest_days` to `since_latest_days`. `lead`: the quantity that shows it best.
    `findings`: one per quantity judged. `would_show`: while no alarm stands, how large a slow
    change would have been found. Trim indexes and days are those of the readings.
    """

    state: DriftState
    visits_seen: int
    visits_needed: int
    statistic: float | None
    limit: float | None
    alarm_trim_index: int | None
    alarm_days: float | None
    since_trim_index: int | None
    since_days: float | None
    since_earliest_days: float | None
    since_latest_days: float | None
    lead: str | None
    findings: tuple[QuantityFinding, ...]
    allowed_for: AllowedFor | None
    rhythm: VisitRhythm | None
    would_show: WouldShow | None = None

    def finding(self, quantity: str) -> QuantityFinding:
        """The finding on one quantity. Raises `HoofError` if it was not judged."""
        for finding in self.findings:
            if finding.quantity == quantity:
                return finding
        raise HoofError(f"The {quantity} was not judged.")

    @property
    def leading(self) -> QuantityFinding | None:
        """The finding on the quantity that shows the change best."""
        return None if self.lead is None else self.finding(self.lead)


def judge(
    readings: Readings,
    *,
    plans: Plans | None = None,
    pairs: Pairs | None = None,
    settled_days: float | None = None,
    learned: Variation | None = None,
    visits_per_false_alarm: float = VISITS_PER_FALSE_ALARM,
    cache: LimitCache | None = None,
) -> Verdict:
    """Judges a foot on all its readings.

    `readings`: by quantity key; toe and heel angle together, or one quantity. Order is free,
    exact copies count once. `plans`: agreed changes by quantity key. `pairs`: what the hands of
    this foot have read beside each other on the horse's other feet, by quantity key. `settled_days`: a new
    baseline from that day on. `learned`: how its hand errs and its trims vary, by the yard's own
    series. `cache`: keeps limits between calls (they depend on dates and
    methods, not on values). Raises `HoofError` for unknown or unjudgeable mixtures and a
    `visits_per_false_alarm` under 2.
    """
    foot = _prepared(readings, plans, settled_days, pairs, learned)
    if not len(foot.looks):
        return _nothing_yet()
    limits = limits_of(foot, visits_per_false_alarm, cache)
    statistics = statistics_by_look(foot.pair, foot.looks)
    alarm = standing_alarm(foot, statistics, limits)
    if alarm is not None and pairs_came_after(foot, alarm):
        bare = _prepared(readings, plans, settled_days, None, learned)
        bare_limits = limits_of(bare, visits_per_false_alarm, cache)
        unaided = standing_alarm(bare, statistics_by_look(bare.pair, bare.looks), bare_limits)
        alarm = certain_at(foot, alarm, unaided)
    return verdict_at(foot, len(foot.looks) - 1, statistics, limits, alarm)


def _prepared(
    readings: Readings,
    plans: Plans | None,
    settled_days: float | None,
    pairs: Pairs | None,
    learned: Variation | None,
) -> FootSeries:
    if learned is None:
        return prepare(readings, plans or {}, settled_days, pairs)
    scaled = {key: with_learned_error(rows, learned) for key, rows in readings.items()}
    return under(prepare(scaled, plans or {}, settled_days, pairs), learned)


def first_alarm(
    readings: Readings,
    *,
    pairs: Pairs | None = None,
    visits_per_false_alarm: float = VISITS_PER_FALSE_ALARM,
    cache: LimitCache | None = None,
) -> Verdict | None:
    """The verdict at the first alarm, with what was known then; `None` if there never was one."""
    foot = prepare(readings, {}, None, pairs)
    if not len(foot.looks):
        return None
    limits = limits_of(foot, visits_per_false_alarm, cache)
    statistics = statistics_by_look(foot.pair, foot.looks, limits)
    raised = np.flatnonzero(statistics > limits)
    if not len(raised):
        return None
    return verdict_at(foot, int(raised[0]), statistics, limits, int(raised[0]))


def observe(
    readings: Readings, *, plans: Plans | None = None, settled_days: float | None = None
) -> Verdict:
    """Rate, level and the standing of the readings without raising any alarm.

    For quantities that get a trend and a band check only. Arguments as for `judge`.
    """
    foot = prepare(readings, plans or {}, settled_days)
    if not len(foot.looks):
        return _nothing_yet()
    unlimited = np.full(len(foot.looks), np.inf)
    return verdict_at(foot, len(foot.looks) - 1, -unlimited, unlimited, None)


def limits_prepare(
    readings: Readings,
    *,
    plans: Plans | None = None,
    pairs: Pairs | None = None,
    learned: Variation | None = None,
    cache: LimitCache,
) -> None:
    """Works out the limits that `judge` will ask for on the same readings, and keeps them: where
    they have to be simulated, nearly all the time of a judgement is theirs. Raises `HoofError` as
    `judge` does."""
    foot = _prepared(readings, plans, None, pairs, learned)
    if len(foot.looks):
        limits_of(foot, VISITS_PER_FALSE_ALARM, cache)


def verdict_at(
    foot: FootSeries, look: int, statistics: Floats, limits: Floats, alarm: int | None
) -> Verdict:
    """The verdict at a look, on the readings up to it, given the alarm standing then."""
    # What raised an alarm stays in the description as long as the alarm stands.
    told_since = int(foot.looks.window_start[look if alarm is None else alarm])
    fits = fits_at(foot.pair, foot.looks, look, told_since)
    known = [(key, fit) for key, fit in zip(foot.keys, fits, strict=True) if fit is not None]
    last_trim = int(foot.looks.last_trim[look])
    state = _state(foot, look, alarm, [fit for _, fit in known])
    shape = Shape.STEP if state is DriftState.STEP else Shape.DRIFT
    has_onsets = bool(known) and len(known[0][1].onsets) > 0
    fitted = [fit for _, fit in known]
    weights = {each: onset_log_weights(fitted, each) for each in Shape} if has_onsets else None
    changed = alarm is not None
    trims, days = foot.trim_days(look)
    day_of = dict(zip(trims.tolist(), days.tolist(), strict=True))
    findings = tuple(
        describe(key, fit, weights, shape, last_trim, changed, day_of) for key, fit in known
    )
    rhythm = rhythm_of(trims, days)
    judged = np.flatnonzero(np.isfinite(limits[: look + 1]))
    latest = int(judged[-1]) if len(judged) else None
    since = (
        _since(known[0][1].onsets, weights[shape], shape)
        if changed and weights is not None
        else None
    )
    since_days = [None] * 3 if since is None else [float(np.interp(s, trims, days)) for s in since]
    return Verdict(
        state=state,
        visits_seen=int(foot.looks.visits[look]),
        visits_needed=VISITS_NEEDED,
        statistic=None if latest is None else float(statistics[latest]),
        limit=None if latest is None else float(limits[latest]),
        alarm_trim_index=None
        if alarm is None
        else int(foot.looks.last_trim[alarm]) + foot.first_trim,
        alarm_days=None if alarm is None else float(foot.looks.at_days[alarm]),
        since_trim_index=None if since is None else since[1] + foot.first_trim,
        since_earliest_days=since_days[0],
        since_days=since_days[1],
        since_latest_days=since_days[2],
        lead=_lead(known, shape) if has_onsets else (known[0][0] if known else None),
        findings=findings,
        allowed_for=_allowed_for([fit for _, fit in known], findings, rhythm),
        rhythm=rhythm,
        would_show=None if changed else would_show(foot, look, limits),
    )


def forecast(
    verdict: Verdict,
    quantity: str,
    band_low: float | None,
    band_high: float | None,
    moment: Moment = Moment.AFTER_TRIM,
) -> tuple[Crossing, ...]:
    """When the quantity leaves its band over each given edge if nothing changes.

    Edges in the base unit; the likelier one first. Empty before there is a rhythm of trims.
    Raises `HoofError` if the quantity was not judged.
    """
    finding = verdict.finding(quantity)
    if verdict.rhythm is None:
        return ()
    crossings = []
    if band_low is not None:
        crossings.append(crossing(finding.outlook, verdict.rhythm, "low", band_low, moment))
    if band_high is not None:
        crossings.append(crossing(finding.outlook, verdict.rhythm, "high", band_high, moment))
    return tuple(sorted(crossings, key=lambda item: -item.chance))


def ahead(verdict: Verdict, quantity: str, visits: int) -> tuple[LevelAt, ...]:
    """Where a drifting level goes if nothing changes: now, and at each of the next visits.

    Empty unless a drift stands. Raises `HoofError` if the quantity was not judged.
    """
    finding = verdict.finding(quantity)
    if verdict.state is not DriftState.DRIFT or verdict.rhythm is None:
        return ()
    outlook, rhythm = finding.outlook, verdict.rhythm
    return tuple(
        LevelAt(
            rhythm.last_trim_days + visit * rhythm.interval_days,
            estimate(outlook.level + visit * outlook.rate),
        )
        for visit in range(visits + 1)
    )


def _state(foot: FootSeries, look: int, alarm: int | None, fits: Sequence[Fit]) -> DriftState:
    if foot.looks.visits[look] < VISITS_NEEDED:
        return DriftState.TOO_EARLY
    if alarm is None:
        return DriftState.QUIET
    drift = log_sum_exp(shape_evidence(fits, Shape.DRIFT))
    step = log_sum_exp(shape_evidence(fits, Shape.STEP))
    return DriftState.STEP if step > drift else DriftState.DRIFT


def _lead(known: Sequence[tuple[str, Fit]], shape: Shape) -> str:
    """The first quantity (toe before heel) unless the other shows the change clearly better."""
    strength = {key: float(log_sum_exp(shape_evidence([fit], shape))) for key, fit in known}
    best = max(strength.values())
    return next(key for key, value in strength.items() if value >= best - _LEAD_LOG_ODDS)


def _since(onsets: Ints, log_weights: Floats, shape: Shape) -> tuple[int, int, int]:
    """Early, middle and late trim (10, 50, 90 %) of the onset; for a step, the trim that made it."""
    shares = np.cumsum(np.exp(log_weights))
    places = np.searchsorted(shares / shares[-1], (0.1, 0.5, 0.9))
    early, middle, late = onsets[places] + (1 if shape is Shape.STEP else 0)
    return int(early), int(middle), int(late)


def _allowed_for(
    fits: Sequence[Fit], findings: Sequence[QuantityFinding], rhythm: VisitRhythm
) -> AllowedFor:
    arrays = [fit.part.arrays for fit in fits]
    return AllowedFor(
        interval_days=rhythm.interval_days,
        interval_sd_days=rhythm.interval_sd_days,
        doubtful=sum(len(finding.doubtful) for finding in findings),
        readers=max((len(np.unique(part.source)) for part in arrays), default=0),
        shoeing_changes=max((len(np.unique(part.level_id)) - 1 for part in arrays), default=0),
        planned=any(bool(np.any(part.planned != 0)) for part in arrays),
    )


def _nothing_yet() -> Verdict:
    return Verdict(
        state=DriftState.TOO_EARLY,
        visits_seen=0,
        visits_needed=VISITS_NEEDED,
        statistic=None,
        limit=None,
        alarm_trim_index=None,
        alarm_days=None,
        since_trim_index=None,
        since_days=None,
        since_earliest_days=None,
        since_latest_days=None,
        lead=None,
        findings=(),
        allowed_for=None,
        rhythm=None,
    )

"""The whole judgement of a foot by the reference, given the alarm limits."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from measurements.hoof.quantities import Moment
from tests.hoof.reference import ahead, explain, search
from tests.hoof.reference.explain import Part, Shape
from tests.hoof.reference.house import (
    ASK_AGAIN_FROM_SD,
    BELIEFS,
    CHANGE_CHANCE,
    LEAD_LOG_ODDS_OF,
    SAME_VISIT_DAYS,
    UNSEEN_SCALE,
    UNSEEN_TAIL,
    VISITS_NEEDED,
)
from tests.hoof.reference.mixture import Mixture
from tests.hoof.reference.rows import Foot
from tests.hoof.reference.search import Look, Told

Three = tuple[float, float, float]
Limits = Sequence[float | None]


@dataclass(frozen=True)
class Finding:
    """One quantity: estimates as (middle, low, high), and what a forecast is drawn from."""

    rate: Three | None
    change: Three | None
    level: Three
    growth: Three
    weights: dict[int, float]
    doubtful: list[int]
    feet: list[ahead.Drawn]


@dataclass(frozen=True)
class Judgement:
    """What the reference says of a foot."""

    state: str
    statistics: list[float | None]
    alarm_trim: int | None
    alarm_day: float | None
    since: tuple[int, float, float, float] | None
    lead: str
    findings: dict[str, Finding]
    rhythm: ahead.Rhythm

    def leaving(self, key: str, low: float, high: float, moment: Moment) -> list[ahead.Leaving]:
        """When the quantity leaves its band over the low and over the high edge."""
        feet = self.findings[key].feet
        return [
            ahead.leaving(feet, self.rhythm, sign, edge, moment)
            for sign, edge in ((-1, low), (1, high))
        ]


def judge(foot: Foot, limits: Limits, without_pairs: tuple[Foot, Limits] | None) -> Judgement:
    """Judges a foot at its last look. `without_pairs`: the same as if hands had never been
    compared on other feet."""
    looks = search.looks_of(foot)
    statistics = _statistics(foot, looks)
    alarm = search.standing_alarm(foot, looks, statistics, limits)
    if alarm is not None and without_pairs is not None:
        alarm = _certain(foot, looks, alarm, without_pairs)
    look = looks[-1]
    start = look.start if alarm is None else looks[alarm].start
    told = _all_told(foot, look, start)
    onsets = list(range(max(start, foot.first_onset), look.last))
    state, shape = _state(look, alarm, told, onsets)
    days = ahead.trim_days(foot.every_row)
    since = None
    if alarm is not None and onsets:
        since = _since(explain.onset_chances(told, shape, onsets), shape, days)
    return Judgement(
        state=state,
        statistics=statistics,
        alarm_trim=None if alarm is None else looks[alarm].last + foot.first_trim,
        alarm_day=None if alarm is None else looks[alarm].day,
        since=None if since is None else (since[0] + foot.first_trim, *since[1:]),
        lead=_lead(told, shape, onsets),
        findings={
            each.key: _finding(each, told, shape, look.last, onsets, alarm is not None)
            for each in told
        },
        rhythm=ahead.rhythm_of(days),
    )


def _statistics(foot: Foot, looks: Sequence[Look]) -> list[float | None]:
    return [search.statistic(foot, look) if look.share > 0 else None for look in looks]


def _certain(
    foot: Foot, looks: Sequence[Look], alarm: int, without_pairs: tuple[Foot, Limits]
) -> int:
    """Pairs say nothing before they were taken: the alarm is no older, unless it needs none."""
    newest = max(
        (pair.at_days for pairs in foot.pairs.values() for pair in pairs), default=-math.inf
    )
    if newest <= looks[alarm].day + SAME_VISIT_DAYS:
        return alarm
    bare, limits = without_pairs
    unaided = search.standing_alarm(bare, looks, _statistics(bare, looks), limits)
    later = [look.number for look in looks if look.day + SAME_VISIT_DAYS >= newest]
    known = later[0] if later else len(looks) - 1
    return max(alarm, known if unaided is None else min(known, unaided))


def _all_told(foot: Foot, look: Look, start: int) -> list[Told]:
    onsets = range(max(start, foot.first_onset), look.last)
    more = search.hand_chances(search.takeovers(foot), look.number, look.last, list(onsets))
    told = [search.tell(foot, key, look, start, list(more), 1.0) for key in foot.rows]
    return [each for each in told if each is not None]


def _state(
    look: Look, alarm: int | None, told: Sequence[Told], onsets: Sequence[int]
) -> tuple[str, Shape]:
    """Too early, quiet, or the likelier of drift and step; a drift where they are equal."""
    if look.visits < VISITS_NEEDED:
        return "too_early", Shape.DRIFT
    if alarm is None:
        return "quiet", Shape.DRIFT
    strength = {shape: explain.shape_strength(told, shape, onsets) for shape in Shape}
    shape = Shape.STEP if strength[Shape.STEP] > strength[Shape.DRIFT] else Shape.DRIFT
    return shape.value, shape


def _since(
    chances: Mapping[int, float], shape: Shape, days: Mapping[int, float]
) -> tuple[int, float, float, float]:
    """The middle trim of the onset, and the early, middle and late day (10, 50, 90 %)."""
    found = []
    for share in (0.1, 0.5, 0.9):
        onset = next(o for o in chances if sum(chances[p] for p in chances if p <= o) >= share)
        found.append(onset + (shape is Shape.STEP))
    early, middle, late = (_day_of(trim, days) for trim in found)
    return found[1], early, middle, late


def _day_of(trim: int, days: Mapping[int, float]) -> float:
    """The day of a trim; of one that nobody measured, in proportion between its neighbours."""
    if trim in days:
        return days[trim]
    before = max((c for c in days if c < trim), default=None)
    after = min((c for c in days if c > trim), default=None)
    if before is None or after is None:
        return days[min(days) if before is None else max(days)]
    share = (trim - before) / (after - before)
    return days[before] + share * (days[after] - days[before])


def _lead(told: Sequence[Told], shape: Shape, onsets: Sequence[int]) -> str:
    """The toe, unless the heel shows the change clearly better."""
    if not onsets:
        return told[0].key
    strength = [explain.shape_strength([each], shape, onsets) for each in told]
    for each, own in zip(told, strength, strict=True):
        if own >= max(strength) - math.log(LEAD_LOG_ODDS_OF):
            return each.key
    raise AssertionError


def _finding(
    each: Told,
    told: Sequence[Told],
    shape: Shape,
    last: int,
    onsets: Sequence[int],
    changed: bool,
) -> Finding:
    still = explain.conditioned(each, Shape.DRIFT, last, last, 0.0)
    weights = {
        row.place: float(row.sd**2 / error)
        for row, error in zip(each.rows, each.error, strict=True)
    }
    doubtful = [
        row.place
        for row, surprise in zip(each.rows, each.surprise, strict=True)
        if surprise > ASK_AGAIN_FROM_SD
    ]
    doubtful.sort()
    if not onsets:
        feet = ahead.drawn_feet([], still, 0.0, False)
        level, growth = (
            explain.marginal(still, explain.LEVEL),
            explain.marginal(still, explain.GROWTH),
        )
        return Finding(None, None, level.estimate(), growth.estimate(), weights, doubtful, feet)
    drift = _law(each, told, Shape.DRIFT, last, onsets)
    change = drift if shape is Shape.DRIFT else _law(each, told, shape, last, onsets)
    chance = 1.0 if changed else _chance_of_change(each, onsets)
    level, growth = (
        explain.marginal(change, place).joined(chance, explain.marginal(still, place))
        for place in (explain.LEVEL, explain.GROWTH)
    )
    return Finding(
        rate=explain.marginal(drift, explain.SIZE).estimate(),
        change=explain.change_law(change).estimate(),
        level=level.estimate() if changed else _open(level, each, last, onsets),
        growth=growth.estimate(),
        weights=weights,
        doubtful=doubtful,
        feet=ahead.drawn_feet(change, still, chance, shape is Shape.DRIFT),
    )


def _law(
    each: Told, told: Sequence[Told], shape: Shape, last: int, onsets: Sequence[int]
) -> list[Part]:
    chances = explain.onset_chances(told, shape, onsets)
    return explain.law(each, shape, last, explain.size_sd(each.key, shape, True), chances)


def _chance_of_change(told: Told, onsets: Sequence[int]) -> float:
    """How likely this quantity drifts at all, after the readings."""
    strength = explain.shape_strength([told], Shape.DRIFT, onsets) - math.log(len(onsets))
    odds = math.exp(strength) * CHANGE_CHANCE / (1 - CHANGE_CHANCE)
    return odds / (1 + odds)


def _open(level: Mixture, told: Told, last: int, onsets: Sequence[int]) -> Three:
    """The level while nothing was found: as wide as a drift that was missed makes it."""
    sd = UNSEEN_SCALE * BELIEFS[told.key].drift_sd
    alike = dict.fromkeys(onsets, 1.0 / len(onsets))
    hidden = explain.marginal(explain.law(told, Shape.DRIFT, last, sd, alike), explain.LEVEL)
    middle, low, high = level.estimate()
    return (
        middle,
        min(low, hidden.quantile(UNSEEN_TAIL)),
        max(high, hidden.quantile(1 - UNSEEN_TAIL)),
    )

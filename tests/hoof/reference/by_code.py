"""A golden case judged by the product."""

from collections.abc import Mapping, Sequence

from measurements.hoof.drift.alarm import LimitCache, limits_of
from measurements.hoof.drift.arrays import PlannedChange
from measurements.hoof.drift.finding import Estimate, QuantityFinding
from measurements.hoof.drift.foot import prepare
from measurements.hoof.drift.look_statistics import statistics_by_look
from measurements.hoof.drift.offsets import HandPair
from measurements.hoof.drift.verdict import Verdict, forecast, judge
from measurements.hoof.quantities import Moment
from tests.hoof.reference.cases import Case
from tests.hoof.reference.house import VISITS_PER_FALSE_ALARM
from tests.hoof.reference.rows import Hand
from tests.hoof.reference.told import Finding, Judgement, Leaving, finite

Limits = list[float | None]


def _name(hand: Hand) -> str:
    return f"{hand[0].value}\0{hand[1]}"


def plans_of(case: Case) -> Mapping[str, Sequence[PlannedChange]]:
    """The case's plans as the product takes them."""
    return {
        key: [PlannedChange(plan.from_days, plan.rate, plan.visits) for plan in plans]
        for key, plans in case.plans().items()
    }


def pairs_of(case: Case) -> Mapping[str, Sequence[HandPair]]:
    """The case's pairs on other feet as the product takes them."""
    return {
        key: [
            HandPair(p.at_days, p.foot, _name(p.first), _name(p.second), p.difference, p.sd)
            for p in pairs
        ]
        for key, pairs in case.hand_pairs().items()
    }


def limits_by_code(case: Case, cache: LimitCache, *, with_pairs: bool = True) -> Limits:
    """The alarm limit at each look; `None` where it is not judged."""
    pairs = pairs_of(case) if with_pairs else None
    foot = prepare(case.readings(), plans_of(case), case.settled_days, pairs)
    return finite(limits_of(foot, VISITS_PER_FALSE_ALARM, cache).tolist())


def judged_by_code(case: Case, cache: LimitCache) -> Judgement:
    """The verdict, the statistics that it rests on, and the forecasts of the first quantity."""
    readings, plans, pairs = case.readings(), plans_of(case), pairs_of(case)
    verdict = judge(readings, plans=plans, pairs=pairs, settled_days=case.settled_days, cache=cache)
    foot = prepare(readings, plans, case.settled_days, pairs)
    assert verdict.rhythm is not None
    return Judgement(
        state=verdict.state.value,
        lead=verdict.lead,
        alarm=_known(verdict.alarm_trim_index, verdict.alarm_days),
        since=_known(
            verdict.since_trim_index,
            verdict.since_earliest_days,
            verdict.since_days,
            verdict.since_latest_days,
        ),
        rhythm=[
            verdict.rhythm.last_trim_days,
            verdict.rhythm.interval_days,
            verdict.rhythm.interval_sd_days,
        ],
        statistics=finite(statistics_by_look(foot.pair, foot.looks).tolist()),
        findings={finding.quantity: _finding(finding) for finding in verdict.findings},
        leaving={moment.value: _leaving(case, verdict, moment) for moment in Moment},
    )


def _known(*numbers: float | None) -> list[float] | None:
    """The numbers, if all are there."""
    found = [float(number) for number in numbers if number is not None]
    return found if len(found) == len(numbers) else None


def _finding(finding: QuantityFinding) -> Finding:
    return Finding(
        rate=_three(finding.rate_per_visit),
        change=_three(finding.change),
        level=_three(finding.level) or [],
        growth=_three(finding.growth_per_56_days) or [],
        weights={str(each.index): each.weight for each in finding.readings if each.weight < 1.0},
        doubtful=[each.index for each in finding.doubtful],
    )


def _three(estimate: Estimate | None) -> list[float] | None:
    return None if estimate is None else [estimate.value, estimate.low, estimate.high]


def _leaving(case: Case, verdict: Verdict, moment: Moment) -> dict[str, Leaving]:
    return {
        each.edge: Leaving(
            each.chance,
            each.outside_chance,
            [each.earliest_days, each.likely_days, each.latest_days],
        )
        for each in forecast(verdict, case.moves[0].key, *case.band, moment)
    }

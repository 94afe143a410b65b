"""A golden case judged by the reference."""

from measurements.hoof.quantities import Moment
from tests.hoof.reference import ahead, chance
from tests.hoof.reference.cases import Case
from tests.hoof.reference.house import HIGH_SHARE, LOW_SHARE
from tests.hoof.reference.judge import Finding as Found
from tests.hoof.reference.judge import Judgement as Judged
from tests.hoof.reference.judge import judge
from tests.hoof.reference.rows import Foot, read_foot
from tests.hoof.reference.told import Days, Finding, Judgement, Leaving

Limits = list[float | None]

PATHS = 40_000  # the limit is then known to about 1.3 %
# The code takes its dates from 1,200 draws: a share of them is off by this much at most (2 SD at the
# low share and the high one, more than the mirrored draws leave in the middle).
SHARE_OFF = 0.02


def foot_of(case: Case, *, with_pairs: bool = True) -> Foot:
    """The case as the reference reads it."""
    pairs = case.hand_pairs() if with_pairs else {}
    return read_foot(case.readings(), case.plans(), pairs, case.settled_days)


def limits_by_reference(case: Case, paths: int = PATHS) -> Limits:
    """The alarm limit at each look by simulation; `None` where it is not judged."""
    return chance.limits_of(foot_of(case), paths)


def judged_by_reference(case: Case, limits: Limits, bare_limits: Limits | None) -> Judgement:
    """The judgement under the given limits; `bare_limits`: those without pairs on other feet."""
    bare = None if bare_limits is None else (foot_of(case, with_pairs=False), bare_limits)
    judged = judge(foot_of(case), limits, bare)
    alarm = None
    if judged.alarm_trim is not None and judged.alarm_day is not None:
        alarm = [float(judged.alarm_trim), judged.alarm_day]
    return Judgement(
        state=judged.state,
        lead=judged.lead,
        alarm=alarm,
        since=None if judged.since is None else [float(each) for each in judged.since],
        rhythm=[judged.rhythm.last_day, judged.rhythm.interval, judged.rhythm.interval_sd],
        statistics=judged.statistics,
        findings={key: _finding(found) for key, found in judged.findings.items()},
        leaving={moment.value: _leaving(case, judged, moment) for moment in Moment},
    )


def _finding(found: Found) -> Finding:
    return Finding(
        rate=None if found.rate is None else list(found.rate),
        change=None if found.change is None else list(found.change),
        level=list(found.level),
        growth=list(found.growth),
        weights={str(place): weight for place, weight in found.weights.items() if weight < 1.0},
        doubtful=found.doubtful,
    )


def _leaving(case: Case, judged: Judged, moment: Moment) -> dict[str, Leaving]:
    low, high = judged.leaving(case.moves[0].key, *case.band, moment)
    by_edge = {"low": _told(low), "high": _told(high)}
    return dict(sorted(by_edge.items(), key=lambda item: -item[1].chance))


def _told(leaving: ahead.Leaving) -> Leaving:
    ranges: list[float | None | Days] = []
    for share, later in ((LOW_SHARE, 0.0), (0.5, 0.0), (HIGH_SHARE, leaving.interval)):
        ranges.append([leaving.day(share + off, later) for off in (-SHARE_OFF, SHARE_OFF)])
    return Leaving(leaving.chance, leaving.outside, ranges)

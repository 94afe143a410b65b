"""The usual methods beside ours on the same series, each at one false alarm per 100 visits."""

import time

from measurements.hoof.drift.priors import VISITS_PER_FALSE_ALARM
from tests.bench.drift_methods import METHODS, limit_detector, seen, visit_limits
from tests.bench.drift_score import Score, score_product, score_table
from tests.bench.drift_simulate import Scenario, Simulated, simulate_many

SEED = 2_611
STABLE = Scenario()
# Long enough for the slowest method: at most 7 stable trims and 16 visits more.
SLOW, DRIFT, FAST = (Scenario(rate=rate) for rate in (0.3, 0.5, 1.0))
SMALL_STEP, STEP = Scenario(step=2.0), Scenario(step=3.0)
LONGER = Scenario(longer_days=77.0)


def print_comparison(calibrate_on: int, check_on: int, a_cell: int) -> None:
    """All methods on the same series at one false alarm per 100 visits (the product as it is)."""
    print(
        f"\n{'method':44s} false  0.3mean | 0.5: med  mean   P6 | 1.0mean  step2  step3   D12  x limit"
        "  ms a series"
    )
    calibrate = list(simulate_many(STABLE, calibrate_on, SEED + 30))
    check = list(simulate_many(STABLE, check_on, SEED + 31))
    cells = [
        list(simulate_many(scenario, a_cell, SEED + 32 + place))
        for place, scenario in enumerate((SLOW, DRIFT, FAST, SMALL_STEP, STEP, LONGER))
    ]
    limit = _limit_scores(calibrate, check, cells)
    for name, method in METHODS.items():
        limits = visit_limits([method(seen(each)) for each in calibrate], VISITS_PER_FALSE_ALARM)
        started = time.process_time()
        scores = [
            score_table(many, [method(seen(each)) for each in many], limits)
            for many in [check, *cells]
        ]
        print_row(name, scores, limit, time.process_time() - started)
    started = time.process_time()
    scores = [score_product(many) for many in [check, *cells]]
    print_row("this product", scores, limit, time.process_time() - started)
    print_row("limit: all known but the horse", limit, limit)


def _limit_scores(
    calibrate: list[Simulated], check: list[Simulated], cells: list[list[Simulated]]
) -> list[Score]:
    """The best possible detector, told the size of each cell's change."""
    sizes = ((0.3, 0.0), (0.5, 0.0), (1.0, 0.0), (0.0, 2.0), (0.0, 3.0), (0.5, 0.0))
    scores: list[Score] = []
    for (rate, step), many in zip(sizes, cells, strict=True):
        detector = limit_detector(rate, step)
        limits = visit_limits([detector(seen(each)) for each in calibrate], VISITS_PER_FALSE_ALARM)
        if (rate, step) == (0.5, 0.0) and len(scores) == 1:
            scores.insert(0, score_table(check, [detector(seen(s)) for s in check], limits))
        scores.append(score_table(many, [detector(seen(s)) for s in many], limits))
    return scores


def print_row(
    name: str, scores: list[Score], limit: list[Score], seconds: float | None = None
) -> None:
    """One method: false alarms, then the cells; last its mean delay at 0.5 over the limit's, and
    the processor time of one series judged at each of its visits."""
    stable, slow, drift, fast, step2, step3, longer = scores
    took = "" if seconds is None else f"{1000 * seconds / sum(s.series for s in scores):10.1f}"
    print(
        f"{name:44s} {stable.per_100_visits:5.2f}  {slow.mean():7.1f} | {drift.median:8.0f}"
        f" {drift.mean():5.1f} {drift.within(6):5.2f} | {fast.mean():7.1f} {step2.mean():6.1f}"
        f" {step3.mean():6.1f} {longer.within(12):5.2f}   {drift.mean() / limit[2].mean():5.3f}{took}",
        flush=True,
    )

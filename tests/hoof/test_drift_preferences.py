"""What is said where two answers lie near each other: drift or step, toe or heel, one hand or two."""

import math
from dataclasses import replace

import pytest

from measurements.hoof.drift.arrays import PlannedChange
from measurements.hoof.drift.evidence import log_sum_exp
from measurements.hoof.drift.foot import FootSeries, limits_key, prepare
from measurements.hoof.drift.posterior import Shape, shape_evidence
from measurements.hoof.drift.replay import Fit, fits_at
from measurements.hoof.drift.verdict import DriftState, judge
from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading
from tests.hoof.build import a_series, the, toe


def fallen(first_part: float) -> list[SeriesReading]:
    """Three degrees lost over two trims, this part of them at the first."""
    return [
        replace(row, value=row.value - 3.0 * (first_part if row.trim_index == 6 else 1.0))
        if row.trim_index > 5
        else row
        for row in a_series(11)
    ]


def told(**readings: list[SeriesReading]) -> list[Fit]:
    foot = prepare(readings, {}, None)
    return [the(fit) for fit in fits_at(foot.pair, foot.looks, len(foot.looks) - 1, 0)]


def odds(fits: list[Fit], shape: Shape) -> float:
    return float(log_sum_exp(shape_evidence(fits, shape)))


@pytest.mark.parametrize(
    ("first_part", "state"), [(0.50, DriftState.DRIFT), (0.40, DriftState.STEP)]
)
def test_the_likelier_of_drift_and_step_is_named(first_part: float, state: DriftState) -> None:
    rows = fallen(first_part)
    fits = told(toe_angle=rows)
    stepwise = odds(fits, Shape.STEP) - odds(fits, Shape.DRIFT)
    assert 0 < abs(stepwise) < 0.1  # a close call
    assert (stepwise > 0) is (state is DriftState.STEP)
    assert toe(rows).state is state


@pytest.mark.parametrize(("rate", "lead"), [(-0.64, "toe_angle"), (-0.66, "heel_angle")])
def test_the_heel_leads_from_odds_three_times_as_good(rate: float, lead: str) -> None:
    rows = {"toe_angle": a_series(12, rate=-0.6), "heel_angle": a_series(12, rate=rate, level=47.0)}
    toe_fit, heel_fit = told(**rows)
    better = math.exp(odds([heel_fit], Shape.DRIFT) - odds([toe_fit], Shape.DRIFT))
    assert 2.0 < better < 4.5  # a close call
    assert (better > 3.0) is (lead == "heel_angle")
    assert judge(rows).lead == lead


def by_two_methods(second: Method, by: str) -> list[SeriesReading]:
    """Gauge before the trim, another way after it, which reads two degrees lower."""
    return [
        replace(row, method=second, by=by, value=row.value - 2.0)
        if row.trim_state is TrimState.AFTER
        else row
        for row in a_series(8)
    ]


def test_two_ways_of_measuring_of_one_person_have_an_offset_each() -> None:
    foot = prepare({"toe_angle": by_two_methods(Method.PHOTO, "farrier")}, {}, None)
    arrays = foot.pair[0].arrays
    assert arrays.column_kind.count("offset") == 2
    assert the(toe(by_two_methods(Method.PHOTO, "farrier")).allowed_for).readers == 2


def test_two_people_with_one_way_of_measuring_have_an_offset_each() -> None:
    foot = prepare({"toe_angle": by_two_methods(Method.GAUGE, "second")}, {}, None)
    assert foot.pair[0].arrays.column_kind.count("offset") == 2


def test_a_persons_second_way_of_measuring_says_no_less_of_its_offset_than_anothers() -> None:
    own, other = (
        toe(by_two_methods(*hand)) for hand in ((Method.PHOTO, "farrier"), (Method.PHOTO, "vet"))
    )
    assert own.statistic == pytest.approx(other.statistic)


def key(foot: FootSeries, visits_per_false_alarm: float = 100.0) -> str:
    return limits_key(foot, visits_per_false_alarm)


PLAIN = a_series(7)
PLAN = {"toe_angle": [PlannedChange(200.0, 0.5, 3)]}


@pytest.mark.parametrize(
    "other",
    [
        prepare({"heel_angle": PLAIN}, {}, None),
        prepare({"toe_angle": PLAIN, "heel_angle": PLAIN}, {}, None),
        prepare({"toe_angle": PLAIN[:-1]}, {}, None),
        prepare({"toe_angle": PLAIN}, PLAN, None),
        prepare({"toe_angle": PLAIN}, {}, 200.0),
        prepare({"toe_angle": PLAIN}, {}, 1e4),
        prepare({"toe_angle": [replace(r, sd=r.sd * (1 + 1e-9)) for r in PLAIN]}, {}, None),
        prepare(
            {"toe_angle": [replace(r, by="x") if n == 3 else r for n, r in enumerate(PLAIN)]},
            {},
            None,
        ),
        prepare({"toe_angle": [replace(r, shoeing=Shoeing.BAREFOOT) for r in PLAIN]}, {}, None),
        prepare(
            {
                "toe_angle": [
                    replace(r, trim_index=r.trim_index + (r.trim_index > 3)) for r in PLAIN
                ]
            },
            {},
            None,
        ),
        prepare(
            {"toe_angle": [replace(r, days_since_trim=r.days_since_trim / 2) for r in PLAIN]},
            {},
            None,
        ),
        prepare(
            {
                "toe_angle": [
                    replace(r, trim_state=TrimState.BETWEEN) if n > 10 else r
                    for n, r in enumerate(PLAIN)
                ]
            },
            {},
            None,
        ),
    ],
    ids=[
        "heel",
        "pair",
        "shorter",
        "plan",
        "settled",
        "settled after the last reading",
        "error",
        "hand",
        "shoeing",
        "missed trim",
        "growth time",
        "between",
    ],
)
def test_what_changes_the_limits_changes_their_key(other: FootSeries) -> None:
    assert key(other) != key(prepare({"toe_angle": PLAIN}, {}, None))


def test_limits_asked_for_at_another_rate_have_another_key() -> None:
    foot = prepare({"toe_angle": PLAIN}, {}, None)
    assert key(foot, 50.0) != key(foot)


def test_what_leaves_the_limits_alone_leaves_their_key() -> None:
    shifted = [
        replace(r, value=r.value + n, at_days=r.at_days + 1000.0, trim_index=r.trim_index + 9)
        for n, r in enumerate(PLAIN)
    ]
    assert key(prepare({"toe_angle": shifted}, {}, None)) == key(
        prepare({"toe_angle": PLAIN}, {}, None)
    )

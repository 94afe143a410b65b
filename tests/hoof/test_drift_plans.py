"""From which trim on a plan moves a foot, and for how many."""

import pytest

from measurements.hoof.drift.arrays import PlannedChange
from measurements.hoof.drift.foot import prepare
from tests.hoof.build import INTERVAL_DAYS, a_series, after_trims

RATE, VISITS = 1.0, 3


def planned_by_trim(
    from_days: float, *, heel_from: int | None = None, first_trim: int = 0
) -> dict[int, float]:
    """How far a plan means to have come by each trim of a toe (or of a heel measured late)."""
    rows = a_series(10, first_trim=first_trim)
    readings = {"toe_angle": rows}
    plan = PlannedChange(from_days=from_days, rate_per_visit=RATE, visits=VISITS)
    if heel_from is not None:
        readings["heel_angle"] = after_trims([47.0] * 10)[heel_from:]
    foot = prepare(readings, {key: [plan] for key in readings}, None)
    arrays = foot.pair[-1].arrays
    return {
        int(trim) + foot.first_trim: float(planned)
        for trim, planned in zip(arrays.trim, arrays.planned, strict=True)
    }


@pytest.mark.parametrize(
    ("from_days", "first_moved"),
    [
        (4 * INTERVAL_DAYS + 1.0, 5),  # agreed the day after a trim
        (5 * INTERVAL_DAYS - 1.0, 5),  # the day before the next one
        (5 * INTERVAL_DAYS, 5),  # at that visit
        (5 * INTERVAL_DAYS + 0.5, 5),  # in the evening after it
        (5 * INTERVAL_DAYS + 1.0, 6),  # the day after it
    ],
)
def test_the_first_trim_after_a_plan_was_agreed_moves_the_foot(
    from_days: float, first_moved: int
) -> None:
    planned = planned_by_trim(from_days)
    assert planned[first_moved - 1] == 0.0
    assert [planned[first_moved + step] for step in range(4)] == [1.0, 2.0, 3.0, 3.0]


def test_the_number_of_the_first_trim_leaves_no_trace_in_a_plan() -> None:
    plain = planned_by_trim(5 * INTERVAL_DAYS)
    numbered = planned_by_trim(5 * INTERVAL_DAYS, first_trim=40)
    assert numbered == {trim + 40: planned for trim, planned in plain.items()}


def test_a_plan_older_than_the_record_begins_at_its_first_trim() -> None:
    planned = planned_by_trim(-500.0)
    assert [planned[trim] for trim in range(-1, 4)] == [1.0, 2.0, 3.0, 3.0, 3.0]


def test_a_heel_first_measured_while_a_plan_runs_is_as_far_as_its_toe() -> None:
    """Else the plan would count as done for the heel, and the rest of it as a change."""
    toe = planned_by_trim(5 * INTERVAL_DAYS)
    heel = planned_by_trim(5 * INTERVAL_DAYS, heel_from=6)
    assert heel == {trim: planned for trim, planned in toe.items() if trim >= 6}

"""What the verdict says of plain cases: state, rate, since when, and what was allowed for."""

from dataclasses import replace

import pytest

from measurements.hoof.drift.arrays import PlannedChange
from measurements.hoof.drift.verdict import DriftState, ahead, first_alarm, forecast, judge, observe
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Moment, Shoeing
from measurements.hoof.series import SeriesReading
from tests.hoof.build import INTERVAL_DAYS, a_series, the, toe


def drifting(visits: int = 14, rate: float = -0.8) -> list[SeriesReading]:
    return a_series(visits, rate=rate, noise=0.7, seed=2)


@pytest.mark.parametrize("visits", [1, 2])
def test_before_the_third_visit_it_is_too_early(visits: int) -> None:
    verdict = toe(drifting()[: 2 * visits])
    assert verdict.state is DriftState.TOO_EARLY
    assert (verdict.visits_seen, verdict.visits_needed) == (visits, 3)


def test_a_falling_foot_drifts_at_about_its_true_rate() -> None:
    verdict = toe(drifting())
    rate = the(the(verdict.leading).rate_per_visit)
    assert verdict.state is DriftState.DRIFT
    assert rate.low < -0.8 < rate.high
    assert rate.value == pytest.approx(-0.8, abs=0.25)


def test_it_says_since_when_and_when_it_was_noticed() -> None:
    verdict = toe(drifting())
    assert the(verdict.since_trim_index) == pytest.approx(5, abs=1)
    assert the(verdict.since_earliest_days) <= 5 * INTERVAL_DAYS <= the(verdict.since_latest_days)
    assert 7 <= the(verdict.alarm_trim_index) <= 11
    assert verdict.alarm_days == pytest.approx(the(verdict.alarm_trim_index) * INTERVAL_DAYS)


def test_trims_between_which_nobody_measured_make_no_cycle_longer() -> None:
    rows = [row for row in a_series(14) if row.trim_index not in (8, 10, 11, 12)]
    rhythm = the(toe(rows).rhythm)
    assert rhythm.interval_days == pytest.approx(INTERVAL_DAYS)
    assert rhythm.last_trim_days == 13 * INTERVAL_DAYS


def test_the_total_change_and_the_present_level_fit_the_truth() -> None:
    finding = the(toe(drifting()).leading)
    change, truth = the(finding.change), -0.8 * (13 - 5)
    assert change.low < truth < change.high
    assert finding.level.low < 52.0 + truth < finding.level.high


def test_a_sudden_change_is_called_a_step_and_dated() -> None:
    verdict = toe(a_series(12, step=-4.0, noise=0.5))
    assert verdict.state is DriftState.STEP
    assert verdict.since_trim_index == 6
    assert the(the(verdict.leading).change).value == pytest.approx(-4.0, abs=0.8)


def test_a_step_is_not_carried_on_into_the_future() -> None:
    verdict = toe(a_series(12, step=-4.0, noise=0.5))
    assert forecast(verdict, "toe_angle", 44.0, None)[0].chance < 0.05


def test_the_first_alarm_knows_only_what_was_known_then() -> None:
    readings = drifting()
    alarm = the(first_alarm({"toe_angle": readings}))
    known = [row for row in readings if row.at_days <= the(alarm.alarm_days)]
    then = judge({"toe_angle": known})
    # Limits are read off simulations that may be shared with longer series: equal to 7 digits.
    assert alarm.limit == pytest.approx(then.limit, rel=1e-6)
    assert alarm == replace(then, limit=alarm.limit)


def test_a_quiet_foot_has_no_first_alarm() -> None:
    assert first_alarm({"toe_angle": a_series(10)}) is None


def test_toe_and_heel_together_are_seen_no_later_than_the_toe_alone() -> None:
    toe_rows, heel_rows = (
        drifting(rate=-0.5),
        a_series(14, rate=-0.5, noise=0.7, seed=9, level=46.0),
    )
    alone = the(first_alarm({"toe_angle": toe_rows}))
    both = the(first_alarm({"toe_angle": toe_rows, "heel_angle": heel_rows}))
    assert the(both.alarm_days) <= the(alone.alarm_days)
    assert {finding.quantity for finding in both.findings} == {"toe_angle", "heel_angle"}


def test_a_drift_of_the_heel_alone_leads_with_the_heel() -> None:
    heel = a_series(14, rate=-1.2, noise=0.5, level=46.0)
    verdict = judge({"toe_angle": a_series(14, noise=0.5, seed=7), "heel_angle": heel})
    assert (verdict.state, verdict.lead) == (DriftState.DRIFT, "heel_angle")


def test_a_change_of_shoeing_starts_a_new_baseline() -> None:
    rows = a_series(14, step=5.0, noise=0.5)
    wedged = [
        replace(row, shoeing=Shoeing.SHOD_WEDGE) if row.trim_index > 5 else row for row in rows
    ]
    assert toe(rows).state is DriftState.STEP
    assert toe(wedged).state is DriftState.QUIET
    assert the(toe(wedged).allowed_for).shoeing_changes == 1


def test_a_barefoot_rise_inside_the_cycle_is_growth_not_drift() -> None:
    assert toe(a_series(12, growth=1.5, shoeing=Shoeing.BAREFOOT)).state is DriftState.QUIET


def test_a_new_person_who_reads_one_degree_lower_is_no_step() -> None:
    rows = a_series(12, noise=0.4)
    second = [
        replace(row, by="stand-in", value=row.value - 1.2) if row.at_days > 250 else row
        for row in rows
    ]
    assert toe(second).state is DriftState.QUIET
    assert the(toe(second).allowed_for).readers == 2


def test_a_planned_movement_is_no_finding() -> None:
    rows = a_series(14, rate=1.0, noise=0.5)
    plan = PlannedChange(from_days=6 * INTERVAL_DAYS, rate_per_visit=1.0, visits=20)
    assert toe(rows).state is not DriftState.QUIET
    planned = judge({"toe_angle": rows}, plans={"toe_angle": [plan]})
    assert planned.state is DriftState.QUIET
    assert the(planned.allowed_for).planned
    assert the(planned.leading).level.value == pytest.approx(52.0 + 8.0, abs=0.8)


def test_a_foot_that_goes_the_other_way_than_planned_is_a_finding() -> None:
    rows = a_series(14, rate=-0.6, noise=0.5)
    plan = PlannedChange(from_days=6 * INTERVAL_DAYS, rate_per_visit=1.0, visits=20)
    verdict = judge({"toe_angle": rows}, plans={"toe_angle": [plan]})
    assert verdict.state is not DriftState.QUIET
    assert the(the(verdict.leading).rate_per_visit).value < -1.0


def test_a_finding_that_the_team_settled_does_not_come_back() -> None:
    rows = a_series(14, step=-4.0, noise=0.5)
    assert toe(rows).state is DriftState.STEP
    assert toe(rows, settled_days=8.5 * INTERVAL_DAYS).state is DriftState.QUIET


def test_a_drift_that_goes_on_after_settling_is_found_again() -> None:
    rows = a_series(18, rate=-1.0, noise=0.5)
    assert toe(rows, settled_days=9.5 * INTERVAL_DAYS).state is DriftState.DRIFT


def test_a_doubtful_reading_is_named() -> None:
    rows = a_series(10, noise=0.5)
    rows[12] = replace(rows[12], value=rows[12].value + 9.0)
    finding = the(toe(rows).leading)
    assert [standing.index for standing in finding.doubtful] == [12]
    assert finding.readings[12].weight < 0.1


def test_other_quantities_are_observed_without_an_alarm() -> None:
    rows = a_series(10, rate=3.0, level=85.0, growth=14.0, noise=1.0, sd=2.0)
    verdict = observe({"toe_length": rows})
    assert verdict.state is DriftState.QUIET
    assert the(the(verdict.leading).rate_per_visit).low > 0


def test_the_date_of_leaving_the_band_holds_the_truth() -> None:
    verdict = toe(drifting())
    crossing = forecast(verdict, "toe_angle", 43.0, 60.0)[0]
    truth = (5 + 9.0 / 0.8) * INTERVAL_DAYS
    assert crossing.edge == "low"
    assert the(crossing.earliest_days) <= truth <= the(crossing.latest_days)


def test_a_band_for_the_end_of_the_cycle_is_left_earlier() -> None:
    verdict = toe(drifting())
    after = forecast(verdict, "toe_angle", 43.0, None)[0]
    before = forecast(verdict, "toe_angle", 43.0, None, Moment.END_OF_CYCLE)[0]
    assert the(before.likely_days) < the(after.likely_days)


def test_a_quiet_foot_in_the_middle_of_its_band_has_no_date() -> None:
    crossing = forecast(toe(a_series(12, noise=0.5)), "toe_angle", 46.0, 58.0)[0]
    assert crossing.latest_days is None
    assert crossing.likely_days is None


def test_a_foot_outside_already_says_so() -> None:
    assert forecast(toe(drifting()), "toe_angle", 50.0, None)[0].outside_chance > 0.95


def test_an_edge_that_is_no_number_is_refused() -> None:
    with pytest.raises(HoofError):
        forecast(toe(a_series(4)), "toe_angle", float("nan"), None)


def test_a_quantity_that_was_not_judged_has_no_forecast() -> None:
    with pytest.raises(HoofError):
        forecast(toe(a_series(4)), "heel_angle", 40.0, None)


def test_a_drift_of_long_ago_is_described_at_its_true_rate() -> None:
    verdict = toe(a_series(25, rate=-0.5, onset=3, noise=0.7, seed=6))
    assert the(the(verdict.leading).rate_per_visit).value == pytest.approx(-0.5, abs=0.08)
    assert the(verdict.since_trim_index) == pytest.approx(3, abs=1)


def test_years_later_a_standing_alarm_still_dates_its_drift() -> None:
    verdict = toe(a_series(36, rate=-0.5, onset=5, noise=0.7, seed=6))
    assert the(verdict.since_trim_index) == pytest.approx(5, abs=1)
    assert the(verdict.since_days) < the(verdict.alarm_days)


def test_a_foot_outside_its_band_already_leaves_it_now() -> None:
    verdict = toe(drifting())
    crossing = forecast(verdict, "toe_angle", 51.0, None)[0]
    assert crossing.likely_days == the(verdict.rhythm).last_trim_days


def test_a_quiet_foot_is_mostly_expected_to_stay() -> None:
    outlook = the(toe(a_series(12, noise=0.5)).leading).outlook
    assert (outlook.rate == 0.0).mean() > 0.8


def test_the_path_of_a_drift_stands_until_its_onset_and_then_falls() -> None:
    path = the(toe(drifting()).leading).path
    assert [point.at_days for point in path] == [INTERVAL_DAYS * trim for trim in range(-1, 14)]
    true = [52.0 - 0.8 * max(0, trim - 5) for trim in range(-1, 14)]
    for point, value in zip(path, true, strict=True):
        assert point.level.value == pytest.approx(value, abs=0.9)
    assert path[1].level.value == pytest.approx(path[3].level.value, abs=0.05)


def test_the_path_ends_at_the_present_level() -> None:
    finding = the(toe(drifting()).leading)
    assert finding.path[-1].level == finding.level


def test_the_path_of_a_step_has_two_heights() -> None:
    path = the(toe(a_series(12, step=-4.0, noise=0.3)).leading).path
    assert path[2].level.value - path[-2].level.value == pytest.approx(4.0, abs=0.7)
    assert path[-1].level.value == pytest.approx(path[-3].level.value, abs=0.05)


def test_a_quiet_foot_has_a_level_path() -> None:
    finding = the(toe(a_series(10, noise=0.5)).leading)
    assert {point.level.value for point in finding.path} == {finding.level.value}
    assert finding.path[-1].level == finding.level


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_ranges_of_a_quiet_path_open_toward_today(seed: int) -> None:
    """The newest change is the one that could hide; an older one would have been found."""
    levels = [point.level for point in the(toe(a_series(10, noise=0.5, seed=seed)).leading).path]
    assert all(level.low < level.value < level.high for level in levels)
    widths = [level.high - level.low for level in levels]
    assert widths[-4:] == sorted(set(widths[-4:]))
    assert widths[-1] > 1.3 * max(widths[:-2])


def test_the_path_begins_anew_when_the_shoeing_changes() -> None:
    rows = a_series(14, step=5.0, noise=0.5)
    wedged = [
        replace(row, shoeing=Shoeing.SHOD_WEDGE) if row.trim_index > 5 else row for row in rows
    ]
    path = the(toe(wedged).leading).path
    assert path[0].at_days == 6 * INTERVAL_DAYS


def test_a_planned_movement_moves_the_path_as_planned() -> None:
    rows = a_series(14, rate=1.0, noise=0.5)
    plan = PlannedChange(from_days=6 * INTERVAL_DAYS, rate_per_visit=1.0, visits=20)
    path = the(judge({"toe_angle": rows}, plans={"toe_angle": [plan]}).leading).path
    assert path[-1].level.value - path[0].level.value == pytest.approx(8.0, abs=0.2)


def test_a_drift_goes_on_at_its_rate_from_the_present_level() -> None:
    verdict = toe(drifting())
    finding = the(verdict.leading)
    points = ahead(verdict, "toe_angle", 3)
    assert points[0].level == finding.level
    assert [point.at_days for point in points] == pytest.approx(
        [INTERVAL_DAYS * (13 + visit) for visit in range(4)]
    )
    fallen = points[3].level.value - points[0].level.value
    assert fallen == pytest.approx(3 * the(finding.rate_per_visit).value, abs=0.1)


def test_what_does_not_drift_goes_nowhere() -> None:
    assert ahead(toe(a_series(10, noise=0.5)), "toe_angle", 3) == ()
    assert ahead(toe(a_series(12, step=-4.0, noise=0.5)), "toe_angle", 3) == ()

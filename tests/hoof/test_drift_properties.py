"""What must hold for any series: order, dates, mirrors, doubles, gaps and odd input."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.hoof.drift.finding import Estimate
from measurements.hoof.drift.foot import series_key
from measurements.hoof.drift.verdict import DriftState, judge
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import TrimState
from measurements.hoof.series import SeriesReading, UnusableReading
from tests.hoof.build import a_reading, a_series, the, toe, with_values

DRIFTING = a_series(13, rate=-0.8, noise=0.8, seed=4)


def close(left: Estimate | None, right: Estimate | None, sign: int = 1) -> bool:
    assert left is not None
    assert right is not None
    mirrored = (right.value, right.low, right.high)
    if sign < 0:
        mirrored = (-right.value, -right.high, -right.low)
    return (left.value, left.low, left.high) == pytest.approx(mirrored, abs=1e-6)


def rate(readings: list[SeriesReading]) -> Estimate:
    return the(the(toe(readings).leading).rate_per_visit)


@settings(max_examples=5, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_entry_does_not_matter(shuffler: random.Random) -> None:
    shuffled = list(DRIFTING)
    shuffler.shuffle(shuffled)
    found, plain = toe(shuffled), toe(DRIFTING)
    assert (found.state, found.statistic) == (plain.state, plain.statistic)
    assert close(the(found.leading).rate_per_visit, the(plain.leading).rate_per_visit)
    assert series_key({"toe_angle": shuffled}) == series_key({"toe_angle": DRIFTING})


def test_standings_name_readings_by_their_place_as_handed_in() -> None:
    wild = with_values(DRIFTING, [r.value + 12.0 * (i == 9) for i, r in enumerate(DRIFTING)])
    assert [s.index for s in the(toe(wild[::-1]).leading).doubtful] == [len(wild) - 1 - 9]


@pytest.mark.parametrize("days", [-4000.3, 0.37, 250000.0])
def test_shifting_all_dates_does_not_matter(days: float) -> None:
    shifted = [replace(row, at_days=row.at_days + days) for row in DRIFTING]
    found, plain = toe(shifted), toe(DRIFTING)
    assert found.state is plain.state
    assert found.statistic == pytest.approx(plain.statistic, abs=1e-6)
    assert the(found.alarm_days) - days == pytest.approx(the(plain.alarm_days), abs=1e-5)


def test_renumbering_the_trims_does_not_matter() -> None:
    renumbered = [replace(row, trim_index=row.trim_index + 40) for row in DRIFTING]
    found, plain = toe(renumbered), toe(DRIFTING)
    assert found.statistic == plain.statistic
    assert found.alarm_trim_index == the(plain.alarm_trim_index) + 40


@pytest.mark.parametrize("level", [40.0, 52.0, 66.0])
def test_a_constant_level_never_drifts(level: float) -> None:
    verdict = toe(a_series(24, level=level))
    assert verdict.state is DriftState.QUIET
    assert verdict.alarm_trim_index is None


def test_exactly_equal_values_never_drift() -> None:
    equal = with_values(a_series(20), [50.0] * 40)
    assert toe(equal).state is DriftState.QUIET


def test_a_longer_interval_alone_is_no_drift() -> None:
    short, long = a_series(8), a_series(8, interval_days=77.0)
    later = [
        replace(row, at_days=row.at_days + 8 * 49.0 + 28.0, trim_index=row.trim_index + 8)
        for row in long
    ]
    assert toe([*short, *later]).state is DriftState.QUIET


def test_mirrored_readings_mirror_the_verdict() -> None:
    # Mirrored about the expected level and growth, so that the priors mirror too.
    mirrored = with_values(
        DRIFTING, [2 * (52.0 - 3.0 * r.days_since_trim / 56.0) - r.value for r in DRIFTING]
    )
    found, plain = toe(mirrored), toe(DRIFTING)
    assert found.state is plain.state
    assert found.since_trim_index == plain.since_trim_index
    assert found.statistic == pytest.approx(plain.statistic)
    assert close(rate(mirrored), rate(DRIFTING), sign=-1)


@pytest.mark.parametrize("place", [3, 12, 25])
@pytest.mark.parametrize("error", [-15.0, 15.0])
def test_one_wild_reading_changes_the_rate_little(place: int, error: float) -> None:
    wild = with_values(DRIFTING, [r.value + error * (i == place) for i, r in enumerate(DRIFTING)])
    assert toe(wild).state is DriftState.DRIFT
    assert rate(wild).value == pytest.approx(rate(DRIFTING).value, abs=0.2)


def test_one_wild_reading_does_not_make_a_stable_foot_drift() -> None:
    stable = a_series(12, noise=0.8, seed=3)
    wild = with_values(stable, [r.value - 15.0 * (i == 23) for i, r in enumerate(stable)])
    assert toe(stable).state is DriftState.QUIET
    assert toe(wild).state is DriftState.QUIET


def test_exact_copies_of_readings_count_once() -> None:
    doubled = [*DRIFTING, *DRIFTING[4:9]]
    assert toe(doubled) == toe(DRIFTING)
    assert series_key({"toe_angle": doubled}) == series_key({"toe_angle": DRIFTING})


def test_two_different_readings_at_one_moment_both_count() -> None:
    second = replace(DRIFTING[-1], value=DRIFTING[-1].value + 0.5)
    assert len(the(toe([*DRIFTING, second]).leading).readings) == len(DRIFTING) + 1


def test_a_reading_that_is_no_number_is_refused() -> None:
    with pytest.raises(UnusableReading):
        a_reading(value=float("nan"))


def test_no_reading_is_too_early() -> None:
    verdict = judge({})
    assert verdict.state is DriftState.TOO_EARLY
    assert verdict.findings == ()


def test_one_reading_is_too_early_and_has_a_level() -> None:
    verdict = toe([a_reading(value=55.0)])
    assert verdict.state is DriftState.TOO_EARLY
    level = the(verdict.leading).level
    assert level.low < 55.0 < level.high


def test_ten_years_of_readings_are_judged_on_the_later_part() -> None:
    verdict = toe(a_series(75, noise=1.0, seed=8))
    assert verdict.state is DriftState.QUIET
    assert len(the(verdict.leading).readings) < 75


def test_an_old_change_that_has_long_ended_no_longer_alarms() -> None:
    assert toe(a_series(60, step=-3.0, onset=6, noise=0.7, seed=5)).state is DriftState.QUIET


def test_readings_between_visits_alone_show_no_drift() -> None:
    rows = [
        a_reading(at_days=9.0 * day, trim_state=TrimState.BETWEEN, days_since_trim=9.0 * day)
        for day in range(8)
    ]
    assert toe(rows).state is DriftState.TOO_EARLY


@settings(max_examples=12, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(0, 900), st.floats(20, 100), st.integers(-1, 6), st.sampled_from(TrimState)
        ),
        max_size=7,
    )
)
def test_any_readings_have_a_finite_answer(
    rows: list[tuple[float, float, int, TrimState]],
) -> None:
    readings = [
        a_reading(at_days=at, value=value, trim_index=trim, trim_state=state)
        for at, value, trim, state in rows
    ]
    for finding in toe(readings).findings:
        assert finding.level.low <= finding.level.value <= finding.level.high


def test_an_unknown_quantity_is_refused() -> None:
    with pytest.raises(HoofError):
        judge({"ear_length": a_series(3)})


def test_quantities_that_do_not_belong_together_are_refused() -> None:
    with pytest.raises(HoofError):
        judge({"toe_angle": a_series(3), "toe_length": a_series(3)})


@pytest.mark.parametrize("visits", [0.0, 1.0, float("nan")])
def test_an_impossible_false_alarm_rate_is_refused(visits: float) -> None:
    with pytest.raises(HoofError):
        judge({"toe_angle": a_series(3)}, visits_per_false_alarm=visits)

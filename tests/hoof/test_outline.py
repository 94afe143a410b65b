"""The side view keeps the readings: its drawn lines have their angles and lengths."""

from math import atan2, degrees, dist, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.hoof.outline import (
    LEAST_GROUND_MM,
    Outline,
    Point,
    SideNumbers,
    aim_fan,
    break_deg,
    laid_over,
    side_outline,
    toe_further_out_mm,
)

toe_angles = st.floats(38, 65)
toe_lengths = st.floats(60, 120)
heel_angles = st.floats(25, 65)
heel_lengths = st.floats(15, 60)
HAZEL = SideNumbers(49.0, 85.0, heel_angle_deg=43.0, heel_length_mm=38.0, pastern_angle_deg=52.0)


def angle_deg(low: Point, high: Point) -> float:
    return degrees(atan2(high.y_mm - low.y_mm, high.x_mm - low.x_mm))


def length_mm(one: Point, other: Point) -> float:
    return dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm))


@given(toe_angles, toe_lengths, heel_angles, heel_lengths, st.floats(40, 70))
def test_the_drawn_lines_have_the_measured_angles_and_lengths(
    toe: float, toe_mm: float, heel: float, heel_mm: float, pastern: float
) -> None:
    drawn = side_outline(SideNumbers(toe, toe_mm, heel, heel_mm, pastern_angle_deg=pastern))
    assert angle_deg(drawn.toe, drawn.hairline) == pytest.approx(toe, abs=0.01)
    assert length_mm(drawn.toe, drawn.hairline) == pytest.approx(toe_mm, abs=0.01)
    assert drawn.pastern is not None
    assert angle_deg(drawn.hairline, drawn.pastern) == pytest.approx(pastern, abs=0.01)
    if drawn.heel is not None and drawn.heel_top is not None:
        assert angle_deg(drawn.heel, drawn.heel_top) == pytest.approx(heel, abs=0.01)
        assert length_mm(drawn.heel, drawn.heel_top) == pytest.approx(heel_mm, abs=0.01)


@given(toe_angles, toe_lengths, heel_angles, st.none() | heel_lengths)
def test_a_heel_never_stands_above_the_hairline_or_inside_the_toe(
    toe: float, toe_mm: float, heel: float, heel_mm: float | None
) -> None:
    drawn = side_outline(SideNumbers(toe, toe_mm, heel, heel_mm))
    if drawn.heel is not None and drawn.heel_top is not None:
        assert drawn.heel_top.y_mm <= drawn.hairline.y_mm
        assert drawn.heel.x_mm >= LEAST_GROUND_MM


def test_an_assumed_heel_lies_on_a_hairline_of_twenty_four_degrees() -> None:
    drawn = side_outline(HAZEL)
    assert drawn.heel_assumed
    assert drawn.heel_top is not None
    assert angle_deg(drawn.heel_top, drawn.hairline) == pytest.approx(180 - 24, abs=0.01)


def test_a_measured_ground_line_is_drawn_as_long_as_it_was_measured() -> None:
    drawn = side_outline(SideNumbers(50, 85, 45, 35, ground_length_mm=118.0))
    assert drawn.heel == Point(118.0, 0.0)
    assert not drawn.heel_assumed


@pytest.mark.parametrize(
    "numbers",
    [
        SideNumbers(50, 85),
        SideNumbers(40, 60, heel_angle_deg=60, heel_length_mm=60),  # a heel above the hairline
        SideNumbers(50, 85, 45, 35, ground_length_mm=40.0),
    ],
    ids=["no heel", "heel too high", "ground too short"],
)
def test_without_a_heel_that_can_be_the_toe_line_stands_alone(numbers: SideNumbers) -> None:
    drawn = side_outline(numbers)
    assert not drawn.is_whole
    assert drawn.heel_top is None
    assert drawn.back_handles is None


def test_then_is_laid_on_the_same_ground_and_hairline() -> None:
    now, then = side_outline(HAZEL), side_outline(SideNumbers(53, 80, 46, 36))
    over = laid_over(now, then)
    assert over.hairline.x_mm == pytest.approx(now.hairline.x_mm)
    assert over.toe.y_mm == 0
    assert angle_deg(over.toe, over.hairline) == pytest.approx(53)


def test_how_far_the_toe_went_is_the_shift_that_is_seen() -> None:
    then = SideNumbers(53, 80, 46, 36)
    now = side_outline(HAZEL)
    seen = laid_over(now, side_outline(then)).toe.x_mm - now.toe.x_mm
    assert toe_further_out_mm(HAZEL, then) == pytest.approx(seen)
    assert toe_further_out_mm(HAZEL, then) == pytest.approx(7.62, abs=0.01)  # 85 cos 49 - 80 cos 53


@given(toe_angles, st.floats(0.5, 10))
def test_the_aim_spreads_from_the_hairline_with_the_angles_of_its_band(
    low: float, width: float
) -> None:
    now = side_outline(HAZEL)
    fan = aim_fan(now, low, low + width)
    assert angle_deg(fan.flat_foot, fan.apex) == pytest.approx(low, abs=0.01)
    assert angle_deg(fan.steep_foot, fan.apex) == pytest.approx(low + width, abs=0.01)
    assert fan.flat_foot.x_mm < fan.steep_foot.x_mm


def test_a_reading_inside_its_band_stands_inside_the_fan() -> None:
    fan = aim_fan(side_outline(HAZEL), 48, 53)
    assert fan.flat_foot.x_mm < 0.0 < fan.steep_foot.x_mm


def test_a_break_is_hoof_less_pastern_and_none_without_a_pastern() -> None:
    assert break_deg(SideNumbers(50, 85, pastern_angle_deg=52)) == -2
    assert break_deg(SideNumbers(50, 85)) is None


@pytest.mark.parametrize(
    "numbers",
    [SideNumbers(0, 85), SideNumbers(90, 85), SideNumbers(50, 0), SideNumbers(50, nan)],
)
def test_numbers_that_no_foot_can_have_are_refused(numbers: SideNumbers) -> None:
    with pytest.raises(ValueError, match="of a foot"):
        side_outline(numbers)


@pytest.mark.parametrize("band", [(0, 50), (53, 48), (48, 90)])
def test_an_aim_that_is_no_band_is_refused(band: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="no band"):
        aim_fan(side_outline(HAZEL), *band)


def test_moving_a_foot_moves_every_point_alike() -> None:
    drawn = side_outline(HAZEL)
    moved = drawn.moved(7.0)
    assert _spread(moved) == pytest.approx(_spread(drawn))
    assert moved.toe.x_mm - drawn.toe.x_mm == pytest.approx(7.0)


def _spread(drawn: Outline) -> list[float]:
    points = [drawn.hairline, drawn.heel, drawn.heel_top, drawn.pastern, drawn.pastern_back]
    points += [*(drawn.back_handles or ())]
    return [point.x_mm - drawn.toe.x_mm for point in points if point is not None]

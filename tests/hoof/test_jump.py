"""What counts as a gross jump, how long it stands, and what ends it."""

import numpy as np
import pytest

from measurements.hoof.jump import Jump, JumpPoint, jump_now
from measurements.hoof.quantities import Shoeing


def point(
    value: float,
    day: float,
    *,
    trims: int = 1,
    since: float | None = None,
    shoeing: Shoeing = Shoeing.SHOD,
) -> JumpPoint:
    return JumpPoint(value, 1.0, day, trims, day if since is None else since, shoeing)


def found(*points: JumpPoint) -> Jump | None:
    return jump_now("toe_angle", points)


def test_eleven_degrees_in_eighteen_days_is_a_jump() -> None:
    jump = found(point(52, 0), point(41, 18))
    assert jump is not None
    assert (jump.earlier, jump.since, jump.again) == (0, 1, ())
    assert jump.size == pytest.approx(11 - 3 * 18 / 56, abs=0.01)


def test_what_growth_does_in_a_cycle_is_none() -> None:
    assert found(point(52, 0), point(48, 56)) is None


def test_a_trim_that_puts_the_foot_back_is_none() -> None:
    assert found(point(52, 0), point(47, 56), point(52.5, 56, trims=2, since=0)) is None


def test_the_wedge_that_turned_the_foot_is_none() -> None:
    wedged = point(60, 7, trims=2, since=0, shoeing=Shoeing.SHOD_WEDGE)
    assert found(point(52, 0), wedged) is None
    assert found(point(52, 0), point(60, 7, trims=2, since=0)) is not None


def test_a_reading_near_the_old_level_ends_it_as_a_slip() -> None:
    assert found(point(52, 0), point(41, 18), point(51.5, 19)) is None


def test_a_second_reading_that_says_the_same_makes_it_stand() -> None:
    jump = found(point(52, 0), point(41, 18), point(41.5, 18.5))
    assert jump is not None
    assert (jump.since, jump.again) == (1, (2,))


def test_a_later_jump_near_an_old_slip_is_a_jump_again() -> None:
    rows = (point(52, 0), point(41, 10), point(52, 11), point(51.5, 20), point(41, 30))
    jump = found(*rows)
    assert jump is not None
    assert (jump.since, jump.again) == (4, ())


def test_the_second_trim_after_it_ends_it() -> None:
    one = point(41, 60, trims=2, since=10)
    assert found(point(52, 0), point(41, 18), one) is not None
    assert found(point(52, 0), point(41, 18), one, point(41, 110, trims=3, since=10)) is None


def test_a_reading_of_long_ago_tells_nothing_of_a_sudden_change() -> None:
    assert found(point(52, 0), point(41, 200)) is None
    assert found(point(52, 0), point(41, 200, trims=5, since=0)) is None
    assert found(point(52, 0), point(41, 100, trims=3, since=0)) is not None


def test_the_first_reading_of_all_is_none() -> None:
    assert found(point(30, 0)) is None


def test_ordinary_series_are_hardly_ever_asked_about() -> None:
    """Two hundred feet, twelve visits: growth, trims and the gauge's error, as the demo's books."""
    rng = np.random.default_rng(7)
    asked = 0
    for _ in range(200):
        points: list[JumpPoint] = []
        level = 52 + rng.normal(0, 0.5)
        for visit in range(12):
            day = 49.0 * visit
            before = point(level - 2.6 + rng.normal(0, 1), day, trims=visit, since=49.0)
            level = 52 + rng.normal(0, 0.8)
            after = point(level + rng.normal(0, 1), day, trims=visit + 1, since=0.0)
            for one in (before, after):
                points.append(one)
                jump = jump_now("toe_angle", points)
                asked += jump is not None and jump.since == len(points) - 1
    assert asked <= 5  # of 4,800 readings

"""Wear against growth from toe lengths."""

import pytest

from measurements.hoof.wear import Stretch, wear_of


def test_what_the_toe_gained_is_counted_a_month() -> None:
    wear = wear_of([Stretch(80, 88, 60)])
    assert wear is not None
    assert (wear.gained_mm, wear.cycles) == (pytest.approx(4.0), 1)
    assert wear.worn_mm == pytest.approx((2.0, 6.0))


@pytest.mark.parametrize(
    ("found", "state"),
    [(79, "outruns"), (80, "outruns"), (83, "some"), (86, "little"), (92, "little")],
)
def test_wear_is_compared_with_the_published_growth(found: float, state: str) -> None:
    wear = wear_of([Stretch(80, found, 30)])
    assert wear is not None
    assert wear.state == state


def test_wear_is_never_less_than_none() -> None:
    wear = wear_of([Stretch(80, 95, 30)])
    assert wear is not None
    assert wear.worn_mm == (0.0, 0.0)


def test_only_the_last_four_cycles_of_three_weeks_or_more_count() -> None:
    old = Stretch(80, 110, 30)
    short = Stretch(80, 110, 20)
    wear = wear_of([old, *[Stretch(80, 83, 30)] * 4, short])
    assert wear is not None
    assert (wear.gained_mm, wear.cycles) == (pytest.approx(3.0), 4)


def test_longer_cycles_weigh_more() -> None:
    wear = wear_of([Stretch(80, 80, 30), Stretch(80, 92, 60)])
    assert wear is not None
    assert wear.gained_mm == pytest.approx(4.0)


def test_without_a_whole_cycle_nothing_is_said() -> None:
    assert wear_of([]) is None
    assert wear_of([Stretch(80, 82, 10)]) is None

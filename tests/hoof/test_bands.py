"""Inside, at the edge or outside a band."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.hoof.bands import (
    BandImpossible,
    Place,
    band_position,
    check_band,
    edges_after_trim,
)
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Moment


@pytest.mark.parametrize(
    ("value", "place", "side", "past"),
    [
        (52, Place.INSIDE, None, 0),
        (50, Place.INSIDE, None, 0),
        (54, Place.INSIDE, None, 0),
        (49.9, Place.AT_EDGE, "low", 0.1),
        (48.04, Place.AT_EDGE, "low", 1.96),
        (48.03, Place.OUTSIDE, "low", 1.97),
        (55.96, Place.AT_EDGE, "high", 1.96),
        (55.97, Place.OUTSIDE, "high", 1.97),
    ],
)
def test_a_gauge_reading_stands_inside_at_the_edge_or_outside(value, place, side, past):
    position = band_position(value, 1.0, 50, 54)
    assert (position.place, position.side) == (place, side)
    assert position.past == pytest.approx(past)


def test_an_exact_value_past_the_edge_is_outside():
    assert band_position(49.999, 0.0, 50, 54).place is Place.OUTSIDE


def test_a_band_may_be_open_on_one_side():
    assert band_position(200, 1, 50, None).place is Place.INSIDE
    assert band_position(-200, 1, None, 54).place is Place.INSIDE
    assert band_position(60, 1, None, 54).side == "high"


@pytest.mark.parametrize(
    ("low", "high"), [(None, None), (54, 50), (math.nan, 54), (50, math.inf), (None, math.nan)]
)
def test_an_impossible_band_is_refused(low, high):
    with pytest.raises(BandImpossible):
        check_band(low, high)


@pytest.mark.parametrize(("value", "sd"), [(math.nan, 1), (math.inf, 1), (52, -1), (52, math.nan)])
def test_a_value_that_is_no_number_has_no_place(value, sd):
    with pytest.raises(HoofError, match="real numbers"):
        band_position(value, sd, 50, 54)


@given(st.floats(30, 70), st.floats(0, 5))
def test_mirrored_numbers_mirror_the_answer(value, sd):
    straight = band_position(value, sd, 50, 54)
    mirrored = band_position(-value, sd, -54, -50)
    assert mirrored.place is straight.place
    assert mirrored.side == {"low": "high", "high": "low", None: None}[straight.side]


@pytest.mark.parametrize(
    ("moment", "grown", "edges"),
    [
        (Moment.AFTER_TRIM, -3, (50, 54)),
        (Moment.END_OF_CYCLE, -3, (53, 57)),
        (Moment.END_OF_CYCLE, 3, (47, 51)),
        (Moment.ANY_TIME, -3, (53, 54)),
        (Moment.ANY_TIME, 3, (50, 51)),
    ],
)
def test_growth_moves_the_edges_that_it_comes_nearer_to(moment, grown, edges):
    assert edges_after_trim(50, 54, moment, grown) == edges
    assert edges_after_trim(None, 54, moment, grown) == (None, edges[1])

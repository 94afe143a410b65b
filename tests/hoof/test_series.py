"""A reading refuses numbers that cannot be calculated with."""

import math

import pytest

from measurements.hoof.series import UnusableReading
from tests.hoof.build import a_reading


@pytest.mark.parametrize("field", ["at_days", "value", "sd", "days_since_trim"])
@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_reading_without_real_numbers_is_refused(field, number):
    with pytest.raises(UnusableReading, match="real value"):
        a_reading(**{field: number})


@pytest.mark.parametrize("sd", [0.0, -1.0])
def test_a_reading_without_error_is_refused(sd):
    with pytest.raises(UnusableReading, match="more than zero"):
        a_reading(sd=sd)


def test_a_reading_from_before_its_own_trim_is_refused():
    with pytest.raises(UnusableReading, match="before the trim"):
        a_reading(days_since_trim=-1.0)


def test_a_reading_on_the_day_of_the_trim_is_fine():
    assert a_reading(days_since_trim=0.0).days_since_trim == 0.0

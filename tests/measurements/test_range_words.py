"""The likely range of a change, in words."""

import pytest

from measurements.verdicts.words import _range_words


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (-0.8, -0.3, "likely 0.3 to 0.8°"),
        (0.3, 0.8, "likely 0.3 to 0.8°"),
        (-1.38, 0.04, "likely up to 1.4°, or nothing"),
        (-0.2, 1.1, "likely up to 1.1°, or nothing"),
    ],
)
def test_a_change_that_may_be_none_is_said_to_be(low: float, high: float, said: str) -> None:
    assert _range_words("toe_angle", low, high) == said

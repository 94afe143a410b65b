"""The points that are asked for are those that the mathematics take."""

import pytest

from measurements.hoof.pictures.views import VIEWS as RECKONED
from measurements.hoof.points import DIFFERENCES, LABELS, VIEWS, value_label
from measurements.hoof.quantities import QUANTITIES


def test_every_view_that_can_be_reckoned_is_asked_for() -> None:
    assert VIEWS.keys() == RECKONED.keys()


@pytest.mark.parametrize("view", VIEWS)
def test_a_view_asks_for_the_points_that_its_values_need(view: str) -> None:
    asked, of = VIEWS[view], RECKONED[view]
    assert set(asked.names) == set(of.names)
    assert dict(asked.needs) == dict(of.needed)
    assert (asked.takes_card, asked.needs_marker) == (of.takes_card, of.takes_marker)
    assert set(sum(asked.lines, ())) <= set(asked.names)


@pytest.mark.parametrize("view", VIEWS)
def test_every_value_has_a_name_in_words(view: str) -> None:
    for key in VIEWS[view].needs:
        assert "_" not in value_label(key)
        assert sum(key in names for names in (QUANTITIES, LABELS, DIFFERENCES)) == 1


@pytest.mark.parametrize("view", VIEWS)
def test_a_point_that_may_be_left_out_is_needed_by_no_value_alone_with_others(view: str) -> None:
    """Whoever places only the points that are needed gets at least one value."""
    needed = set(VIEWS[view].needed)
    assert any(set(names) <= needed for names in VIEWS[view].needs.values())

"""Words that two floors must each have, because one of them may know nobody: they are the same."""

import pytest
from django.db.models import TextChoices

from caseboard.lib import words
from horses.domain import agreement, wording
from horses.models import AGREEING_ROLES, Foot, Role, Shoeing
from measurements.hoof import feet, quantities


@pytest.mark.parametrize(
    ("stored", "measured"),
    [(Foot, feet.Foot), (Shoeing, quantities.Shoeing)],
    ids=["feet", "shoeing"],
)
def test_what_is_measured_is_what_is_stored(
    stored: type[TextChoices], measured: type[feet.Foot] | type[quantities.Shoeing]
) -> None:
    assert stored.choices == [(one.value, one.label) for one in measured]


@pytest.mark.parametrize("foot", list(feet.Foot))
@pytest.mark.parametrize("style", ["left_right", "near_off"])
def test_a_foot_is_named_by_its_reader_alike_everywhere(
    foot: feet.Foot, style: feet.SideStyle
) -> None:
    class Reader:
        side_words = style

    assert words.foot_label(foot, Reader()) == feet.label(foot, style)


def test_the_roles_are_the_same_in_the_same_order() -> None:
    assert tuple(Role.values) == wording.ROLES
    assert agreement.ROLES == AGREEING_ROLES


def test_the_letters_of_a_foot_are_those_of_its_words() -> None:
    assert words.NEAR_OFF_CODES == {"LF": "NF", "RF": "OF", "LH": "NH", "RH": "OH"}

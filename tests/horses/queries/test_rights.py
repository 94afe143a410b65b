"""What a page asks of the rights of whoever looks."""

import pytest

from horses.access import POLICY, may
from horses.queries.rights import rights_of
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("who", ["owner", "farrier", "vet"])
def test_each_right_is_asked_by_noun_and_verb(cast: Cast, who: str) -> None:
    access = cast.access(getattr(cast, who))
    can = rights_of(access)
    for action in POLICY:
        noun, _, verb = action.partition(".")
        assert getattr(can, noun)[verb] == may(access, action) == (action in can)


def test_a_noun_that_no_right_has_is_an_error(cast: Cast) -> None:
    with pytest.raises(AttributeError):
        _ = rights_of(cast.access(cast.owner)).hoof

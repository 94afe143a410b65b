"""The boards that something written on the wrong horse may belong to."""

from datetime import datetime

import pytest

from horses.models import Case, Role
from horses.queries.other_boards import other_boards
from tests.cast import Cast, join

pytestmark = pytest.mark.django_db


def offered(cast: Cast) -> list[str]:
    return [case_id for case_id, _ in other_boards(cast.access(cast.farrier))]


def test_they_are_those_of_other_horses_in_the_same_role(cast: Cast, now: datetime) -> None:
    assert offered(cast) == []  # the horse's own concern is none of them
    join(cast.other_case, cast.farrier, Role.FARRIER, now)
    assert offered(cast) == [cast.other_case.public_id]


def test_where_one_is_something_else_one_could_not_have_written_it(
    cast: Cast, now: datetime
) -> None:
    join(cast.other_case, cast.farrier, Role.OWNER, now)
    assert offered(cast) == []


def test_nothing_is_written_on_a_closed_one(cast: Cast, now: datetime) -> None:
    join(cast.other_case, cast.farrier, Role.FARRIER, now)
    Case.objects.filter(pk=cast.other_case.pk).update(closed_at=now)
    assert offered(cast) == []

"""The copied people leave the database as if they had been made in it."""

import pytest
from django.core.management.color import no_style
from django.db import connection

from horses.models import Person
from tests.copied import copied

pytestmark = pytest.mark.django_db


def _one_person() -> int:
    return int(Person.objects.create(email="copied@example.test").pk)


def _begin_the_numbers_anew() -> None:
    """As a restored installation does: the next row of an empty table has the number one."""
    Person.objects.all().delete()
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [Person]):
            cursor.execute(statement)


def test_a_row_after_a_copy_has_a_number_of_its_own() -> None:
    _begin_the_numbers_anew()
    first = copied(("one person",), _one_person)
    _begin_the_numbers_anew()

    again = copied(("one person",), _one_person)
    later = Person.objects.create(email="later@example.test")

    assert again == first
    assert later.pk != again

"""What a person says about themself."""

import pytest

from horses.accounts.services.people import person_edit
from horses.models import Person
from tests.cast import person

pytestmark = pytest.mark.django_db


def test_it_saves_what_was_changed() -> None:
    someone = person("Ana Able")
    person_edit(person=someone, fields={"name": "Ana B.", "paper": "letter"})
    row = Person.objects.get()
    assert (row.name, row.paper) == ("Ana B.", "letter")


@pytest.mark.parametrize("field", ["email", "is_staff", "is_superuser", "is_active"])
def test_nobody_gives_themself_rights_or_another_address(field: str) -> None:
    with pytest.raises(ValueError):
        person_edit(person=person("Ana Able"), fields={field: True})

"""What people say about themselves, and how they like to read."""

from typing import Any

import pytest
from django.test import Client

from horses.accounts.services.people import person_edit
from horses.models import Person
from tests.cast import Cast
from tests.horses.doors import text_of

GIVEN = {
    "name": "Ola O. Owner",
    "phone": "+00 555 0101",
    "length_unit": "in",
    "weight_unit": "lb",
    "side_words": "near_off",
    "paper": "letter",
    "version": "1",
}


def me(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.owner)
    return client


def test_the_page_shows_what_is_known(cast: Cast) -> None:
    page = text_of(me(cast).get("/me/"))
    assert "ola.owner@example.test" in page
    assert 'value="0100 200 301"' in page
    assert 'action="/accounts/logout/"' in page


def test_everything_can_be_changed(cast: Cast) -> None:
    response = me(cast).post("/me/", GIVEN)
    assert response.status_code == 302
    person = Person.objects.get(pk=cast.owner.pk)
    assert (person.name, person.phone) == ("Ola O. Owner", "+00 555 0101")
    assert (person.length_unit, person.weight_unit) == ("in", "lb")
    assert (person.side_words, person.paper) == ("near_off", "letter")


def test_it_says_what_one_is_mailed_and_leads_to_the_choice(cast: Cast) -> None:
    page = text_of(me(cast).get("/me/"))
    assert "at once, each thing by itself" in page
    assert 'href="/notices/choices/"' in page


def test_nothing_else_about_a_person_can_be_changed_here(cast: Cast) -> None:
    me(cast).post("/me/", {**GIVEN, "email": "x@example.test", "is_staff": "on", "is_superuser": 1})
    person = Person.objects.get(pk=cast.owner.pk)
    assert person.email == "ola.owner@example.test"
    assert (person.is_staff, person.is_superuser) == (False, False)


def test_the_service_takes_only_what_is_the_persons_own(cast: Cast) -> None:
    with pytest.raises(ValueError, match="not for the person to change"):
        person_edit(person=cast.owner, fields={"is_staff": True})


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("name", "", "Please fill this in."),
        ("name", "\x00", "Please fill this in."),
        ("name", "x" * 1_000_000, "there is room for 120"),
        ("phone", "0" * 41, "there is room for 40"),
        ("length_unit", "furlong", "Please choose one of these."),
        ("weight_unit", "", "Please choose one."),
        ("side_words", "\x00", "Please choose one of these."),
        ("paper", "A0", "Please choose one of these."),
    ],
)
def test_what_cannot_be_says_why_and_keeps_the_rest(
    cast: Cast, field: str, typed: Any, says: str
) -> None:
    response = me(cast).post("/me/", {**GIVEN, field: typed})
    page = text_of(response)
    assert response.status_code == 422
    assert says in page
    assert "Ola O. Owner" in page or field == "name"
    assert Person.objects.get(pk=cast.owner.pk).name == "Ola Owner"


def test_the_page_is_for_people_who_signed_in(db: None) -> None:
    assert Client().get("/me/")["Location"] == "/accounts/login/code/?next=/me/"


def test_it_is_read_and_sent_in_no_other_way(cast: Cast) -> None:
    assert me(cast).delete("/me/").status_code == 405


def test_what_was_kept_in_the_phone_is_forgotten_once_saved(cast: Cast) -> None:
    client = me(cast)
    assert 'data-keep="me"' in text_of(client.get("/me/"))
    page = text_of(client.post("/me/", GIVEN, follow=True))
    assert '<meta name="kept-clear" content="me">' in page
    assert "kept-clear" not in text_of(client.get("/me/"))

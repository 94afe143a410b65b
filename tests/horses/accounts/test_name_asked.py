"""A name that another may have typed: asked at the first sign-in with a code from the address."""

import re
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from caseboard.lib import clock
from horses.accounts.services import people
from horses.accounts.services.code_mails import code_mail_send
from horses.accounts.services.people import unproven_forget
from horses.models import CodeMail, Person
from tests.cast import Cast

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
VICTIM = "vic.vet@example.test"
SIGN_UP, ASK = reverse("account_signup"), reverse("account_request_login_code")
CONFIRM, ADDRESS = (
    reverse("account_confirm_login_code"),
    reverse("account_email_verification_sent"),
)


def code() -> str:
    code_mail_send(CodeMail.objects.latest("pk").public_id, clock.now())
    found = re.search(r"^([A-Z0-9-]{6,9})$", str(mail.outbox[-1].body), re.MULTILINE)
    assert found
    return found[1]


@pytest.fixture
def made_by_a_stranger() -> Person:
    Client().post(SIGN_UP, {"email": VICTIM, "name": "Rude Name"})
    return Person.objects.get(email=VICTIM)


def signed_in(path: str = CONFIRM) -> Client:
    """By a code that was sent to the address: as far as the library goes."""
    client = Client()
    client.post(ASK, {"email": VICTIM})
    client.post(path, {"code": code()})
    return client


@pytest.mark.usefixtures("made_by_a_stranger")
def test_nothing_else_opens_before_the_name_was_said() -> None:
    client = signed_in()
    for path in ("/horses/", "/me/", "/round/"):
        answer = client.get(path)
        assert answer["Location"].startswith("/me/name/?next="), path
    assert client.post("/horses/new/", {"name": "Juno"})["Location"].startswith("/me/name/")
    assert client.get("/urgent/").status_code == 200


@pytest.mark.usefixtures("made_by_a_stranger")
def test_the_name_is_asked_and_the_way_goes_on() -> None:
    client = signed_in()
    page = client.get("/me/name/?next=/round/").content.decode()
    assert "Is this your name?" in page
    assert 'value="Rude Name"' in page
    answer = client.post("/me/name/", {"name": "Vic Vet", "next": "/round/"})
    assert answer["Location"] == "/round/"
    person = Person.objects.get(email=VICTIM)
    assert (person.name, person.name_unsure) == ("Vic Vet", False)
    assert client.get("/horses/").status_code == 200


@pytest.mark.usefixtures("made_by_a_stranger")
def test_the_same_name_can_be_kept_and_an_empty_one_cannot() -> None:
    client = signed_in()
    assert client.post("/me/name/", {"name": " "}).status_code == 422
    assert client.post("/me/name/", {"name": "Rude Name"}).status_code == 302
    assert not Person.objects.get(email=VICTIM).name_unsure


@pytest.mark.usefixtures("made_by_a_stranger")
def test_the_way_on_leads_to_no_other_site() -> None:
    client = signed_in()
    answer = client.post("/me/name/", {"name": "Vic", "next": "//elsewhere.example/"})
    assert answer["Location"] == "/horses/"


def test_whoever_makes_their_own_account_is_not_asked_again() -> None:
    client = Client()
    client.post(SIGN_UP, {"email": VICTIM, "name": "Vic Vet"})
    assert client.post(ADDRESS, {"code": code()}).status_code == 302
    assert not Person.objects.get(email=VICTIM).name_unsure
    assert client.get("/horses/").status_code == 200


def test_nobody_else_is_asked(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.vet)
    assert client.get("/horses/").status_code == 200


def test_an_account_that_nobody_proved_is_forgotten_after_a_day(
    made_by_a_stranger: Person, cast: Cast
) -> None:
    people_there = Person.objects.count()
    assert unproven_forget(now=made_by_a_stranger.joined_at + timedelta(hours=23)) == 0
    assert unproven_forget(now=made_by_a_stranger.joined_at + timedelta(hours=25)) == 1
    assert Person.objects.count() == people_there - 1


def test_one_that_signed_in_or_stands_on_a_case_is_never_forgotten(
    cast: Cast, now: datetime, monkeypatch: Any
) -> None:
    monkeypatch.setattr(people, "MOST_UNPROVEN", 0)
    Person.objects.filter(pk=cast.vet.pk).update(name_unsure=True, last_login=None)
    Person.objects.filter(pk=cast.stranger.pk).update(name_unsure=True, last_login=now)
    assert unproven_forget(now=now + timedelta(days=900)) == 0

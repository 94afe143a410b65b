"""Signing in with another address: both must agree, both hear of it, the old one has a way back."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from allauth.account.models import EmailAddress
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from horses.accounts.services.email_changes import AddressTaken, address_change
from horses.jobs.outbox import jobs_run_due
from horses.models import EmailChange, Person, SignIn
from tests.cast import Cast
from tests.codes import code_mailed, codes_sent
from tests.horses.doors import text_of

NEW = "vera.new@example.test"
Drain = Callable[..., int]


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None, clock_stands: datetime) -> None:
    cache.clear()


@pytest.fixture
def vet(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.vet)
    return client


def change(client: Client, to: str = NEW) -> None:
    client.post(reverse("address"), {"email": to})
    client.post(reverse("address_confirm"), {"code": code_mailed()})


def way_back() -> str:
    found = re.search(r"https?://[^/]+(/address-back/\S+)", str(mail.outbox[-1].body))
    assert found
    return found[1]


def test_the_address_changes_once_the_code_from_it_came_back(cast: Cast, vet: Client) -> None:
    answer = vet.post(reverse("address"), {"email": NEW})
    assert answer["Location"] == reverse("address_confirm")
    assert NEW in text_of(vet.get(reverse("address_confirm")))
    cast.vet.refresh_from_db()
    assert cast.vet.email != NEW
    codes_sent()
    assert mail.outbox[-1].to == [NEW]
    assert vet.post(reverse("address_confirm"), {"code": code_mailed()}).status_code == 302
    cast.vet.refresh_from_db()
    assert cast.vet.email == NEW
    [row] = EmailAddress.objects.filter(user=cast.vet)
    assert (row.email, row.verified, row.primary) == (NEW, True, True)


def test_the_old_address_hears_of_it(cast: Cast, vet: Client, drain: Drain) -> None:
    old = cast.vet.email
    change(vet)
    drain()
    assert mail.outbox[-1].to == [old]
    assert NEW in mail.outbox[-1].body


def test_trouble_with_the_old_address_ends_with_it(cast: Cast, now: datetime) -> None:
    Person.objects.filter(pk=cast.vet.pk).update(mail_trouble="mailbox full", mail_trouble_at=now)
    address_change(person=cast.vet, new=NEW, now=now)
    cast.vet.refresh_from_db()
    assert (cast.vet.mail_trouble, cast.vet.mail_trouble_at) == ("", None)


def test_a_wrong_code_changes_nothing_and_three_use_it_up(cast: Cast, vet: Client) -> None:
    vet.post(reverse("address"), {"email": NEW})
    right = code_mailed()
    for _ in range(3):
        answer = vet.post(reverse("address_confirm"), {"code": "AAAA-AAAA"})
        assert answer.status_code == 422
    assert "used up" in text_of(vet.post(reverse("address_confirm"), {"code": right}))
    cast.vet.refresh_from_db()
    assert cast.vet.email != NEW


def test_the_code_page_without_a_code_leads_back(vet: Client) -> None:
    assert vet.get(reverse("address_confirm"))["Location"] == reverse("address")


def test_an_address_of_somebody_else_answers_alike_and_is_not_given(
    cast: Cast, vet: Client
) -> None:
    free = vet.post(reverse("address"), {"email": NEW})
    page_free = text_of(vet.get(reverse("address_confirm"))).replace(NEW, "-")
    taken = vet.post(reverse("address"), {"email": cast.farrier.email})
    page_taken = text_of(vet.get(reverse("address_confirm"))).replace(cast.farrier.email, "-")
    own = r'"(csrfmiddlewaretoken" value="\w+|X-CSRFToken": "\w+)|<b>\([A-Z0-9]{3}\)</b>'
    tokens = re.compile(own)
    assert (free.status_code, free["Location"]) == (taken.status_code, taken["Location"])
    assert tokens.sub("", page_free) == tokens.sub("", page_taken)
    assert code_mailed() == ""
    assert mail.outbox[-1].to == [cast.farrier.email]
    cast.vet.refresh_from_db()
    assert cast.vet.email != cast.farrier.email


def test_the_page_says_what_became_of_the_mail(vet: Client, now: datetime, settings: Any) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    assert vet.post(reverse("address"), {"email": NEW}).status_code == 302
    assert "It is just being sent" in text_of(vet.get(reverse("address_confirm")))
    jobs_run_due(now=now)
    assert "The mail server did not answer" in text_of(vet.get(reverse("address_confirm")))


def test_two_people_after_one_address_one_gets_it(cast: Cast, now: datetime) -> None:
    address_change(person=cast.vet, new=NEW, now=now)
    with pytest.raises(AddressTaken):
        address_change(person=cast.farrier, new=NEW.upper(), now=now)
    assert Person.objects.filter(email__iexact=NEW).count() == 1
    assert EmailChange.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "Please write the new address."),
        ("no address", "not an email address we can write to"),
        ("VERA.vet@example.test", "You sign in with this address already."),
        ("a\u200bb@example.test", "not an email address we can write to"),
    ],
)
def test_what_cannot_be_says_why(vet: Client, typed: str, said: str) -> None:
    answer = vet.post(reverse("address"), {"email": typed})
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert mail.outbox == []


def test_the_old_address_takes_the_change_back(
    cast: Cast, vet: Client, now: datetime, drain: Drain
) -> None:
    old = cast.vet.email
    change(vet)
    drain()
    cast.vet.passkeys.create(public_id="k", credential_hash="0", name="Thief's", added_at=now)
    back = Client()
    assert "Opening this page changed nothing" in text_of(back.get(way_back()))
    assert Person.objects.get(pk=cast.vet.pk).email == NEW
    assert back.post(way_back()).status_code == 302
    cast.vet.refresh_from_db()
    assert cast.vet.email == old
    assert EmailAddress.objects.get(user=cast.vet).email == old
    assert not SignIn.objects.filter(person=cast.vet).exists()
    assert not cast.vet.passkeys.exists()
    assert vet.get("/me/").status_code == 302


def test_a_passkey_from_before_the_change_stays(
    cast: Cast, vet: Client, now: datetime, drain: Drain
) -> None:
    cast.vet.passkeys.create(
        public_id="k", credential_hash="0", name="My own", added_at=now - timedelta(days=1)
    )
    change(vet)
    drain()
    Client().post(way_back())
    assert cast.vet.passkeys.count() == 1


def test_the_way_back_works_once_and_for_seven_days(
    cast: Cast, vet: Client, now: datetime, drain: Drain, monkeypatch: pytest.MonkeyPatch
) -> None:
    change(vet)
    drain()
    path = way_back()
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(days=7, seconds=1))
    assert Client().get(path).status_code == 404
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(days=6))
    assert Client().post(path).status_code == 302
    assert Client().post(path).status_code == 404


def test_a_made_up_way_back_opens_nothing(cast: Cast, vet: Client, drain: Drain) -> None:
    change(vet)
    drain()
    path = way_back()
    assert Client().get(path[:-3] + "00/").status_code == 404
    assert Client().get(reverse("address_back", args=["nobody", "0" * 40])).status_code == 404


def test_an_address_changed_twice_goes_back_to_the_first(
    cast: Cast, vet: Client, drain: Drain
) -> None:
    old = cast.vet.email
    change(vet)
    drain()
    first = way_back()
    change(vet, "vera.third@example.test")
    drain()
    second = way_back()
    Client().post(first)
    cast.vet.refresh_from_db()
    assert cast.vet.email == old
    assert Client().post(second).status_code == 404

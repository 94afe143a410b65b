"""Passkeys without a device at hand: what is refused. The whole way is in tests/browser."""

import json
from datetime import datetime
from typing import Any

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client, RequestFactory
from django.urls import reverse

from horses.accounts import passkey_protocol
from horses.accounts.passkey_protocol import NewKey, PasskeyWrong
from horses.accounts.services.passkeys import MOST, passkey_add, passkey_used
from horses.models import Passkey
from tests.cast import Cast
from tests.horses.doors import text_of

SIGN_IN, ADD = reverse("passkey_sign_in"), reverse("passkey_add")
HOST = {"HTTP_HOST": "localhost"}


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None, clock_stands: datetime) -> None:
    cache.clear()


@pytest.fixture
def vet(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.vet)
    return client


def key(number: int = 0) -> NewKey:
    return NewKey(credential_hash=str(number), public_key="00", sign_count=0)


HOSTILE = (
    "",
    "null",
    "[]",
    "{}",
    "{",
    '"text"',
    "NaN",
    "[" * 5000,
    "x" * 30_000,
    json.dumps({"id": 7, "rawId": 7, "response": 7, "type": 7}),
    json.dumps({"id": "AA", "rawId": "AA", "type": "public-key", "response": {}}),
    json.dumps(
        {
            "id": "AA",
            "rawId": "AA",
            "type": "public-key",
            "response": {"clientDataJSON": "e30", "attestationObject": "oA"},
        }
    ),
    json.dumps(
        {
            "id": "AA",
            "rawId": "AA",
            "type": "public-key",
            "response": {"clientDataJSON": "e30", "authenticatorData": "AA", "signature": "AA"},
        }
    ),
    '{"id": "\\u0000", "rawId": "\\ud800", "response": {"clientDataJSON": "\\ud800"}}',
)


@pytest.mark.parametrize("answer", HOSTILE)
def test_an_answer_that_proves_nothing_signs_nobody_in(answer: str, cast: Cast) -> None:
    client = Client()
    assert client.get(SIGN_IN, **HOST).status_code == 200  # type: ignore[arg-type]
    response = client.post(SIGN_IN, {"credential": answer}, **HOST)  # type: ignore[arg-type]
    assert response["Location"] == reverse("account_request_login_code")
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize("answer", HOSTILE)
def test_an_answer_that_proves_nothing_adds_nothing(answer: str, vet: Client) -> None:
    assert vet.get(ADD, **HOST).status_code == 200  # type: ignore[arg-type]
    response = vet.post(ADD, {"credential": answer, "name": "My phone"}, **HOST)  # type: ignore[arg-type]
    assert response.status_code == 422
    assert "was not added" in text_of(response)
    assert 'value="My phone"' in text_of(response)
    assert not Passkey.objects.exists()


def test_the_challenge_is_the_same_for_everybody_but_for_its_number(cast: Cast) -> None:
    """Whether an address has a passkey is not to be learned."""
    asked = [Client().get(SIGN_IN, **HOST).json()["publicKey"] for _ in range(2)]  # type: ignore[arg-type]
    assert asked[0].pop("challenge") != asked[1].pop("challenge")
    assert asked[0] == asked[1]
    assert not asked[0].get("allowCredentials")
    assert asked[0]["userVerification"] == "required"


def test_a_challenge_serves_one_answer(rf: RequestFactory) -> None:
    request: Any = rf.get(SIGN_IN, **HOST)  # type: ignore[arg-type]
    request.session = {}
    passkey_protocol.sign_in_begin(request)
    for why in ("", "no challenge"):
        with pytest.raises(PasskeyWrong, match=why):
            passkey_protocol.sign_in_finish(request, "{}", lambda wanted: None)


def test_a_challenge_for_adding_signs_nobody_in(cast: Cast, rf: RequestFactory) -> None:
    request: Any = rf.get(ADD, **HOST)  # type: ignore[arg-type]
    request.session = {}
    passkey_protocol.add_begin(request, cast.vet)
    with pytest.raises(PasskeyWrong, match="no challenge"):
        passkey_protocol.sign_in_finish(request, "{}", lambda wanted: None)


def test_where_the_board_has_only_a_number_for_an_address_the_page_says_so(vet: Client) -> None:
    assert "a passkey belongs to a name" in text_of(vet.get(ADD, HTTP_HOST="127.0.0.1:8000"))


def test_trying_is_limited(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("horses.accounts.views.passkeys.A_WINDOW_FOR_A_MACHINE", 2)
    assert [Client().get(SIGN_IN).status_code for _ in range(3)] == [200, 200, 429]


def test_a_counter_that_does_not_rise_is_refused(cast: Cast, now: datetime) -> None:
    passkey = passkey_add(person=cast.vet, key=key(), name="Phone", now=now)
    passkey_used(passkey=passkey, sign_count=0, now=now)  # a key that does not count
    passkey_used(passkey=passkey, sign_count=5, now=now)
    for count in (5, 4, 0):
        with pytest.raises(PasskeyWrong):
            passkey_used(passkey=passkey, sign_count=count, now=now)


def test_nobody_has_more_than_a_few_and_no_key_twice(cast: Cast, now: datetime) -> None:
    passkey_add(person=cast.vet, key=key(), name="Phone", now=now)
    with pytest.raises(PasskeyWrong, match="known already"):
        passkey_add(person=cast.farrier, key=key(), name="Phone", now=now)
    for number in range(1, MOST):
        passkey_add(person=cast.vet, key=key(number), name="Phone", now=now)
    with pytest.raises(PasskeyWrong, match="too many"):
        passkey_add(person=cast.vet, key=key(MOST), name="Phone", now=now)


def test_the_person_hears_of_a_new_one_by_mail(cast: Cast, now: datetime, drain: Any) -> None:
    passkey_add(person=cast.vet, key=key(), name="Vera's phone", now=now)
    drain()
    assert mail.outbox[-1].to == [cast.vet.email]
    assert "Vera's phone" in mail.outbox[-1].body


def test_one_that_is_taken_away_is_gone_and_only_its_owner_can(
    cast: Cast, vet: Client, now: datetime
) -> None:
    passkey = passkey_add(person=cast.vet, key=key(), name="Phone", now=now)
    path = reverse("passkey_remove", args=[passkey.public_id])
    other = Client()
    other.force_login(cast.farrier)
    assert other.post(path).status_code == 404
    assert "Phone" in text_of(vet.get(reverse("sign_ins")))
    assert vet.post(path).status_code == 302
    assert not Passkey.objects.exists()


@pytest.mark.parametrize("to", ["https://elsewhere.test/", "//elsewhere.test", "javascript:1", ""])
def test_after_the_sign_in_nobody_is_sent_elsewhere(to: str, rf: RequestFactory) -> None:
    from horses.accounts.views.passkeys import _next

    assert _next(rf.post(SIGN_IN, {"next": to})) == reverse("horses")
    assert _next(rf.post(SIGN_IN, {"next": "/me/"})) == "/me/"

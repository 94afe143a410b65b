"""By invitation only, an account is made on the way to an open invitation and nowhere else."""

from datetime import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from horses.services.invitations import invitation_create, invitation_revoke, token_for
from tests.cast import Cast

pytestmark = pytest.mark.django_db
SIGN_UP = "/accounts/signup/"
TYPED = {"email": "invited@example.org", "name": "Ina Vited"}


@pytest.fixture(autouse=True)
def _closed(settings: Any) -> None:
    settings.SIGN_UP = "invitation"


@pytest.fixture
def way(cast: Cast, now: datetime, clock_stands: datetime) -> str:
    made = invitation_create(
        access=cast.access(cast.owner), email=TYPED["email"], role="farrier", now=now
    )
    return reverse("invitation", args=[token_for(made.public_id)])


def test_a_stranger_is_told_that_it_is_closed(client: Client) -> None:
    for answer in (client.get(SIGN_UP), client.post(SIGN_UP, TYPED)):
        assert "No new accounts" in answer.content.decode()
    assert client.post(SIGN_UP, {**TYPED, "next": "/me/"}).status_code != 302


def test_who_follows_an_invitation_can_make_an_account(client: Client, way: str) -> None:
    assert "Make an account" in client.get(SIGN_UP, {"next": way}).content.decode()
    assert client.post(SIGN_UP, {**TYPED, "next": way}).status_code == 302


@pytest.mark.parametrize(
    "next_url", ["/invitations/made-up/", "//evil.example/invitations/x/", "\x00", "http://["]
)
def test_an_invented_invitation_opens_nothing(client: Client, next_url: str) -> None:
    assert "No new accounts" in client.get(SIGN_UP, {"next": next_url}).content.decode()


def test_a_withdrawn_invitation_opens_nothing(
    client: Client, cast: Cast, now: datetime, way: str
) -> None:
    invitation = cast.case.invitations.latest("pk")
    invitation_revoke(access=cast.access(cast.owner), public_id=invitation.public_id, now=now)
    assert "No new accounts" in client.get(SIGN_UP, {"next": way}).content.decode()

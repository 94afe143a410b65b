"""The page behind the link of an invitation: looking changes nothing, a POST joins."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client

from caseboard.lib import clock
from horses.models import HistoryLine, Invitation, Membership, Note, Person
from horses.services.invitations import invitation_create, invitation_revoke, token_for
from tests import build
from tests.cast import Cast
from tests.horses.doors import last_line, text_of, told

pytestmark = pytest.mark.usefixtures("clock_stands")


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None) -> None:
    cache.clear()


@pytest.fixture
def invitation(cast: Cast, now: datetime) -> Invitation:
    return invitation_create(
        access=cast.access(cast.owner), email=cast.invited.email, role="vet", now=now
    )


@pytest.fixture
def address(invitation: Invitation) -> str:
    return f"/invitations/{token_for(invitation.public_id)}/"


def as_(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def test_a_visitor_reads_what_the_mail_said_and_how_to_sign_in(cast: Cast, address: str) -> None:
    response = Client().get(address)
    page = text_of(response)
    assert response.status_code == 200
    assert "Ola Owner asks you to join the team of Juniper" in page
    assert f"/accounts/login/?next={address.replace('/', '%2F')}" in page
    assert f"/accounts/signup/?next={address.replace('/', '%2F')}" in page


def test_a_visitor_reads_nothing_more_than_the_mail_said(
    cast: Cast, invitation: Invitation, address: str, now: datetime
) -> None:
    build.note(cast.access(cast.owner), now, "Seen by the team only.")
    page = text_of(Client().get(address))
    assert Note.objects.exists()
    for secret in ("Seen by the team only.", "Vera Vet", "0100", cast.case.public_id, "Night Vets"):
        assert secret not in page


def test_the_address_of_the_way_in_is_told_to_no_other_site(address: str) -> None:
    response = Client().get(address)
    assert response["Referrer-Policy"] == "same-origin"
    assert response["Cache-Control"] == "private, no-store"


def test_any_number_of_looks_leaves_it_unused(
    cast: Cast, invitation: Invitation, address: str
) -> None:
    client, visitor = as_(cast.invited), Client()
    for _ in range(20):
        client.get(address)
        visitor.get(address)
    invitation.refresh_from_db()
    assert invitation.accepted_at is None
    assert not Membership.objects.filter(case=cast.case, person=cast.invited).exists()


def test_the_invited_person_joins_by_pressing_the_button(
    cast: Cast, invitation: Invitation, address: str
) -> None:
    client = as_(cast.invited)
    assert "Join the team" in text_of(client.get(address))
    response = client.post(address)
    assert response.status_code == 302
    assert response["Location"] == f"/cases/{cast.case.public_id}/"
    member = Membership.objects.get(case=cast.case, person=cast.invited)
    assert (member.role, member.left_at) == ("vet", None)
    assert last_line(cast.case, "team.joined").actor == cast.invited
    assert "Ola Owner" in told(cast.case, "team.joined")


def test_it_can_be_used_once(cast: Cast, address: str) -> None:
    client = as_(cast.invited)
    client.post(address)
    assert client.get(address).status_code == 404
    assert as_(cast.stranger).post(address).status_code == 404
    assert Membership.objects.filter(case=cast.case, person=cast.invited).count() == 1


def test_the_button_pressed_twice_leads_to_the_board_twice(cast: Cast, address: str) -> None:
    client = as_(cast.invited)
    assert client.post(address)["Location"] == client.post(address)["Location"]
    assert HistoryLine.objects.filter(case=cast.case, verb="team.joined").count() == 1


def test_pressing_again_after_having_left_brings_nobody_back(
    cast: Cast, address: str, now: datetime
) -> None:
    client = as_(cast.invited)
    client.post(address)
    Membership.objects.filter(case=cast.case, person=cast.invited).update(left_at=now)
    assert client.post(address).status_code == 404


def test_another_persons_account_cannot_take_it(
    cast: Cast, invitation: Invitation, address: str
) -> None:
    client = as_(cast.stranger)
    page = text_of(client.get(address))
    assert "You are signed in as" in page
    assert "Join the team" not in page
    response = client.post(address)
    assert response.status_code == 403
    assert "This invitation was sent to another address." in text_of(response)
    invitation.refresh_from_db()
    assert invitation.accepted_at is None


def test_a_visitor_who_presses_is_asked_to_sign_in_and_comes_back(address: str) -> None:
    response = Client().post(address)
    assert response.status_code == 302
    assert response["Location"] == f"/accounts/login/code/?next={address}"


def test_somebody_on_the_team_already_reads_that(
    cast: Cast, invitation: Invitation, address: str, now: datetime
) -> None:
    Membership.objects.create(case=cast.case, person=cast.invited, role="carer", joined_at=now)
    client = as_(cast.invited)
    assert "You are on this team already." in text_of(client.get(address))
    response = client.post(address)
    assert response.status_code == 422
    assert "You are on this team already." in text_of(response)


@pytest.mark.parametrize("token", ["a" * 64, "x", "-", "0" * 3000])
def test_an_unknown_way_in_is_not_there(db: None, token: str) -> None:
    assert Client().get(f"/invitations/{token}/").status_code == 404


def test_a_withdrawn_and_an_old_one_look_like_an_unknown_one(
    cast: Cast, invitation: Invitation, address: str, now: datetime, monkeypatch: Any
) -> None:
    unknown = Client().get(f"/invitations/{'a' * 64}/").content
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(days=7, seconds=1))
    assert Client().get(address).content == unknown
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now)
    invitation_revoke(access=cast.access(cast.owner), public_id=invitation.public_id, now=now)
    assert Client().get(address).content == unknown


def test_it_is_looked_at_and_pressed_in_no_other_way(address: str) -> None:
    assert Client().put(address).status_code == 405


def test_a_newcomer_follows_the_mail_to_the_board(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    """The whole way: the link in the mail, a new account, the code, the button."""
    invitation_create(
        access=cast.access(cast.owner), email="Newcomer@Example.test", role="vet", now=now
    )
    drain()
    link = re.search(r"/invitations/\w+/", str(mail.outbox[-1].body))
    assert link is not None
    visitor = Client()
    page = text_of(visitor.get(link[0]))
    sign_up = re.search(r'href="(/accounts/signup/[^"]+)"', page)
    assert sign_up is not None
    fields = {"email": "newcomer@example.test", "name": "Nia Newcomer", "next": link[0]}
    confirm = visitor.post(sign_up[1], fields, follow=True)
    drain(clock.now())
    code = re.search(r"\n\n([A-Z0-9-]{6,9})\n", str(mail.outbox[-1].body))
    assert code is not None
    done = visitor.post(confirm.request["PATH_INFO"], {"code": code[1]}, follow=True)
    assert done.request["PATH_INFO"] == link[0]
    joined = visitor.post(link[0])
    assert joined["Location"] == f"/cases/{cast.case.public_id}/"
    assert visitor.get(f"/cases/{cast.case.public_id}/team/").status_code == 200

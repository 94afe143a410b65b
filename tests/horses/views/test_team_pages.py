"""Who is on a team, asking somebody to join it, taking somebody off it, leaving it."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.cache import cache

from horses.models import Invitation, Membership
from horses.services.invitations import invitation_create
from tests.cast import Cast
from tests.horses.doors import Door, last_line, shut, text_of, told

pytestmark = pytest.mark.usefixtures("clock_stands")


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None) -> None:
    cache.clear()


def membership(cast: Cast, who: str) -> Membership:
    return Membership.objects.get(case=cast.case, person=cast.everyone[who], left_at=None)


def ask(cast: Cast, who: str = "owner", **fields: Any) -> Any:
    given = {"email": "new.vet@example.test", "role": "vet", **fields}
    return Door(cast.everyone[who], cast.case).post("invite", **given)


# -- the team


def test_everybody_on_the_team_sees_roles_numbers_and_since_when(cast: Cast) -> None:
    page = text_of(Door(cast.carer, cast.case).get("team"))
    for name in ("Ola Owner", "Vera Vet", "Finn Farrier", "Stina Standin", "Cara Carer"):
        assert name in page
    assert "Remi Removed" not in page
    assert 'href="tel:0100200302"' in page
    assert "Stand-in farrier" in page
    assert "since Sat 3 Oct 2026" in page


def test_only_the_owner_is_offered_to_ask_and_to_remove(cast: Cast) -> None:
    owner = text_of(Door(cast.owner, cast.case).get("team"))
    vet_door = Door(cast.vet, cast.case)
    vet = text_of(vet_door.get("team"))
    assert "Ask somebody to join" in owner
    assert owner.count(">Remove<") == 4
    assert "Ask somebody to join" not in vet
    assert ">Remove<" not in vet
    assert vet_door.address("member_remove", membership(cast, "vet").public_id) in vet  # leaving


def test_a_role_with_nobody_in_it_is_named(cast: Cast, now: datetime) -> None:
    Membership.objects.filter(case=cast.case, person=cast.vet).update(left_at=now)
    assert "Nobody yet as vet." in text_of(Door(cast.owner, cast.case).get("team"))


def test_open_invitations_stand_there_and_say_when_they_ran_out(cast: Cast, now: datetime) -> None:
    owner = cast.access(cast.owner)
    invitation_create(access=owner, email="soon@example.test", role="vet", now=now)
    long_ago = now - timedelta(days=8)
    invitation_create(access=owner, email="late@example.test", role="carer", now=long_ago)
    page = text_of(Door(cast.owner, cast.case).get("team"))
    assert "Good until Mon 9 Nov 2026." in page
    assert "It ran out on Sun 1 Nov 2026." in page


def test_a_closed_case_asks_nobody(cast: Cast, now: datetime) -> None:
    shut(cast.case, now)
    assert "Ask somebody to join" not in text_of(Door(cast.owner, cast.case).get("team"))
    assert ask(cast).status_code == 403


# -- asking somebody


def test_an_invitation_is_written_down_and_mailed(cast: Cast, drain: Callable[..., int]) -> None:
    response = ask(cast)
    invitation = Invitation.objects.get()
    assert response.status_code == 302
    assert response["Location"] == f"/cases/{cast.case.public_id}/team/"
    assert (invitation.email, invitation.role) == ("new.vet@example.test", "vet")
    assert last_line(cast.case, "team.invited").actor == cast.owner
    drain()
    assert ["new.vet@example.test"] in [letter.to for letter in mail.outbox]


def test_a_stand_in_farrier_can_be_asked(cast: Cast) -> None:
    ask(cast, role="farrier", stand_in="on")
    assert Invitation.objects.get().stand_in


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"email": ""}, "Please write the address."),
        ({"email": "nobody"}, "not an email address"),
        ({"email": "new.vet@exam\x00ple.test"}, "not an email address"),
        ({"email": "new.vet@exam\u202eple.test"}, "not an email address"),
        ({"email": "x" * 1_000_000 + "@example.test"}, "not an email address"),
        ({"role": ""}, "Please choose a role."),
        ({"role": "groom"}, "Please choose one of these roles."),
        ({"role": "vet", "stand_in": "on"}, "Only a farrier can be a stand-in."),
        ({"email": "VERA.VET@example.test"}, "is on the team already."),
    ],
)
def test_an_invitation_that_cannot_be_says_why(
    cast: Cast, fields: dict[str, str], says: str
) -> None:
    response = ask(cast, **fields)
    page = text_of(response)
    assert response.status_code == 422
    assert says in page
    assert not Invitation.objects.exists()
    if "email" not in fields:
        assert 'value="new.vet@example.test"' in page


def test_the_form_says_what_each_role_is_there_for(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("invite"))
    assert "alone sets treatment targets" in page
    assert "Agrees to nothing." in page.replace("\n", " ")


def test_more_invitations_than_anybody_needs_are_stopped_for_a_while(
    cast: Cast, settings: Any
) -> None:
    settings.LIMIT_INVITATIONS = 3
    for number in range(3):
        assert ask(cast, email=f"person{number}@example.test").status_code == 302
    response = ask(cast, email="one.more@example.test")
    assert response.status_code == 429
    assert int(response["Retry-After"]) > 0
    assert 'value="one.more@example.test"' in text_of(response)
    assert not Invitation.objects.filter(email="one.more@example.test").exists()


def test_an_open_invitation_is_withdrawn(cast: Cast) -> None:
    ask(cast)
    invitation = Invitation.objects.get()
    response = Door(cast.owner, cast.case).post("invitation_revoke", invitation.public_id)
    assert response.status_code == 302
    invitation.refresh_from_db()
    assert invitation.revoked_at is not None
    assert last_line(cast.case, "team.invite_revoked").actor == cast.owner


def test_an_invitation_of_another_case_is_not_there_to_withdraw(cast: Cast, now: datetime) -> None:
    other = invitation_create(
        access=cast.access(cast.other_owner, cast.other_case),
        email="x@example.test",
        role="vet",
        now=now,
    )
    response = Door(cast.owner, cast.case).post("invitation_revoke", other.public_id)
    assert response.status_code == 404
    other.refresh_from_db()
    assert other.revoked_at is None


# -- removing and leaving


def test_the_owner_removes_somebody_after_being_asked_once_more(cast: Cast) -> None:
    member = membership(cast, "farrier")
    door = Door(cast.owner, cast.case)
    assert "Remove Finn Farrier from the team?" in text_of(
        door.get("member_remove", member.public_id)
    )
    assert membership(cast, "farrier")  # looking removes nobody
    response = door.post("member_remove", member.public_id)
    assert response["Location"] == f"/cases/{cast.case.public_id}/team/"
    member.refresh_from_db()
    assert (member.left_at is not None, member.removed_by) == (True, cast.owner)
    assert last_line(cast.case, "team.removed").after == {"name": "Finn Farrier", "role": "farrier"}
    assert told(cast.case, "team.removed") >= {"Vera Vet", "Cara Carer"}


def test_whoever_was_removed_finds_nothing_from_the_next_page_on(cast: Cast) -> None:
    theirs = Door(cast.farrier, cast.case)
    assert theirs.get("team").status_code == 200
    Door(cast.owner, cast.case).post("member_remove", membership(cast, "farrier").public_id)
    assert theirs.get("team").status_code == 404


@pytest.mark.parametrize("who", ["vet", "farrier", "stand_in", "carer"])
def test_anybody_may_leave(cast: Cast, who: str) -> None:
    member = membership(cast, who)
    door = Door(cast.everyone[who], cast.case)
    page = text_of(door.get("member_remove", member.public_id))
    assert "Leave the team of Juniper?" in page
    response = door.post("member_remove", member.public_id)
    assert response["Location"] == "/horses/"
    member.refresh_from_db()
    assert member.left_at is not None
    assert last_line(cast.case, "team.left").actor == cast.everyone[who]


def test_the_last_owner_stays(cast: Cast) -> None:
    member = membership(cast, "owner")
    response = Door(cast.owner, cast.case).post("member_remove", member.public_id)
    assert response.status_code == 422
    assert "The last owner cannot leave." in text_of(response)
    assert membership(cast, "owner")


@pytest.mark.parametrize("who", ["vet", "farrier", "stand_in", "carer"])
def test_nobody_but_the_owner_removes_others_or_asks_others(cast: Cast, who: str) -> None:
    door = Door(cast.everyone[who], cast.case)
    member = membership(cast, "owner").public_id
    assert door.get("member_remove", member).status_code == 403
    assert door.post("member_remove", member).status_code == 403
    assert door.get("invite").status_code == 403
    assert ask(cast, who).status_code == 403
    assert membership(cast, "owner")


def test_a_member_of_another_case_is_not_there_to_remove(cast: Cast) -> None:
    other = Membership.objects.get(case=cast.other_case, person=cast.other_vet)
    door = Door(cast.owner, cast.case)
    assert door.get("member_remove", other.public_id).status_code == 404
    assert door.post("member_remove", other.public_id).status_code == 404


# -- all of them


@pytest.mark.parametrize("who", ["stranger", "removed", "invited", "other_owner", "staff"])
def test_strangers_find_nothing_there(cast: Cast, who: str) -> None:
    door = Door(cast.everyone[who], cast.case)
    member = membership(cast, "vet").public_id
    assert door.get("team").status_code == 404
    assert door.get("invite").status_code == 404
    assert door.post("invite", email="x@example.test", role="vet").status_code == 404
    assert door.post("member_remove", member).status_code == 404
    assert door.post("invitation_revoke", member).status_code == 404


def test_each_page_takes_only_what_it_is_for(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    member = membership(cast, "vet").public_id
    assert door.post("team").status_code == 405
    assert door.client.put(door.address("invite")).status_code == 405
    assert door.client.delete(door.address("member_remove", member)).status_code == 405
    assert door.get("invitation_revoke", member).status_code == 405

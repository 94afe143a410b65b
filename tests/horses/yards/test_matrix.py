"""Every address of a yard by everybody at it and beside it; and every page of its horses."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404
from django.test import Client
from django.urls import reverse

from horses.access import access_get
from horses.access_yard import YARD_POLICY
from horses.models import Case, Membership
from horses.services.team import member_remove
from horses.services.yard_links import yard_link_make, yard_token
from tests import build
from tests.access.table import (
    CASE_ROWS,
    FORBIDDEN,
    IN,
    NO_METHOD,
    NOT_FOUND,
    SIGN_IN,
    YARD_CASE_ROWS,
    YARD_LINKS,
    YARD_ROWS,
    outcome,
)
from tests.rights import RUNS_YARD, allowed
from tests.yards import YardCast

pytestmark = pytest.mark.django_db

# name -> the role at the yard; None: no place there.
AT_THE_YARD = {
    "manager": "manager",
    "farrier": "farrier",
    "vet": "vet",
    "groom": "carer",
    "livery": "owner",
    "waiting": None,
    "gone": None,
    "other_manager": None,
}
# name -> the role on the livery owner's horse
ON_LINNET = {
    "livery": "owner",
    "manager": "carer",
    "farrier": "farrier",
    "vet": "vet",
    "groom": "carer",
}
# Written once more, apart from the program: who at a yard may do what beside looking.
MANAGERS_ONLY = {
    "yard.edit",
    "yard.add_horses",
    "yard.invite",
    "yard.end_link",
    "yard.confirm",
    "yard.remove",
}


@pytest.fixture(autouse=True)
def _clock_stands(clock_stands: datetime) -> None:
    """The pages live in the moment in which the yard was set."""


@pytest.fixture
def knock(yard_cast: YardCast) -> Iterator[Any]:
    clients: dict[str, Client] = {}

    def ask(who: str, method: str, path: str) -> str:
        if who not in clients:
            clients[who] = Client(raise_request_exception=False)
            if who != "anonymous":
                clients[who].force_login(getattr(yard_cast, who))
        sid = transaction.savepoint()
        response = getattr(clients[who], method.lower())(path)
        transaction.savepoint_rollback(sid)
        return outcome(response)

    return ask  # type: ignore[return-value]  # a function, not what it yields


def _more(name: str, yard_cast: YardCast, now: datetime) -> dict[str, str]:
    if name in ("yard_link", "yard_link_end"):
        place = yard_cast.place(yard_cast.manager)
        return {"link_id": yard_link_make(access=place, role="carer", now=now).public_id}
    if name == "yard_confirm":
        return {"member_id": yard_cast.member(yard_cast.waiting).public_id}
    if name == "yard_member_end":
        return {"member_id": yard_cast.member(yard_cast.groom).public_id}
    return {}


def _may(action: str, role: str) -> bool:
    if action == "yard.bring":
        return role in ("manager", "owner")
    return role == "manager" or action not in MANAGERS_ONLY


def test_the_yards_rights_are_those_written_down_apart_from_them() -> None:
    roles = {role for role in AT_THE_YARD.values() if role} | {"stand_in"}
    for action, rule in YARD_POLICY.items():
        assert {str(r) for r in rule.roles} == {r for r in roles if _may(action, r)}, action
    assert {a for a, rule in YARD_POLICY.items() if rule.asks_again} == {
        "yard.invite",
        "yard.confirm",
        "yard.remove",
    }


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "DELETE"])
def test_each_page_of_a_yard_answers_each_person_as_its_rights_say(
    method: str, yard_cast: YardCast, knock: Any, now: datetime
) -> None:
    wrong = {}
    for name, (methods, see, do) in YARD_ROWS.items():
        more = _more(name, yard_cast, now)
        path = reverse(name, kwargs={"yard_id": yard_cast.yard.public_id, **more})
        for who in ("anonymous", *AT_THE_YARD):
            role = AT_THE_YARD.get(who)
            expected = IN
            if who == "anonymous":
                expected = SIGN_IN
            elif method not in methods.split():
                expected = NO_METHOD
            elif role is None:
                expected = NOT_FOUND
            elif not _may(do if method == "POST" else see, role):
                own = name == "yard_member_end" and who == "groom"  # who may leave
                expected = IN if own else FORBIDDEN
            if (got := knock(who, method, path)) != expected:
                wrong[name, who] = f"{got}, not {expected}"
    assert wrong == {}


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_each_page_of_a_livery_horse_answers_the_yards_people_by_their_role(
    method: str, yard_cast: YardCast, knock: Any
) -> None:
    """The pages that need no other id than the case's."""
    wrong = {}
    for name, row in CASE_ROWS.items():
        if method not in row.methods.split() or name in ("sheet_pdf", "sheet_issue", "blank_pdf"):
            continue
        try:
            path = reverse(name, args=[yard_cast.linnet.public_id])
        except Exception:  # noqa: BLE001  # another id is needed
            continue
        right = row.do if method == "POST" else row.see
        for who in AT_THE_YARD:
            role = ON_LINNET.get(who)
            runs = who == "manager" and right in RUNS_YARD
            allowed_here = role is not None and (allowed(right, role) or runs)
            expected = NOT_FOUND if role is None else IN if allowed_here else FORBIDDEN
            if (got := knock(who, method, path)) != expected:
                wrong[name, who] = f"{got}, not {expected}"
    assert wrong == {}


def test_letting_somebody_in_is_the_owners(yard_cast: YardCast, knock: Any, now: datetime) -> None:
    assert set(YARD_CASE_ROWS) == {"yard_let_in"}
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    groom = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.groom)
    member_remove(access=owner, membership_id=groom.public_id, now=now)
    place = yard_cast.member(yard_cast.groom)
    path = reverse("yard_let_in", args=[yard_cast.linnet.public_id, place.public_id])
    for who in AT_THE_YARD:
        role = ON_LINNET.get(who) if who != "groom" else None
        expected = NOT_FOUND if role is None else IN if role == "owner" else FORBIDDEN
        assert knock(who, "POST", path) == expected, who
        assert knock(who, "GET", path) == NO_METHOD, who


def test_a_yards_link_is_looked_at_by_whoever_holds_it(
    yard_cast: YardCast, knock: Any, now: datetime
) -> None:
    assert {"yard_invitation", "yard_invitation_code"} == YARD_LINKS
    place = yard_cast.place(yard_cast.manager)
    link = yard_link_make(access=place, role="vet", now=now)
    path = reverse("yard_invitation", args=[yard_token(link.public_id)])
    for who in ("anonymous", *AT_THE_YARD):
        assert knock(who, "GET", path) == IN, who
        assert knock(who, "DELETE", path) == NO_METHOD, who
        wrong = reverse("yard_invitation", args=["0" * 32])
        assert knock(who, "GET", wrong) == NOT_FOUND, who
        code = reverse("yard_invitation_code", args=[yard_token(link.public_id)])
        assert knock(who, "GET", code) == IN, who  # back to where the address is typed


def test_a_stranger_gets_the_same_for_a_yard_as_for_none(yard_cast: YardCast) -> None:
    client = Client()
    client.force_login(yard_cast.other_manager)
    there = client.get(reverse("yard", args=[yard_cast.yard.public_id]))
    nowhere = client.get(reverse("yard", args=["23456789abcdefgh"]))
    assert there.status_code == nowhere.status_code == 404
    assert there.content == nowhere.content


# -- canaries


def test_what_the_others_of_a_yard_write_is_on_no_page_of_a_livery_owners(
    yard_cast: YardCast, now: datetime
) -> None:
    for number, who in enumerate((yard_cast.manager, yard_cast.farrier, yard_cast.vet)):
        for case in (yard_cast.pebble, yard_cast.otter):
            build.note(yard_cast.access(who, case), now, f"CANARY{number} of {case.pk}")
    client = Client()
    client.force_login(yard_cast.livery)
    yard = [yard_cast.yard.public_id]
    pages = [reverse("horses"), reverse("yard", args=yard), reverse("notices"), reverse("round")]
    pages += [reverse("yard_bring", args=yard), reverse("board", args=[yard_cast.linnet.public_id])]
    pages += [reverse("history", args=[yard_cast.linnet.public_id])]
    pages += [reverse("team", args=[yard_cast.linnet.public_id])]
    for path in pages:
        words = client.get(path).content.decode()
        for canary in ("CANARY", "Pebble", "Otter", "Wim Waiting"):
            assert canary not in words, (path, canary)


def test_a_note_between_owner_and_vet_of_a_livery_horse_is_nobody_elses_of_the_yard(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    build.note(owner, now, "CANARY for the vet", audience=("owner", "vet"))
    for name in ("manager", "farrier", "groom"):
        client = Client()
        client.force_login(getattr(yard_cast, name))
        for page in ("board", "history", "case_export"):
            words = client.get(reverse(page, args=[yard_cast.linnet.public_id])).content.decode()
            assert "CANARY" not in words, (name, page)


def test_who_leaves_the_yard_sees_nothing_of_its_horses_on_the_next_click(
    yard_cast: YardCast, now: datetime
) -> None:
    cases: list[Case] = [yard_cast.pebble, yard_cast.otter, yard_cast.linnet]
    Membership.objects.filter(via=yard_cast.member(yard_cast.vet)).update(left_at=now)
    for case in cases:
        with pytest.raises((Http404, PermissionDenied)):
            access_get(yard_cast.vet, case.public_id)

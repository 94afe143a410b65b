"""A stranger learns nothing: an address that exists answers like one that does not."""

import pytest
from django.http import HttpResponse
from django.test import Client

from horses.models.base import new_public_id
from tests.access.people import People
from tests.access.table import CASE_ROWS, address
from tests.stage import Stage

pytestmark = pytest.mark.django_db


def _answer(client: Client, method: str, path: str) -> tuple[int, bytes, dict[str, str]]:
    """Status, bytes and headers, without the number that is another for every click."""
    response: HttpResponse = getattr(client, method.lower())(path)
    headers = dict(response.headers)
    number = headers.pop("X-Request-ID")
    return response.status_code, response.content.replace(number.encode(), b"-"), headers


@pytest.mark.parametrize("who", ["other_vet", "removed", "staff"])
def test_a_case_that_exists_answers_a_stranger_like_one_that_does_not(
    who: str, stage: Stage, people: People
) -> None:
    client = people.client(who)
    for name, row in CASE_ROWS.items():
        for method in row.methods.split():
            there = _answer(client, method, address(name, stage))
            nowhere = _answer(client, method, address(name, stage, case_id=new_public_id()))
            assert there == nowhere, (name, method)
            assert there[0] == 404


def test_a_thing_that_exists_answers_a_stranger_like_one_that_does_not(
    stage: Stage, people: People
) -> None:
    client = people.client("other_vet")
    for name, row in CASE_ROWS.items():
        ids = {key: new_public_id() for key in row.more(stage, "owner") if key.endswith("_id")}
        for method in row.methods.split():
            there = _answer(client, method, address(name, stage))
            assert there == _answer(client, method, address(name, stage, **ids)), name


def test_a_member_learns_nothing_of_the_things_of_another_case(
    stage: Stage, people: People
) -> None:
    """On both cases of the horse, the ids of one under the other."""
    client, routine = people.client("owner"), stage.cast.case.public_id
    for name in ("flag", "picture_file", "picture_blank", "plan_item", "plan_change", "alert"):
        ids = {key: new_public_id() for key in CASE_ROWS[name].more(stage, "owner")}
        there = _answer(client, "GET", address(name, stage, case_id=routine))
        nowhere = _answer(client, "GET", address(name, stage, case_id=routine, **ids))
        assert there == nowhere, name
        assert there[0] == 404


def test_an_unknown_invitation_answers_like_a_used_one(stage: Stage, people: People) -> None:
    from tests.access.table import invitation_address

    path = invitation_address(stage)
    assert people.client("invited").post(path).status_code == 302
    client = people.client("other_vet")
    assert _answer(client, "GET", path) == _answer(client, "GET", path[:-5] + "0000/")

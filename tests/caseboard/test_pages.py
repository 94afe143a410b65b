"""The pages that belong to no case, and the pages that say something went wrong."""

import re
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.test import Client, RequestFactory

from caseboard.policy_page import policy_sections
from caseboard.views import trouble
from horses.access import POLICY, Role
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def signed_in(person: Any) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(person)
    return client


# -- home


def test_a_visitor_reads_what_it_is_and_how_to_come_in() -> None:
    response = Client().get("/")
    page = response.content.decode()
    assert response.status_code == 200
    for address in ("/accounts/login/", "/accounts/signup/", "/urgent/", "/policy/"):
        assert f'href="{address}"' in page
    assert "Numbers do not see pain." in page


def test_whoever_is_signed_in_goes_to_their_horses(cast: Cast) -> None:
    response = signed_in(cast.owner).get("/")
    assert (response.status_code, response["Location"]) == (302, "/horses/")


# -- open pages


@pytest.mark.parametrize("address", ["/", "/urgent/", "/policy/", "/worker.js", "/livez"])
def test_open_pages_need_no_sign_in_and_are_only_looked_at(address: str) -> None:
    assert Client().get(address).status_code == 200
    assert Client().post(address).status_code == 405


def test_the_urgent_page_says_to_ring() -> None:
    assert "call your vet now" in Client().get("/urgent/").content.decode()


def test_the_process_says_that_it_lives() -> None:
    response = Client().get("/livez")
    assert response.content == b"ok"
    assert response["Content-Type"] == "text/plain; charset=utf-8"


def test_the_worker_may_look_after_the_whole_site_and_is_not_kept() -> None:
    response = Client().get("/worker.js")
    assert response["Content-Type"] == "text/javascript; charset=utf-8"
    assert response["Service-Worker-Allowed"] == "/"
    assert response["Cache-Control"] == "no-cache"
    assert b"/urgent/" in response.content


# -- who may do what


def test_the_policy_page_holds_every_rule_once() -> None:
    rows = [row for section in policy_sections() for row in section.rows]
    assert sorted(row.words for row in rows) == sorted(rule.words for rule in POLICY.values())


def test_the_policy_page_says_what_the_table_says() -> None:
    rows = {row.words: row for section in policy_sections() for row in section.rows}
    for rule in POLICY.values():
        row = rows[rule.words]
        assert {role for role, allowed in row.marks if allowed} == set(rule.roles)
        assert row.closed_too == (not rule.open_case_only)


def test_every_role_has_its_column() -> None:
    page = Client().get("/policy/").content.decode()
    for role in Role:
        assert f'<th scope="col">{role.label.capitalize()}</th>' in page
    assert "the last owner stays" in page


# -- trouble


def test_an_unknown_and_a_foreign_case_are_the_same_page(cast: Cast) -> None:
    client = signed_in(cast.stranger)
    unknown = client.get("/cases/zzzzzzzzzzzzzzzz/team/")
    foreign = client.get(f"/cases/{cast.case.public_id}/team/")
    assert unknown.status_code == foreign.status_code == 404
    assert unknown.content == foreign.content
    assert "csrf" not in foreign.content.decode().lower()
    assert {k: v for k, v in unknown.headers.items() if k != "X-Request-ID"} == {
        k: v for k, v in foreign.headers.items() if k != "X-Request-ID"
    }


def test_a_refusal_says_why(cast: Cast) -> None:
    response = signed_in(cast.carer).get(f"/cases/{cast.case.public_id}/team/invite/")
    assert response.status_code == 403
    assert "“Invite someone to the team” is for the owner of this case." in (
        response.content.decode()
    )


@pytest.fixture
def request_of_a_visitor(rf: RequestFactory) -> Any:
    from django.contrib.auth.models import AnonymousUser

    request = rf.get("/somewhere/")
    request.user = AnonymousUser()
    return request


def test_a_reason_is_shown_as_text_and_not_as_markup(request_of_a_visitor: Any) -> None:
    response = trouble.forbidden(request_of_a_visitor, PermissionDenied("<script>x</script>"))
    assert b"<script>x" not in response.content
    assert b"&lt;script&gt;" in response.content


def test_what_cannot_be_read_is_answered_as_such(request_of_a_visitor: Any) -> None:
    response = trouble.bad_request(request_of_a_visitor, SuspiciousOperation("bad host"))
    assert response.status_code == 400
    assert b"could not be read" in response.content
    assert b"bad host" not in response.content


def test_a_page_that_breaks_says_so_without_the_reason(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError("private detail")

    monkeypatch.setattr("horses.views.horses.herd_for", broken)
    response = signed_in(cast.owner).get("/horses/")
    page = response.content.decode()
    assert response.status_code == 500
    assert "Something broke on our side" in page
    assert "private detail" not in page
    assert "Ola Owner" not in page


def test_the_handlers_are_those_of_the_site() -> None:
    from django.urls import get_resolver

    for status, view in (
        (400, trouble.bad_request),
        (403, trouble.forbidden),
        (404, trouble.not_found),
        (500, trouble.server_error),
    ):
        assert get_resolver().resolve_error_handler(status) is view


def test_the_policy_page_says_the_rules_in_numbered_sentences() -> None:
    page = Client().get("/policy/").content.decode()
    numbers = re.findall(r"<b>(\d)\.(\d)</b>", page)
    by_section: dict[str, list[int]] = {section: [] for section, _ in numbers}
    for section, number in numbers:
        by_section[section].append(int(number))
    assert list(by_section) == list("1234567")
    assert all(found == list(range(1, len(found) + 1)) for found in by_section.values())
    for words in ("set by the vet, to be agreed", "Silence is never agreement", "seven days"):
        assert words in page

"""The cookie of a browser in which somebody has signed in."""

from http.cookies import SimpleCookie
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client

from caseboard.lib.known_browser import MOST_PEOPLE, known_browser, known_read, known_remember
from tests.cast import Cast


def visit(address: str, cookies: dict[str, str]) -> dict[str, str]:
    """The browser's cookies after a page was shown to whoever is signed in by this address."""
    request, response = HttpRequest(), HttpResponse()
    request.COOKIES = cookies
    known_remember(request, response, address)
    return {**cookies, **{name: morsel.value for name, morsel in response.cookies.items()}}


def read(cookies: dict[str, str]) -> Any:
    request = HttpRequest()
    request.COOKIES = cookies
    return known_browser(request)


def test_it_knows_whoever_signed_in_however_they_spell_it() -> None:
    known = read(visit("vera@example.test", {}))
    assert known.knows("VERA@example.test. ")
    assert not known.knows("fred@example.test")


def test_it_stays_one_browser_for_several_people_and_forgets_the_first_of_many() -> None:
    cookies = visit("p0@example.test", {})
    device = read(cookies).device
    for n in range(1, MOST_PEOPLE + 1):
        cookies = visit(f"p{n}@example.test", cookies)
    known = read(cookies)
    assert known.device == device
    assert [known.knows(f"p{n}@example.test") for n in (0, 1, MOST_PEOPLE)] == [False, True, True]


def test_a_page_sets_it_once() -> None:
    cookies = visit("vera@example.test", {})
    assert visit("vera@example.test", cookies) == cookies


def test_one_that_was_changed_or_is_too_old_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    [value] = visit("vera@example.test", {}).values()
    assert known_read(value) is not None
    assert known_read("x" + value) is None
    assert known_read(value, max_age_s=-1) is None


def test_no_address_can_be_read_in_it() -> None:
    assert "vera" not in str(visit("vera@example.test", {}))


def test_it_is_for_the_server_alone_and_outlives_signing_out(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.vet)
    morsel: SimpleCookie = client.get("/me/").cookies
    assert morsel["known"]["httponly"]
    assert morsel["known"]["samesite"] == "Lax"
    client.post("/accounts/logout/")
    assert known_read(client.cookies["known"].value) is not None

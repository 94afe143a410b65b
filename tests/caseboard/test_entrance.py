"""Limits on asking for sign-in codes: by the address typed, and by the machine that asks."""

from datetime import datetime
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from caseboard.views import entrance
from tests.cast import Cast

pytestmark = pytest.mark.usefixtures("clock_stands")


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None, settings: Any) -> None:
    settings.ACCOUNT_RATE_LIMITS = False  # the library's own, so that ours are seen
    cache.clear()


def ask(email: str, address: str = "/accounts/login/code/", machine: str = "192.0.2.1") -> Any:
    return Client().post(address, {"email": email, "name": "Nia"}, REMOTE_ADDR=machine)


def test_one_address_gets_only_so_many_codes(cast: Cast) -> None:
    answers = [
        ask(cast.vet.email if n % 2 else "VERA.vet@Example.test ", machine=f"192.0.2.{n}")
        for n in range(entrance.A_WINDOW_FOR_AN_ADDRESS + 1)
    ]
    assert [a.status_code for a in answers[:-1]] == [302] * entrance.A_WINDOW_FOR_AN_ADDRESS
    assert answers[-1].status_code == 429
    assert 0 < int(answers[-1]["Retry-After"]) <= entrance.WINDOW_S


def test_an_unknown_address_is_stopped_as_soon_as_a_known_one(cast: Cast) -> None:
    def until_stopped(email: str) -> int:
        count = 0
        while ask(email, machine=f"192.0.2.{count}").status_code != 429:
            count += 1
        return count

    assert until_stopped(cast.vet.email) == until_stopped("nobody@example.test")


def test_one_machine_asks_only_so_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(entrance, "A_WINDOW_FOR_A_MACHINE", 3)
    assert [ask(f"p{n}@example.test").status_code for n in range(4)] == [302, 302, 302, 429]
    assert ask("p9@example.test", machine="192.0.2.9").status_code == 302


def test_behind_our_own_proxy_each_machine_counts_for_itself(
    monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    monkeypatch.setattr(entrance, "A_WINDOW_FOR_A_MACHINE", 1)
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1

    def through_proxy(email: str, told: str) -> int:
        return Client().post(
            "/accounts/login/code/", {"email": email}, HTTP_X_FORWARDED_FOR=told,
            REMOTE_ADDR="192.0.2.1",
        ).status_code  # fmt: skip

    assert through_proxy("a@example.test", "198.51.100.1") == 302
    assert through_proxy("b@example.test", "198.51.100.2") == 302
    assert through_proxy("c@example.test", "203.0.113.9, 198.51.100.2") == 429  # made up in front


def test_making_accounts_counts_as_well(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(entrance, "A_WINDOW_FOR_A_MACHINE", 1)
    assert ask("a@example.test", "/accounts/signup/").status_code == 302
    assert ask("b@example.test", "/accounts/signup/").status_code == 429


def test_looking_at_the_page_counts_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(entrance, "A_WINDOW_FOR_A_MACHINE", 1)
    for _ in range(3):
        assert Client().get("/accounts/login/code/").status_code == 200


def test_the_short_address_leads_to_the_page_and_keeps_where_to_go_next() -> None:
    response = Client().get("/accounts/login/?next=/me/")
    assert response["Location"] == "/accounts/login/code/?next=/me/"


def test_after_a_while_codes_are_sent_again(now: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    from datetime import timedelta

    monkeypatch.setattr(entrance, "A_WINDOW_FOR_AN_ADDRESS", 1)
    ask("a@example.test")
    assert ask("a@example.test").status_code == 429
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(seconds=601))
    assert ask("a@example.test").status_code == 302

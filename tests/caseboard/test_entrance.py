"""Limits on asking for sign-in codes: by the address typed, and by the machine that asks."""

import re
from datetime import datetime
from typing import Any

import pytest
from django.core import mail
from django.test import Client

from caseboard.lib import clock
from caseboard.views import entrance
from horses.accounts.services.code_mails import code_mail_send
from horses.jobs.outbox import NOTICES, URGENT
from horses.models import CodeMail, Job
from tests.cast import Cast

ASK, CONFIRM = "/accounts/login/code/", "/accounts/login/code/confirm/"
pytestmark = pytest.mark.usefixtures("clock_stands")


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None) -> None:
    mail.outbox.clear()


def ask(email: str, address: str = "/accounts/login/code/", machine: str = "192.0.2.1") -> Any:
    return Client().post(address, {"email": email, "name": "Nia"}, REMOTE_ADDR=machine)


def test_one_machine_gets_only_so_many_codes_for_one_address(cast: Cast) -> None:
    spelled = (cast.vet.email, "VERA.vet@Example.test ", "vera.vet@example.test.")
    most = entrance.A_WINDOW_FOR_AN_ADDRESS
    answers = [ask(spelled[n % 3]) for n in range(most + 1)]
    assert [a.status_code for a in answers[:-1]] == [302] * most
    assert answers[-1].status_code == 429
    assert 0 < int(answers[-1]["Retry-After"]) <= entrance.WINDOW_S


def flood(email: str) -> None:
    """Fifty machines ask for codes with somebody else's address until none is let through."""
    for n in range(50):
        for _ in range(entrance.A_WINDOW_FOR_AN_ADDRESS + 1):
            ask(email, machine=f"198.51.100.{n}")


def gets_in(client: Client, email: str, machine: str) -> bool:
    """Asks for a code, waits for the mail that the page speaks of, and types it."""
    asked = client.post(ASK, {"email": email}, REMOTE_ADDR=machine)
    if asked.status_code != 302:
        return False
    mail_id = client.session["code_mail"]
    code_mail_send(mail_id, clock.now())
    found = re.search(r"^([A-Z0-9-]{6,9})$", str(mail.outbox[-1].body), re.MULTILINE)
    assert found
    return client.post(CONFIRM, {"code": found[1]}, REMOTE_ADDR=machine).status_code == 302


def test_fifty_machines_keep_nobody_out(cast: Cast) -> None:
    """Neither in the browser that they have used before, nor in a new one of their own."""
    usual = Client()
    assert gets_in(usual, cast.vet.email, "192.0.2.1")
    usual.post("/accounts/logout/")
    flood(cast.vet.email)
    assert gets_in(usual, cast.vet.email, "192.0.2.1")
    assert gets_in(Client(), cast.vet.email, "192.0.2.77")


def test_whoever_shares_the_machine_of_a_flood_is_let_in_by_the_browser_they_know(
    cast: Cast,
) -> None:
    usual = Client()
    assert gets_in(usual, cast.vet.email, "192.0.2.1")
    usual.post("/accounts/logout/")
    for n in range(entrance.A_WINDOW_FOR_A_MACHINE + 1):
        ask(f"p{n}@example.test", machine="192.0.2.1")
    assert ask(cast.vet.email, machine="192.0.2.1").status_code == 429
    assert gets_in(usual, cast.vet.email, "192.0.2.1")


def test_a_known_browser_has_no_room_of_its_own_for_somebody_elses_address(cast: Cast) -> None:
    usual = Client()
    assert gets_in(usual, cast.farrier.email, "192.0.2.1")
    usual.post("/accounts/logout/")
    most = entrance.A_WINDOW_FOR_AN_ADDRESS
    answers = [usual.post(ASK, {"email": cast.vet.email}) for _ in range(most + 1)]
    assert [a.status_code for a in answers] == [302] * most + [429]


def test_a_flooded_address_gets_few_mails_from_each_stranger(cast: Cast) -> None:
    flood(cast.vet.email)
    calm, few = entrance.CALM_FOR_AN_ADDRESS, entrance.A_WINDOW_WHILE_FLOODED
    assert CodeMail.objects.count() <= calm + 50 * few


def test_a_cookie_that_nobody_signed_makes_no_browser_known(cast: Cast) -> None:
    client = Client()
    client.cookies["known"] = "0123456789abcdef.0123456789abcdef0123"
    most = entrance.A_WINDOW_FOR_AN_ADDRESS
    assert [client.post(ASK, {"email": cast.vet.email}).status_code for _ in range(most + 1)][
        -1
    ] == 429


def test_a_flood_of_codes_stands_behind_the_notices(cast: Cast, monkeypatch: Any) -> None:
    monkeypatch.setattr(entrance, "AT_ONCE_A_MINUTE", 3)
    usual = Client()
    usual.force_login(cast.vet)
    usual.get("/me/")
    usual.post("/accounts/logout/")
    for n in range(5):
        ask(f"p{n}@example.test", machine=f"192.0.2.{n}")
    usual.post(ASK, {"email": cast.vet.email})
    ranks = Job.objects.filter(kind="code.mail").order_by("pk").values_list("rank", flat=True)
    assert list(ranks) == [URGENT] * 3 + [NOTICES] * 2 + [URGENT]


def test_an_unknown_address_is_stopped_as_soon_as_a_known_one(cast: Cast) -> None:
    def until_stopped(email: str) -> int:
        count = 0
        while ask(email).status_code != 429:
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
        return (
            Client()
            .post(
                "/accounts/login/code/",
                {"email": email},
                HTTP_X_FORWARDED_FOR=told,
                REMOTE_ADDR="192.0.2.1",
            )
            .status_code
        )

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

"""Sign-in by a code: five minutes, three tries, once, in the browser that asked; and nobody learns
from it whether an address has an account."""

import re
import subprocess
import sys
import time
from datetime import datetime
from typing import Any

import pytest
from django.core import mail
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from horses.models import CodeMail
from tests.cast import Cast
from tests.codes import code_mailed, codes_sent

ASK, CONFIRM = reverse("account_request_login_code"), reverse("account_confirm_login_code")
NOBODY = "nil.nemo@example.test"  # as long as the vet's
pytestmark = pytest.mark.usefixtures("clock_stands")


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None, settings: Any) -> None:
    settings.ACCOUNT_RATE_LIMITS = False  # the library's own, so that ours are seen
    cache.clear()


def ask(client: Client, email: str) -> Any:
    return client.post(ASK, {"email": email})


def sent() -> list[Any]:
    """The mails of the sign-in, the newest last, once a worker has done them."""
    codes_sent()
    return mail.outbox


def code() -> str:
    found = code_mailed()
    assert found, mail.outbox[-1].body
    return found


def is_in(client: Client) -> bool:
    return "_auth_user_id" in client.session


def plain(response: Any) -> str:
    """The page without what differs from one request to the next."""
    text: str = response.content.decode()
    for email in ("vera.vet@example.test", NOBODY):
        text = text.replace(email, "-")
    text = re.sub(r"<b>\([A-Z0-9]{3}\)</b>", "<b>(mark)</b>", text)
    return re.sub(r'(csrfmiddlewaretoken" value=|X-CSRFToken": )"\w+"', "", text)


def test_the_right_code_signs_in_and_works_once(cast: Cast) -> None:
    client = Client()
    ask(client, cast.vet.email)
    right = code()
    assert client.post(CONFIRM, {"code": right}).status_code == 302
    assert is_in(client)
    client.post(reverse("account_logout"))
    client.post(CONFIRM, {"code": right})
    assert not is_in(client)


def test_three_wrong_tries_use_the_code_up(cast: Cast) -> None:
    client = Client()
    ask(client, cast.vet.email)
    right = code()
    for _ in range(2):
        assert "That is not the code." in client.post(CONFIRM, {"code": "AAAA"}).content.decode()
    assert client.post(CONFIRM, {"code": "AAAA"})["Location"] == ASK
    client.post(CONFIRM, {"code": right})
    assert not is_in(client)


def test_tries_at_the_same_moment_are_counted_one_by_one(cast: Cast) -> None:
    """As if each had been sent before the one before it was counted in the session."""
    client = Client()
    ask(client, cast.vet.email)
    right, before = code(), dict(client.session)
    for _ in range(3):
        client.post(CONFIRM, {"code": "AAAA"})
        session = client.session
        session.clear()
        session.update(before)
        session.save()
    client.post(CONFIRM, {"code": right})
    assert not is_in(client)


def test_a_code_is_too_old_after_five_minutes(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    client = Client()
    ask(client, cast.vet.email)
    then = time.time()
    monkeypatch.setattr(time, "time", lambda: then + 301)
    client.post(CONFIRM, {"code": code()})
    assert not is_in(client)


def test_a_code_serves_only_the_browser_that_asked(cast: Cast) -> None:
    asked, other = Client(), Client()
    ask(asked, cast.vet.email)
    right = code()
    other.post(CONFIRM, {"code": right})
    ask(other, cast.farrier.email)
    other.post(CONFIRM, {"code": right})
    assert not is_in(other)
    asked.post(CONFIRM, {"code": right})
    assert is_in(asked)


def test_a_known_and_an_unknown_address_get_the_same_answers(cast: Cast) -> None:
    known, unknown = Client(), Client()
    assert len(cast.vet.email) == len(NOBODY)
    steps = [
        lambda c, e: ask(c, e),
        lambda c, e: c.get(CONFIRM),
        lambda c, e: c.post(CONFIRM, {"code": "AAAA-AAAA"}),
        lambda c, e: c.post(CONFIRM, {"action": "resend"}),
        lambda c, e: c.post(CONFIRM, {"code": "AAAA-AAAA"}),
        lambda c, e: c.post(CONFIRM, {"code": "AAAA-AAAA"}),
        lambda c, e: c.post(CONFIRM, {"code": "AAAA-AAAA"}),
        lambda c, e: c.get(ASK),
    ]
    for number, step in enumerate(steps):
        here, there = step(known, cast.vet.email), step(unknown, NOBODY)
        assert here.status_code == there.status_code, number
        assert here.headers.get("Location") == there.headers.get("Location"), number
        assert plain(here) == plain(there), number
        assert len(here.content) == len(there.content), number


def test_a_known_and_an_unknown_address_cost_the_same_work(cast: Cast) -> None:
    """The same number of queries and one mail each: no clock can tell them apart by more."""

    def work(email: str) -> tuple[list[str], int]:
        client = Client()
        client.get(ASK)
        before = CodeMail.objects.count()
        with CaptureQueriesContext(
            connection,
        ) as found:
            ask(client, email)
        kinds = [q["sql"].split()[0] for q in found.captured_queries]
        kinds = ["SELECT" if kind == "DECLARE" else kind for kind in kinds]  # a cursor's select
        return kinds, CodeMail.objects.count() - before

    work("warming.up@example.test")
    known, unknown = work(cast.vet.email), work(NOBODY)
    assert known == unknown
    assert known[1] == 1


def test_signing_up_with_an_address_that_has_an_account_answers_like_a_new_one(cast: Cast) -> None:
    answers = [
        Client().post(reverse("account_signup"), {"email": email, "name": "Nia"})
        for email in (cast.vet.email, NOBODY)
    ]
    assert [a.status_code for a in answers] == [302, 302]
    assert answers[0]["Location"] == answers[1]["Location"]
    assert len(sent()) == 2


@pytest.mark.parametrize(
    ("page", "typed", "said"),
    [
        (ASK, {"email": ""}, "Please write your email address."),
        (ASK, {"email": "no address"}, "not an email address we can write to"),
        (
            reverse("account_signup"),
            {"email": "x", "name": "N"},
            "not an email address we can write",
        ),
    ],
)
def test_what_cannot_be_is_said_in_our_words(page: str, typed: dict[str, str], said: str) -> None:
    assert said in Client().post(page, typed).content.decode()


def test_an_empty_code_is_asked_for_in_our_words(cast: Cast) -> None:
    client = Client()
    ask(client, cast.vet.email)
    assert (
        "Please type the code from the mail." in client.post(CONFIRM, {"code": ""}).content.decode()
    )


def test_no_answer_of_the_library_reaches_people_in_its_own_words() -> None:
    from horses.accounts.adapter import SAID, AccountAdapter

    assert SAID.items() <= AccountAdapter.error_messages.items()
    assert "Incorrect" not in str([str(words) for words in SAID.values()])


@pytest.mark.django_db(transaction=True)
def test_two_processes_share_the_count_of_tries(now: datetime, tmp_path: Any) -> None:
    """Another process, on the same database, takes two of the three."""
    from django.conf import settings

    from caseboard.lib.limits import one_of

    if settings.REDIS_URL:
        pytest.skip("the cache is elsewhere")
    database = settings.DATABASES["default"]
    script = (
        "import django; from django.conf import settings; import caseboard.settings as s;"
        f"s.DATABASES['default']['NAME'] = {str(connection.settings_dict['NAME'])!r};"
        "django.setup(); from caseboard.lib.limits import one_of;"
        "print([one_of('tries', 'one code', limit=3, keep_s=60) for _ in range(2)])"
    )
    assert database
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.stdout.strip() == "[True, True]", done.stderr
    assert [one_of("tries", "one code", limit=3, keep_s=60) for _ in range(2)] == [True, False]

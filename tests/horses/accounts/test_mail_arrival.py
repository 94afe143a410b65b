"""Mail well, asking for patience, refused, silent or away: the sign-in goes on, and says how it is."""

import re
import smtplib
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.db import OperationalError
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from redis.exceptions import ConnectionError as RedisAway
from redis.exceptions import ResponseError

from horses.accounts.mail_arrival import arrival_words
from horses.accounts.services import code_mails
from horses.accounts.services.code_mails import (
    SENT_WITHIN,
    code_mail_send,
    code_mail_want,
    code_mails_sweep,
)
from horses.jobs.outbox import claim, job_run
from horses.models import CodeMail, Job, Person
from tests.cast import Cast

ASK, CONFIRM = reverse("account_request_login_code"), reverse("account_confirm_login_code")
NOBODY = "nil.nemo@example.test"  # as long as the vet's
pytestmark = pytest.mark.usefixtures("clock_stands")
FAILURES: dict[str, tuple[Exception, str]] = {
    "away": (ConnectionRefusedError(), "did not answer"),
    "silent": (TimeoutError(), "did not answer"),
    "hung up": (smtplib.SMTPServerDisconnected("x"), "did not answer"),
    "patience": (
        smtplib.SMTPRecipientsRefused({"a": (451, b"later")}),
        "asked for patience (it answered 451)",
    ),
    "no such address": (
        smtplib.SMTPRecipientsRefused({"a": (550, b"who?")}),
        "does not take mail for it (it answered 550)",
    ),
    "our password": (
        smtplib.SMTPAuthenticationError(535, b"no"),
        "refuses what this board sends (it answered 535)",
    ),
    "our sender": (smtplib.SMTPSenderRefused(550, b"no", "a"), "refuses what this board sends"),
    "this mail": (smtplib.SMTPDataError(554, b"spam"), "refused this mail (it answered 554)"),
}


@pytest.fixture
def fails(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    error, said = FAILURES[request.param]

    def send(self: EmailMessage, *_: Any, **__: Any) -> int:
        raise error

    monkeypatch.setattr(EmailMessage, "send", send)
    return said


def jobs_run_all(now: datetime) -> None:
    while row := claim(now=now, most_rank=0):
        job_run(row, now=now)


def page(client: Client, email: str) -> str:
    """What differs from one browser to the next taken out."""
    text = client.get(CONFIRM).content.decode().replace(email, "-")
    text = re.sub(r"<b>\([A-Z0-9]{3}\)</b>", "", text)
    return re.sub(r'(csrfmiddlewaretoken" value=|X-CSRFToken": )"\w+"', "", text)


@pytest.mark.parametrize("fails", FAILURES, indirect=True)
def test_a_code_can_be_asked_for_and_the_page_says_what_the_mail_server_said(
    fails: str, cast: Cast, now: datetime
) -> None:
    """And says the same of an address that nobody has an account with."""
    pages = []
    for email in (cast.vet.email, NOBODY):
        client = Client()
        assert client.post(ASK, {"email": email}).status_code == 302
        jobs_run_all(now)
        pages.append(page(client, email))
    assert fails in pages[0]
    assert pages[0] == pages[1]


def test_the_page_waits_for_no_mail_server(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    def send(self: EmailMessage, *_: Any, **__: Any) -> int:
        raise AssertionError("the page asked the mail server")

    monkeypatch.setattr(EmailMessage, "send", send)
    client = Client()
    client.post(ASK, {"email": cast.vet.email})
    assert "It is just being sent" in client.get(CONFIRM).content.decode()


def test_a_mail_that_went_says_when_the_server_took_it(cast: Cast, now: datetime) -> None:
    client = Client()
    client.post(ASK, {"email": cast.vet.email})
    jobs_run_all(now)
    at = timezone.localtime(CodeMail.objects.get().sent_at)
    assert f"The mail server took it at {at:%H:%M:%S}" in client.get(CONFIRM).content.decode()


def test_no_other_browser_is_told_of_it(cast: Cast, now: datetime) -> None:
    Client().post(ASK, {"email": cast.vet.email})
    jobs_run_all(now)
    answer = Client().get(CONFIRM)
    assert answer.status_code == 302
    assert answer["Location"] == ASK


def test_the_mail_says_by_what_it_is_known_and_so_does_the_page(cast: Cast, now: datetime) -> None:
    client = Client()
    client.post(ASK, {"email": cast.vet.email})
    jobs_run_all(now)
    found = re.search(r"ends in <b>(\([A-Z0-9]{3}\))</b>", client.get(CONFIRM).content.decode())
    assert found
    assert mail.outbox[-1].subject.endswith(found[1])


def test_a_mail_the_worker_cannot_get_to_is_said_to_be_slow(now: datetime) -> None:
    waiting = CodeMail(to="a@example.test", asked_at=now)
    assert "slow or stands still" in arrival_words(waiting, now=now + timedelta(seconds=61))


def test_another_code_takes_the_place_of_the_one_before(cast: Cast) -> None:
    client = Client()
    for _ in range(3):
        client.post(ASK, {"email": cast.vet.email})
    assert CodeMail.objects.count() == Job.objects.filter(kind="code.mail").count() == 1


def test_the_words_of_a_mail_go_when_it_has_gone(cast: Cast, now: datetime) -> None:
    Client().post(ASK, {"email": cast.vet.email})
    assert CodeMail.objects.get().body
    jobs_run_all(now)
    assert CodeMail.objects.get().body == ""


def test_a_code_that_is_too_old_is_not_sent_any_more(db: None, now: datetime) -> None:
    asked = code_mail_want(to="a@example.test", subject="s", body="b", now=now)
    code_mail_send(asked.public_id, now + SENT_WITHIN + timedelta(seconds=1))
    assert mail.outbox == []


def test_old_mails_and_their_work_are_swept(db: None, now: datetime) -> None:
    code_mail_want(to="a@example.test", subject="s", body="b", now=now)
    code_mails_sweep(now=now + timedelta(hours=1))
    assert not CodeMail.objects.exists()
    assert not Job.objects.filter(kind="code.mail").exists()


def test_strangers_cannot_have_more_than_so_many_waiting(
    db: None, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(code_mails, "MOST_KEPT", 5)
    for n in range(12):
        at = now + timedelta(seconds=n)
        code_mail_want(to=f"p{n}@example.test", subject="s", body="b", now=at)
    assert CodeMail.objects.count() == Job.objects.filter(kind="code.mail").count() == 5
    assert CodeMail.objects.filter(to="p11@example.test").exists()


@pytest.mark.parametrize("error", [RedisAway(), ResponseError("OOM command not allowed")])
def test_a_code_is_asked_for_and_typed_while_redis_is_away_or_full(
    error: Exception, cast: Cast, now: datetime, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails_(*_: Any, **__: Any) -> None:
        raise error

    settings.CACHES = {
        "default": {
            "BACKEND": "caseboard.lib.forgiving_cache.ForgivingRedisCache",
            "LOCATION": "redis://127.0.0.1:1/0",
        }
    }
    monkeypatch.setattr("django.core.cache.backends.redis.RedisCacheClient.get_client", fails_)
    client = Client()
    assert client.post(ASK, {"email": cast.vet.email}).status_code == 302
    jobs_run_all(now)
    found = re.search(r"^([A-Z0-9-]{6,9})$", str(mail.outbox[-1].body), re.MULTILINE)
    assert found
    assert client.post(CONFIRM, {"code": "AAAA-AAAA"}).status_code == 200
    assert client.post(CONFIRM, {"code": found[1]}).status_code == 302
    assert "_auth_user_id" in client.session


def test_a_code_is_not_tried_while_tries_cannot_be_counted(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: Any, **__: Any) -> bool:
        raise OperationalError

    client = Client()
    client.post(ASK, {"email": cast.vet.email})
    monkeypatch.setattr("caseboard.views.entrance.code_mail_tried", away)
    answer = client.post(CONFIRM, {"code": "AAAA-AAAA"})
    assert answer.status_code == 503
    assert 'value="AAAA-AAAA"' in answer.content.decode()


def test_asking_for_another_code_gives_no_more_tries_than_it_should(cast: Cast) -> None:
    """The word "resend" beside a code is no way round the count."""
    client = Client()
    client.post(ASK, {"email": cast.vet.email})
    answers = [client.post(CONFIRM, {"action": "resend", "code": "AAAA-AAAA"}) for _ in range(8)]
    assert answers[-1]["Location"] == ASK


def test_the_code_of_a_new_account_is_tried_three_times_however_it_is_sent(db: None) -> None:
    client = Client()
    client.post(reverse("account_signup"), {"email": "new@example.test", "name": "Nia"})
    path = reverse("account_email_verification_sent")
    before = dict(client.session)
    for _ in range(4):
        answer = client.post(path, {"code": "AAAA-AAAA"})
        session = client.session
        session.clear()
        session.update(before)
        session.save()
    assert answer["Location"] == ASK
    assert Person.objects.get(email="new@example.test").last_login is None

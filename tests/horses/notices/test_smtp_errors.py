"""What becomes of mail that does not go out: tried again, or given up and shown to the others."""

import smtplib
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.core import mail
from django.test import Client

from horses.models import Invitation, Job, Notice, Person, Role
from horses.notices.smtp_errors import Trouble, trouble_of, trouble_words
from horses.services.invitations import invitation_create
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
Drain = Callable[..., int]
REFUSED = smtplib.SMTPRecipientsRefused({"v@example.test": (550, b"no such box")})
FULL = smtplib.SMTPRecipientsRefused({"v@example.test": (452, b"box full")})


@pytest.mark.parametrize(
    ("error", "trouble", "words"),
    [
        (REFUSED, Trouble.ADDRESS, "SMTPRecipientsRefused 550"),
        (FULL, Trouble.LATER, "SMTPRecipientsRefused 452"),
        (smtplib.SMTPRecipientsRefused({}), Trouble.LATER, "SMTPRecipientsRefused"),
        (smtplib.SMTPDataError(554, b"no"), Trouble.MESSAGE, "SMTPDataError 554"),
        (smtplib.SMTPDataError(451, b"later"), Trouble.LATER, "SMTPDataError 451"),
        (smtplib.SMTPSenderRefused(550, b"no", "us"), Trouble.OURS, "SMTPSenderRefused 550"),
        (smtplib.SMTPSenderRefused(450, b"no", "us"), Trouble.LATER, "SMTPSenderRefused 450"),
        (smtplib.SMTPAuthenticationError(535, b"no"), Trouble.OURS, "SMTPAuthenticationError 535"),
        (smtplib.SMTPConnectError(421, b"busy"), Trouble.LATER, "SMTPConnectError 421"),
        (smtplib.SMTPServerDisconnected("gone"), Trouble.LATER, "SMTPServerDisconnected"),
        (ConnectionRefusedError("no"), Trouble.LATER, "ConnectionRefusedError"),
        (TimeoutError("slow"), Trouble.LATER, "TimeoutError"),
    ],
)
def test_each_answer_of_a_mail_server_has_its_class(
    error: Exception, trouble: Trouble, words: str
) -> None:
    assert (trouble_of(error), trouble_words(error)) == (trouble, words)


@pytest.fixture
def cast(cast: Cast) -> Cast:
    Notice.objects.all().delete()
    Job.objects.all().delete()
    return cast


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> dict[str, Exception]:
    """The mail server's answers, by address; whoever is not in it gets their mail."""
    given: dict[str, Exception] = {}
    send = mail.EmailMessage.send

    def answering(message: mail.EmailMessage, fail_silently: bool = False) -> int:
        if (error := given.get(message.to[0])) is not None:
            raise error
        return send(message)

    monkeypatch.setattr(mail.EmailMessage, "send", answering)
    return given


def state_of(person: Person) -> str:
    return Notice.objects.get(person=person, channel="mail").state


def board_page(person: Person, cast: Cast) -> str:
    client = Client()
    client.force_login(person)
    return client.get(f"/cases/{cast.case.public_id}/").content.decode()


def test_a_refused_address_is_given_up_at_once_and_shown_to_the_others(
    cast: Cast, now: datetime, drain: Drain, answers: dict[str, Exception]
) -> None:
    answers[cast.vet.email] = REFUSED
    build.note(cast.access(cast.owner), now, "A word.")
    drain()
    assert state_of(cast.vet) == "failed"
    assert state_of(cast.farrier) == "sent"
    assert not Job.objects.exists()
    assert "Mail to Vera Vet (vet) has not arrived since 2 Nov 2026" in board_page(cast.owner, cast)
    assert "Mail to you has not arrived since" in board_page(cast.vet, cast)


def test_the_next_mail_that_arrives_takes_the_warning_off(
    cast: Cast, now: datetime, drain: Drain, answers: dict[str, Exception]
) -> None:
    answers[cast.vet.email] = REFUSED
    build.note(cast.access(cast.owner), now, "A word.")
    drain()
    answers.clear()
    build.note(cast.access(cast.owner), now, "Another.")
    drain()
    assert "has not arrived" not in board_page(cast.owner, cast)


def test_a_full_box_is_tried_again_and_nobody_is_alarmed(
    cast: Cast, now: datetime, drain: Drain, answers: dict[str, Exception]
) -> None:
    answers[cast.vet.email] = FULL
    build.note(cast.access(cast.owner), now, "A word.")
    drain()
    assert state_of(cast.vet) == "pending"
    assert "has not arrived" not in board_page(cast.owner, cast)
    answers.clear()
    drain(now + timedelta(minutes=5))
    assert state_of(cast.vet) == "sent"


def test_mail_given_up_after_days_is_shown(
    cast: Cast, now: datetime, drain: Drain, answers: dict[str, Exception]
) -> None:
    answers[cast.vet.email] = FULL
    build.note(cast.access(cast.owner), now, "A word.")
    drain()
    drain(now + timedelta(days=3, minutes=1))
    assert state_of(cast.vet) == "failed"
    assert "Mail to Vera Vet (vet) has not arrived" in board_page(cast.owner, cast)


def test_an_urgent_mail_that_does_not_go_out_is_shown_at_once_and_tried_every_two_minutes(
    cast: Cast, now: datetime, drain: Drain, answers: dict[str, Exception]
) -> None:
    answers[cast.vet.email] = ConnectionRefusedError("away")
    build.flag(cast.access(cast.owner), now, "in_sole")
    drain()
    assert "Mail to Vera Vet (vet) has not arrived" in board_page(cast.owner, cast)
    answers.clear()
    drain(now + timedelta(minutes=2))
    assert state_of(cast.vet) == "sent"


def test_a_refusal_of_our_own_set_up_blames_no_address(
    cast: Cast, now: datetime, drain: Drain, answers: dict[str, Exception]
) -> None:
    answers[cast.vet.email] = smtplib.SMTPAuthenticationError(535, b"no")
    build.note(cast.access(cast.owner), now, "A word.")
    drain()
    assert state_of(cast.vet) == "pending"
    assert not Person.objects.exclude(mail_trouble_at=None).exists()


def test_an_invitation_that_does_not_arrive_is_shown_on_the_team_page(
    cast: Cast, clock_stands: datetime, drain: Drain, answers: dict[str, Exception]
) -> None:
    answers["new@example.test"] = REFUSED
    invitation_create(
        access=cast.access(cast.owner),
        email="new@example.test",
        role=Role.VET,
        now=clock_stands,
    )
    drain()
    assert Invitation.objects.get(email="new@example.test").mail_trouble
    client = Client()
    client.force_login(cast.owner)
    page = client.get(f"/cases/{cast.case.public_id}/team/").content.decode()
    assert "The mail has not arrived there." in page
    assert not Job.objects.exists()

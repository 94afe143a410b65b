"""Careful deeds ask for a fresh code, and what was typed goes the whole way through."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.test import Client
from django.urls import reverse

from caseboard.lib import clock
from horses.accounts import reauthentication
from horses.jobs.outbox import jobs_run_due
from horses.models import Membership
from tests.cast import Cast
from tests.codes import code_there, codes_sent
from tests.horses.doors import text_of

Clock = Any


@pytest.fixture
def owner(cast: Cast, later: Clock) -> Client:
    client = Client()
    client.force_login(cast.owner)
    return client


def removal(cast: Cast) -> str:
    member = Membership.objects.get(case=cast.case, person=cast.vet, left_at=None)
    return reverse("member_remove", args=[cast.case.public_id, member.public_id])


def is_on(cast: Cast) -> bool:
    return Membership.objects.filter(case=cast.case, person=cast.vet, left_at=None).exists()


def test_right_after_the_sign_in_nothing_is_asked(cast: Cast, owner: Client) -> None:
    assert owner.post(removal(cast)).status_code == 302
    assert not is_on(cast)


def test_after_a_while_a_code_is_asked_before_somebody_is_removed(
    cast: Cast, owner: Client, later: Clock
) -> None:
    later(11)
    asked = owner.post(removal(cast))
    assert "Is it still you?" in text_of(asked)
    assert is_on(cast)
    assert code_there() not in text_of(asked)
    assert mail.outbox[-1].to == [cast.owner.email]
    assert owner.post(removal(cast), {"fresh_code": code_there()}).status_code == 302
    assert not is_on(cast)


def test_leaving_oneself_asks_for_no_code(cast: Cast, later: Clock) -> None:
    client = Client()
    client.force_login(cast.vet)
    later(11)
    assert client.post(removal(cast)).status_code == 302
    assert not is_on(cast)


def test_what_was_typed_goes_the_whole_way_through(owner: Client, later: Clock) -> None:
    later(11)
    asked = text_of(
        owner.post(reverse("address"), {"email": "new@example.test", "more": ["a<b", "c"]})
    )
    for line in ('name="email" value="new@example.test"', 'value="a&lt;b"', 'value="c"'):
        assert line in asked
    wrong = owner.post(reverse("address"), {"email": "new@example.test", "fresh_code": "AAAA-AAAA"})
    assert wrong.status_code == 422
    assert 'name="email" value="new@example.test"' in text_of(wrong)
    right = owner.post(
        reverse("address"), {"email": "new@example.test", "fresh_code": code_there()}
    )
    assert right.status_code == 302
    codes_sent()
    assert mail.outbox[-1].to == ["new@example.test"]


def test_the_code_works_typed_carelessly_and_once(cast: Cast, owner: Client, later: Clock) -> None:
    later(11)
    owner.post(removal(cast))
    typed = f" {code_there().lower().replace('-', ' ')} "
    assert owner.post(removal(cast), {"fresh_code": typed}).status_code == 302
    later(30)
    Membership.objects.filter(case=cast.case, person=cast.vet).update(left_at=None)
    assert owner.post(removal(cast), {"fresh_code": typed}).status_code == 422
    assert is_on(cast)


def test_three_wrong_tries_use_the_code_up(cast: Cast, owner: Client, later: Clock) -> None:
    later(11)
    owner.post(removal(cast))
    right = code_there()
    for _ in range(3):
        answer = owner.post(removal(cast), {"fresh_code": "AAAA-AAAA"})
        assert "That is not the code" in text_of(answer)
    assert "used up" in text_of(owner.post(removal(cast), {"fresh_code": right}))
    assert is_on(cast)
    owner.post(removal(cast), {"fresh_again": "1"})
    assert code_there() != right
    assert owner.post(removal(cast), {"fresh_code": code_there()}).status_code == 302


def test_an_empty_field_is_no_try(cast: Cast, owner: Client, later: Clock) -> None:
    later(11)
    owner.post(removal(cast))
    for _ in range(5):
        assert "Please type the code" in text_of(owner.post(removal(cast), {"fresh_code": " "}))
    assert owner.post(removal(cast), {"fresh_code": code_there()}).status_code == 302


def test_a_code_lives_five_minutes(cast: Cast, owner: Client, later: Clock) -> None:
    later(11)
    owner.post(removal(cast))
    right = code_there()
    later(16.1)
    assert "too old" in text_of(owner.post(removal(cast), {"fresh_code": right}))
    assert is_on(cast)


def test_a_code_serves_only_the_browser_that_asked(cast: Cast, owner: Client, later: Clock) -> None:
    other = Client()
    other.force_login(cast.owner)
    later(11)
    owner.post(removal(cast))
    assert other.post(removal(cast), {"fresh_code": code_there()}).status_code == 422
    assert is_on(cast)


def test_the_code_is_not_in_the_session(cast: Cast, owner: Client, later: Clock) -> None:
    later(11)
    owner.post(removal(cast))
    kept = str(dict(owner.session))
    assert code_there() not in kept
    assert code_there().replace("-", "") not in kept


def test_codes_are_sent_only_so_often(cast: Cast, owner: Client, later: Clock) -> None:
    later(11)
    answers = [owner.post(removal(cast)).status_code for _ in range(9)]
    assert answers == [200] * 8 + [429]


def test_a_stranger_learns_nothing_from_the_page_that_asks(cast: Cast, later: Clock) -> None:
    client = Client()
    client.force_login(cast.other_owner)
    later(11)
    assert client.post(removal(cast)).status_code == 404
    vet = Client()
    vet.force_login(cast.farrier)
    later(22)
    assert vet.post(removal(cast)).status_code == 403
    assert mail.outbox == []


def test_the_page_waits_for_no_mail_server(
    owner: Client, later: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def send(self: EmailMessage, *_: Any, **__: Any) -> int:
        raise AssertionError("the page asked the mail server")

    monkeypatch.setattr(EmailMessage, "send", send)
    later(11)
    answer = owner.post(reverse("address"), {"email": "new@example.test"})
    assert answer.status_code == 200
    assert "It is just being sent" in text_of(answer)


def test_without_a_mail_server_the_page_says_so_and_keeps_what_was_typed(
    owner: Client, later: Clock, settings: Any
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    later(11)
    typed = {"email": "new@example.test"}
    owner.post(reverse("address"), typed)
    jobs_run_due(now=clock.now())
    answer = owner.post(reverse("address"), {**typed, "fresh_code": "AAAA", "fresh_look": "1"})
    assert "The mail server did not answer" in text_of(answer)
    assert "passkey" not in text_of(answer)  # none is asked for here
    assert 'name="email" value="new@example.test"' in text_of(answer)
    assert 'value="AAAA"' in text_of(answer)


def test_looking_again_sends_nothing_and_tries_nothing(
    cast: Cast, owner: Client, later: Clock
) -> None:
    later(11)
    owner.post(removal(cast))
    right = code_there()
    for _ in range(10):
        looked = owner.post(removal(cast), {"fresh_code": "AAAA-AAAA", "fresh_look": "1"})
        assert "The mail server took it" in text_of(looked)
    assert code_there() == right
    assert len(mail.outbox) == 1
    assert owner.post(removal(cast), {"fresh_code": right}).status_code == 302


def test_a_code_that_another_has_taken_the_place_of_is_not_mailed(
    cast: Cast, owner: Client, later: Clock
) -> None:
    later(11)
    for _ in range(3):
        owner.post(removal(cast), {"fresh_again": "1"})
    codes_sent()
    assert len(mail.outbox) == 1
    assert owner.post(removal(cast), {"fresh_code": code_there()}).status_code == 302


def test_a_stamp_of_the_future_is_not_fresh(now: datetime) -> None:
    session: dict[str, Any] = {}
    reauthentication.fresh_stamp(session, now + timedelta(minutes=1))
    assert not reauthentication.is_fresh(session, now)


def test_tries_at_the_same_moment_count_one_by_one(cast: Cast, now: datetime) -> None:
    """Several copies of one session, each of which knows of no other try."""
    session: dict[str, Any] = {}
    right = reauthentication.code_new(session, "deed", now)
    copies = [dict(session) for _ in range(4)]
    said = [reauthentication.code_try(one, "deed", "AAAAAAAA", now) for one in copies[:3]]
    assert said == [reauthentication.Tried.WRONG] * 3
    assert (
        reauthentication.code_try(copies[3], "deed", right, now) is reauthentication.Tried.USED_UP
    )

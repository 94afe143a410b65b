"""Where somebody is signed in: seen in plain words, ended one by one or all together, at once."""

from datetime import datetime, timedelta

import pytest
from django.conf import settings
from django.contrib.sessions.backends.base import UpdateError
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from horses.accounts.devices import UNKNOWN, device_words
from horses.accounts.services.sessions import sign_in_seen, sign_ins_of
from horses.models import Person, SignIn
from tests.cast import Cast
from tests.horses.doors import text_of

pytestmark = pytest.mark.usefixtures("clock_stands")

PHONE = (
    "Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0 Mobile "
    "Safari/537.36"
)
PAGE = reverse("sign_ins")


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def key_of(client: Client) -> str:
    return client.cookies[settings.SESSION_COOKIE_NAME].value


def row_of(client: Client) -> SignIn:
    return SignIn.objects.get(session_key=key_of(client))


@pytest.mark.parametrize(
    ("user_agent", "words"),
    [
        (PHONE, "Chrome on an Android phone"),
        (PHONE.replace(" Mobile", ""), "Chrome on an Android tablet"),
        (
            "Mozilla/5.0 (iPhone; CPU OS 18_0) Version/18.0 Mobile Safari/604.1",
            "Safari on an iPhone",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0; rv:130.0) Gecko Firefox/130.0",
            "Firefox on a Windows computer",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0) Chrome/130 Safari/537 Edg/130",
            "Edge on a Windows computer",
        ),
        ("something (Macintosh)", "A browser on a Mac"),
        ("Firefox/130", "Firefox"),
        ("", UNKNOWN),
    ],
)
def test_a_browser_is_named_in_plain_words(user_agent: str, words: str) -> None:
    assert device_words(user_agent) == words


def test_the_page_shows_each_place_and_which_one_this_is(cast: Cast) -> None:
    here, there = signed_in(cast.vet), signed_in(cast.vet)
    SignIn.objects.filter(session_key=key_of(there)).update(device="Firefox on a Mac")
    text = text_of(here.get(PAGE))
    assert "Firefox on a Mac" in text
    assert text.count("Here, where you are now.") == 1
    assert text.count("End this one") == 1
    assert "Mon 2 Nov 2026" in text


def test_signing_in_notes_the_device_and_the_moment(cast: Cast, now: datetime) -> None:
    from django.contrib.auth import login
    from django.http import HttpRequest

    from horses.accounts.session_store import SessionStore

    request = HttpRequest()
    request.META["HTTP_USER_AGENT"] = PHONE
    request.session = SessionStore()
    login(request, cast.vet, backend=settings.AUTHENTICATION_BACKENDS[0])
    request.session.save()
    [row] = sign_ins_of(cast.vet, now=now)
    assert (row.device, row.signed_in_at, row.way) == ("Chrome on an Android phone", now, "code")


def test_a_key_that_opens_a_session_is_on_no_page(cast: Cast) -> None:
    client, other = signed_in(cast.vet), signed_in(cast.vet)
    text = text_of(client.get(PAGE))
    assert key_of(client) not in text
    assert key_of(other) not in text


def test_ending_one_works_with_its_very_next_click(cast: Cast) -> None:
    here, there = signed_in(cast.vet), signed_in(cast.vet)
    assert there.get("/me/").status_code == 200
    here.post(reverse("sign_in_end", args=[row_of(there).handle]))
    assert there.get("/me/").status_code == 302
    assert here.get("/me/").status_code == 200


def test_ending_all_others_leaves_the_one_that_asked(cast: Cast) -> None:
    here, *others = (signed_in(cast.vet) for _ in range(4))
    stranger = signed_in(cast.farrier)
    here.post(reverse("sign_ins_end_others"))
    assert [c.get("/me/").status_code for c in others] == [302, 302, 302]
    assert here.get("/me/").status_code == 200
    assert stranger.get("/me/").status_code == 200


def test_ending_the_one_here_signs_out(cast: Cast) -> None:
    here = signed_in(cast.vet)
    here.post(reverse("sign_in_end", args=[row_of(here).handle]))
    assert here.get("/me/").status_code == 302
    assert not SignIn.objects.filter(person=cast.vet).exists()


def test_a_page_that_was_loading_when_its_session_ended_does_not_bring_it_back(cast: Cast) -> None:
    from horses.accounts.session_store import SessionStore

    there = signed_in(cast.vet)
    loading = SessionStore(key_of(there))
    assert loading["_auth_user_id"] == str(cast.vet.pk)
    SignIn.objects.filter(person=cast.vet).delete()
    loading["words"] = "typed meanwhile"
    with pytest.raises(UpdateError):
        loading.save()
    assert there.get("/me/").status_code == 302


def test_nobody_ends_anothers_session(cast: Cast) -> None:
    theirs = signed_in(cast.vet)
    handle = row_of(theirs).handle
    assert signed_in(cast.owner).post(reverse("sign_in_end", args=[handle])).status_code == 404
    assert theirs.get("/me/").status_code == 200


def test_last_seen_is_written_every_few_minutes_and_not_with_every_click(
    cast: Cast, now: datetime
) -> None:
    from horses.accounts.session_store import SessionStore

    client = signed_in(cast.vet)

    def seen_at(moment: datetime) -> datetime | None:
        session = SessionStore(key_of(client))
        session.get("_auth_user_id")
        sign_in_seen(session=session, now=moment)
        return row_of(client).last_seen_at

    assert seen_at(now + timedelta(minutes=4)) == now
    assert seen_at(now + timedelta(minutes=6)) == now + timedelta(minutes=6)


def test_a_closed_account_is_signed_in_nowhere(cast: Cast) -> None:
    client = signed_in(cast.vet)
    Person.objects.filter(pk=cast.vet.pk).update(is_active=False)
    assert client.get("/me/").status_code == 302


def test_signing_in_gives_the_browser_a_new_key(cast: Cast) -> None:
    """A key that somebody planted before the sign-in opens nothing after it."""
    client = Client()
    client.post(reverse("account_request_login_code"), {"email": cast.vet.email})
    planted = key_of(client)
    client.force_login(cast.vet)
    assert key_of(client) != planted
    assert not SignIn.objects.filter(session_key=planted).exists()


def test_sign_ins_and_wrong_codes_are_logged_without_the_code(
    cast: Cast, caplog: pytest.LogCaptureFixture
) -> None:
    cache.clear()
    client = Client()
    client.post(reverse("account_request_login_code"), {"email": cast.vet.email})
    with caplog.at_level("INFO", logger="horses"):
        client.post(reverse("account_confirm_login_code"), {"code": "WRNG-CODE"})
        client.force_login(cast.vet)
    said = "\n".join(str(record.msg) for record in caplog.records)
    assert "sign_in.wrong_code" in said
    assert "sign_in.done" in said
    assert cast.vet.public_id in said
    assert "WRNG-CODE" not in said
    assert cast.vet.email not in said


def test_a_refusal_is_logged_with_who_and_which_page(
    cast: Cast, caplog: pytest.LogCaptureFixture
) -> None:
    path = reverse("case_close", args=[cast.concern.public_id])
    with caplog.at_level("INFO", logger="caseboard"):
        assert signed_in(cast.carer).get(path).status_code == 403
    said = "\n".join(str(record.msg) for record in caplog.records)
    assert "refused" in said
    assert "case_close" in said
    assert cast.carer.public_id in said

"""So many forms a person in ten minutes; whoever is stopped keeps all that was typed."""

import re
from datetime import datetime, timedelta
from html import unescape
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError
from django.test import Client
from django.urls import reverse

from caseboard.http.too_many import wait_words
from horses.models import Note, Person
from tests.cast import Cast

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
WORDS = "Soft ground only,\nno trot.\n\n<b>Left</b> fore & right."


@pytest.fixture(autouse=True)
def _room_for_two(db: None, settings: Any) -> None:
    cache.clear()
    settings.LIMIT_WRITES = 2


def browser(person: Person, **more: Any) -> Client:
    client = Client(**more)
    client.force_login(person)
    return client


def send(client: Client, cast: Cast, number: int = 1, **more: Any) -> Any:
    path = reverse("note_new", args=[cast.case.public_id])
    typed = {"body": WORDS, "audience": "owner,farrier,vet,carer", "client_key": f"key-{number}"}
    return client.post(path, typed, **more)


def test_so_many_are_taken_and_the_next_is_told_to_wait(cast: Cast) -> None:
    client = browser(cast.vet)
    answers = [send(client, cast, number) for number in range(3)]
    assert [answer.status_code for answer in answers] == [302, 302, 429]
    assert 0 < int(answers[-1]["Retry-After"]) <= 600
    assert Note.objects.count() == 2


def test_the_page_shows_what_was_typed_and_sends_it_again_as_it_was(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = browser(cast.vet)
    page = [send(client, cast, number) for number in range(3)][-1].content.decode()
    assert "Soft ground only" in re.sub(r'value="[^"]*"', "", page)  # to be read, not only carried
    held = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', page)
    [action] = re.findall(r'<form class="form" method="post" action="([^"]+)"', page)
    again = {name: unescape(value) for name, value in held}
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(minutes=10))
    assert client.post(action, again).status_code == 302
    assert Note.objects.latest("pk").body == WORDS
    assert client.post(action, again).status_code == 302  # pressed twice
    assert Note.objects.count() == 3


def test_what_was_typed_cannot_write_into_the_page(cast: Cast) -> None:
    client = browser(cast.vet)
    page = [send(client, cast, number) for number in range(3)][-1].content.decode()
    assert "<b>Left</b>" not in page


def test_no_copy_of_the_page_is_kept_on_the_way(cast: Cast, settings: Any) -> None:
    settings.LIMIT_WRITES = 0
    answer = Client().post(reverse("account_request_login_code"), {"email": cast.vet.email})
    assert (answer.status_code, answer["Cache-Control"]) == (429, "private, no-store")


def test_all_devices_of_a_person_count_together_and_nobody_else_does(cast: Cast) -> None:
    for client in (browser(cast.vet), browser(cast.vet)):
        assert send(client, cast).status_code == 302
    assert send(browser(cast.vet), cast).status_code == 429
    assert send(browser(cast.owner), cast).status_code == 302


def test_looking_counts_nothing(cast: Cast) -> None:
    client = browser(cast.vet)
    for _ in range(3):
        assert client.get(reverse("note_new", args=[cast.case.public_id])).status_code == 200
    assert send(client, cast).status_code == 302


def test_a_forged_form_does_not_use_up_anybodys_room(cast: Cast) -> None:
    client = browser(cast.vet, enforce_csrf_checks=True)
    assert [send(client, cast).status_code for _ in range(3)] == [403] * 3
    assert send(browser(cast.vet), cast).status_code == 302


def test_signing_out_and_ending_sign_ins_are_never_refused(cast: Cast, settings: Any) -> None:
    settings.LIMIT_WRITES = 0
    client = browser(cast.vet)
    assert client.post(reverse("sign_ins_end_others")).status_code == 302
    assert client.post(reverse("account_logout")).status_code == 302
    assert "_auth_user_id" not in client.session


def test_chosen_photos_are_said_to_be_left_out(cast: Cast, settings: Any) -> None:
    settings.LIMIT_WRITES = 0
    path = reverse("flag_new", args=[cast.case.public_id])
    file = SimpleUploadedFile("hoof.jpg", b"x")
    page = browser(cast.owner).post(path, {"words": "Heat.", "photos": file}).content.decode()
    assert "Send it again, without the photos" in page


def test_more_photos_than_anybody_takes_are_stopped_with_the_way_back(
    cast: Cast, settings: Any, now: datetime
) -> None:
    from tests import build

    settings.LIMIT_PHOTO_FORMS = 0
    flag = build.flag(cast.access(cast.owner), now)
    names = [cast.case.public_id, flag.public_id]
    answer = browser(cast.owner).post(
        reverse("flag_photos", args=names),
        {"client_key": "k", "photos": SimpleUploadedFile("hoof.jpg", b"x")},
        headers={"Referer": f"http://testserver{reverse('flag', args=names)}"},
    )
    assert (answer.status_code, "Retry-After" in answer) == (429, True)
    assert f'href="{reverse("flag", args=names)}"' in answer.content.decode()


@pytest.mark.parametrize("came", ["https://elsewhere.example/x", "", "nonsense"])
def test_the_way_back_leads_to_no_other_site(came: str, cast: Cast, settings: Any) -> None:
    settings.LIMIT_WRITES = 0
    answer = send(browser(cast.vet), cast, headers={"Referer": came} if came else {})
    assert "Back to the page before" not in answer.content.decode()


def test_without_its_counters_the_board_goes_on_taking_what_is_written(
    cast: Cast, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: Any, **__: Any) -> int:
        raise OperationalError

    monkeypatch.setattr("caseboard.lib.limits._count", away)
    assert send(browser(cast.vet), cast).status_code == 302


def test_whoever_is_stopped_is_logged_without_what_they_typed(
    cast: Cast, settings: Any, caplog: pytest.LogCaptureFixture
) -> None:
    settings.LIMIT_WRITES = 0
    send(browser(cast.vet), cast)
    said = [str(record.msg) for record in caplog.records]
    assert any("too_many" in line and "note_new" in line for line in said)
    assert not any("Soft ground" in line for line in said)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (1, "1 second"),
        (42, "42 seconds"),
        (99, "99 seconds"),
        (100, "2 minutes"),
        (3600, "60 minutes"),
    ],
)
def test_the_wait_is_said_in_words(seconds: int, words: str) -> None:
    assert wait_words(seconds) == words

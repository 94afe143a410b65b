"""The page behind a yard's link: name and address once, one code, and what it says to nobody."""

from datetime import datetime

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from horses.access import access_on
from horses.domain.horse_lines import horse_lines
from horses.models import CodeMail, Person, YardInvitation, YardMember, YardRole
from horses.services.yard_horses import horses_add
from horses.services.yard_links import yard_link_make, yard_link_url, yard_token
from tests.cast import person
from tests.yards import YardCast

pytestmark = pytest.mark.django_db
NEW = "nea.new@example.test"


@pytest.fixture(autouse=True)
def _clock_stands(clock_stands: datetime) -> None:
    """The pages live in the moment in which the yard was set."""
    cache.clear()


def link(yard_cast: YardCast, role: str, now: datetime, email: str = "") -> YardInvitation:
    place = yard_cast.place(yard_cast.manager)
    return yard_link_make(access=place, role=role, email=email, now=now)


def path_of(made: YardInvitation) -> str:
    return reverse("yard_invitation", args=[yard_token(made.public_id)])


def code_of(address: str) -> str:
    mail = CodeMail.objects.filter(to=address).latest("pk")
    return next(word for word in mail.body.split() if len(word) == 9 and word[4] == "-")


def test_name_address_and_one_code_make_an_account_and_a_place(
    yard_cast: YardCast, now: datetime
) -> None:
    client, path = Client(), path_of(link(yard_cast, YardRole.FARRIER, now))
    asked = client.post(path, {"name": "Nea New", "email": NEW})
    assert asked["Location"] == f"{path}code/"
    assert not Person.objects.filter(email=NEW).exists()
    done = client.post(f"{path}code/", {"code": code_of(NEW)})
    assert done["Location"] == reverse("horses")
    new = Person.objects.get(email=NEW)
    assert (new.name, new.name_unsure) == ("Nea New", False)
    assert YardMember.objects.get(person=new).confirmed_at is None
    assert access_on(new, yard_cast.pebble) is None
    assert "is asked to say yes to you" in client.get(reverse("horses")).content.decode()


def test_a_wrong_code_makes_nothing_and_three_use_it_up(yard_cast: YardCast, now: datetime) -> None:
    client, path = Client(), path_of(link(yard_cast, YardRole.FARRIER, now))
    client.post(path, {"name": "Nea New", "email": NEW})
    for _ in range(3):
        assert client.post(f"{path}code/", {"code": "BBBB-BBBB"}).status_code == 422
    assert client.post(f"{path}code/", {"code": code_of(NEW)}).status_code == 422
    assert not Person.objects.filter(email=NEW).exists()


def test_a_code_serves_only_the_browser_and_the_link_that_asked(
    yard_cast: YardCast, now: datetime
) -> None:
    client, path = Client(), path_of(link(yard_cast, YardRole.FARRIER, now))
    other = path_of(link(yard_cast, YardRole.MANAGER, now))
    client.post(path, {"name": "Nea New", "email": NEW})
    code = code_of(NEW)
    for who, where in ((Client(), path), (client, other)):
        assert who.post(f"{where}code/", {"code": code}).status_code == 302  # back to the beginning
    assert not Person.objects.filter(email=NEW).exists()


def test_the_page_says_the_same_for_known_and_unknown_addresses(
    yard_cast: YardCast, now: datetime
) -> None:
    path = path_of(link(yard_cast, YardRole.CARER, now))
    pages = []
    for address in (yard_cast.groom.email, NEW):
        client = Client()
        first = client.post(path, {"name": "Who Ever", "email": address})
        page = client.get(f"{path}code/").content.decode()
        mark = CodeMail.objects.filter(to=address).latest("pk").public_id[:3].upper()
        pages.append((first["Location"], page.replace(address, "").replace(mark, "")))
    tokens = "csrfmiddlewaretoken"
    plain = [[line for line in page.splitlines() if tokens not in line] for _, page in pages]
    assert pages[0][0] == pages[1][0]
    assert plain[0] == plain[1]


def test_somebody_with_an_account_keeps_their_name(yard_cast: YardCast, now: datetime) -> None:
    there = person("Ula Known")
    client, path = Client(), path_of(link(yard_cast, YardRole.CARER, now))
    client.post(path, {"name": "Somebody Else", "email": there.email.upper()})
    client.post(f"{path}code/", {"code": code_of(CodeMail.objects.latest("pk").to)})
    there.refresh_from_db()
    assert there.name == "Ula Known"
    assert YardMember.objects.filter(person=there, yard=yard_cast.yard).exists()


def test_a_mailed_link_has_proved_its_address_and_asks_no_code(
    yard_cast: YardCast, now: datetime
) -> None:
    client, path = Client(), path_of(link(yard_cast, YardRole.FARRIER, now, NEW))
    assert 'name="email"' not in client.get(path).content.decode()
    done = client.post(path, {"name": "Nea New"})
    assert done["Location"] == reverse("yard", args=[yard_cast.yard.public_id])
    new = Person.objects.get(email=NEW)
    assert access_on(new, yard_cast.pebble) is not None
    assert not CodeMail.objects.filter(to=NEW).exists()


def test_a_mailed_link_is_no_key_to_an_account_that_is_there(
    yard_cast: YardCast, now: datetime
) -> None:
    there = person("Ula Known")
    client, path = Client(), path_of(link(yard_cast, YardRole.FARRIER, now, there.email))
    asked = client.post(path, {"name": "Ula Known"})
    assert asked["Location"] == f"{path}code/"
    assert client.get(reverse("horses")).status_code == 302  # to the sign-in
    assert not YardMember.objects.filter(person=there).exists()


def test_a_closed_account_joins_nothing(yard_cast: YardCast, now: datetime) -> None:
    there = person("Ula Closed")
    Person.objects.filter(pk=there.pk).update(is_active=False)
    client, path = Client(), path_of(link(yard_cast, YardRole.CARER, now))
    client.post(path, {"name": "Ula", "email": there.email})
    answer = client.post(f"{path}code/", {"code": code_of(there.email)})
    assert answer.status_code == 422
    assert not YardMember.objects.filter(person=there).exists()


def test_codes_to_one_address_are_few_in_a_while(yard_cast: YardCast, now: datetime) -> None:
    path = path_of(link(yard_cast, YardRole.CARER, now))
    answers = [Client().post(path, {"name": "Nea", "email": NEW}).status_code for _ in range(9)]
    assert answers == [302] * 8 + [429]


def test_what_was_typed_stays_beside_what_is_wrong(yard_cast: YardCast, now: datetime) -> None:
    path = path_of(link(yard_cast, YardRole.CARER, now))
    page = Client().post(path, {"name": "Nea New", "email": "nea at example"})
    assert page.status_code == 422
    assert 'value="Nea New"' in page.content.decode()


def test_the_link_stands_on_the_managers_screen_as_qr_and_as_a_text_message(
    yard_cast: YardCast, now: datetime, client: Client
) -> None:
    made = link(yard_cast, YardRole.CARER, now)
    client.force_login(yard_cast.manager)
    page = client.get(reverse("yard_link", args=[yard_cast.yard.public_id, made.public_id]))
    words = page.content.decode()
    assert yard_link_url(made.public_id) in words
    assert 'href="sms:?&amp;body=Mara%20Manager%20asks' in words
    assert '<svg class="qr"' in words
    assert 'fill="none" stroke="#000"' in words  # its squares are lines: filled they are not there
    assert page["Cache-Control"] == "private, no-store"


def test_the_address_of_the_link_is_told_to_no_other_site(
    yard_cast: YardCast, now: datetime
) -> None:
    page = Client().get(path_of(link(yard_cast, YardRole.CARER, now)))
    assert page["Referrer-Policy"] == "same-origin"
    assert page["Cache-Control"] == "private, no-store"


def test_the_managers_yes_is_asked_with_what_it_does_before_ones_eyes(
    yard_cast: YardCast, client: Client
) -> None:
    client.force_login(yard_cast.manager)
    waiting = yard_cast.member(yard_cast.waiting)
    path = reverse("yard_confirm", args=[yard_cast.yard.public_id, waiting.public_id])
    words = client.get(path).content.decode()
    assert "Wim Waiting" in words
    assert "on the team of 3 horses at once" in words
    assert client.post(path, {"seen": "", "answer": "no"}).status_code == 302
    waiting.refresh_from_db()
    assert (waiting.confirmed_at, waiting.ended_at is None) == (None, False)


def test_the_yards_page_asks_the_database_as_often_for_three_horses_as_for_thirty(
    yard_cast: YardCast, client: Client, now: datetime
) -> None:
    client.force_login(yard_cast.manager)
    path = reverse("yard", args=[yard_cast.yard.public_id])
    counts = []
    for _ in range(2):
        client.get(path)
        with CaptureQueriesContext(connection) as asked:
            client.get(path)
        counts.append(len(asked))
        lines = horse_lines("\n".join(f"New {n}" for n in range(27)), today=now.date())
        horses_add(access=yard_cast.place(yard_cast.manager), lines=lines, now=now)
    assert counts[0] == counts[1] <= 16

"""Words for some roles only: found on no page, paper, mail, notice or history of another role."""

import hashlib
import io
import re
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from urllib.parse import urljoin, urlsplit

import pypdf
import pytest
from django.core import mail
from django.db.models import Q
from django.test import Client
from django.urls import reverse

from caseboard.lib.photo import Photo
from horses.models import HistoryLine, Membership, Note, Notice, Picture
from horses.services.flags import flag_answer
from horses.services.notes import note_write
from horses.services.pictures import Shown, Taken
from measurements.services.picture_points import Placed, points_place
from tests import build
from tests.access.people import MEMBERS, OUTSIDERS, People
from tests.access.table import CASE_ROWS, OWN_ROWS, address
from tests.pictures import FILM_POINTS, SIZE_PX, drawn_foot, picture
from tests.stage import Stage
from tests.stage_pictures import WITH_CARD

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("not_laid_out")]
Drain = Callable[..., int]

NOT_LOOKED_AT = ("horse_new", "round_pdf", "picture_card_pdf")  # made by looking; drawn
OWN_PAGES = [
    reverse(name)
    for name, methods in OWN_ROWS.items()
    if "GET" in methods and name not in NOT_LOOKED_AT
]

# A picture's own id stands in no line, and days are written there in one way only.
NOT_IN_LINES = r"[a-z0-9]{16}|\d+ [A-Z][a-z]{2} \d{4}"
ON_FILM = Placed(FILM_POINTS, marker_mm=Decimal(50))

# who wrote it, who reads it; the writer's own role is always in it
SCOPES: tuple[tuple[str, frozenset[str]], ...] = (
    ("vet", frozenset({"vet"})),
    ("vet", frozenset({"vet", "farrier"})),
    ("vet", frozenset({"vet", "owner"})),
    ("vet", frozenset({"vet", "owner", "carer"})),
    ("farrier", frozenset({"farrier"})),
    ("farrier", frozenset({"farrier", "vet"})),
    ("farrier", frozenset({"farrier", "owner"})),
    ("owner", frozenset({"owner"})),
    ("owner", frozenset({"owner", "carer"})),
    ("owner", frozenset({"owner", "vet"})),
    ("owner", frozenset({"owner", "farrier", "vet"})),
)


@pytest.fixture
def canaries(stage: Stage, now: datetime, drain: Drain) -> dict[str, frozenset[str]]:
    """Notes, scoped answers and corrections, each with its own word; word -> who may read it."""
    words: dict[str, frozenset[str]] = {}

    def word(readers: frozenset[str]) -> str:
        made = f"canary{len(words):02}x{'-'.join(sorted(readers))}"
        words[made] = readers
        return made

    for who, readers in SCOPES:
        access = stage.access(who)
        first = note_write(access=access, body=word(readers), audience=readers, now=now)
        note_write(
            access=access,
            body=word(readers),
            audience=readers,
            now=now,
            corrects_id=first.public_id,
        )
        flag_answer(
            access=access,
            flag_id=stage.flag.public_id,
            words=word(readers),
            audience=readers,
            now=now,
        )
    # A narrow note that a wider one corrects: the old words stay with their first readers.
    narrow = note_write(
        access=stage.access("vet"),
        body=word(frozenset({"vet"})),
        audience=frozenset({"vet"}),
        now=now,
    )
    note_write(
        access=stage.access("vet"),
        body="For everybody by now.",
        audience=frozenset(MEMBERS.values()),
        corrects_id=narrow.public_id,
        now=now,
    )
    drain()
    return words


@pytest.fixture
def pictured(
    stage: Stage, now: datetime, canaries: dict[str, frozenset[str]]
) -> dict[str, frozenset[str]]:
    """The same, and what is known only of pictures with such notes: their ids, their fingerprints, the
    days on which they were taken, and the points on them; a film among them beside an open one."""
    words = dict(canaries)
    vet = stage.access("vet")
    for number, (who, readers) in enumerate(SCOPES):
        access, on = stage.access(who), date(2019, 1, 10 + number)
        shown = Shown("film_side" if who == "vet" else "side", "LF", on)
        content = drawn_foot() + bytes([number])
        taken = Photo(content, *SIZE_PX, hashlib.sha256(content).hexdigest())
        note = note_write(
            access=access,
            body="With a picture.",
            audience=readers,
            taken=Taken([taken], shown),
            now=now,
        )
        of = Picture.objects.get(note=note)
        placed = ON_FILM if who == "vet" else WITH_CARD
        points = points_place(access=access, picture_id=of.public_id, placed=placed, now=now)
        made = (of.public_id, of.sha256, points.public_id, f"{on:%-d %b %Y}", on.isoformat())
        words |= dict.fromkeys(made, readers)
    film = picture(vet, now, view="film_side", of="exam", of_id=stage.exam.public_id)
    points_place(access=vet, picture_id=film.public_id, placed=ON_FILM, now=now)
    return words


def _leaks(text: str, role: str, canaries: dict[str, frozenset[str]]) -> list[str]:
    return [word for word, readers in canaries.items() if word in text and role not in readers]


# Pages that lead on to one of another day, and so for ever: so many of each are looked at.
QUERIES_A_PAGE = 12


def _pages(client: Client, starts: list[str]) -> Iterator[tuple[str, str]]:
    """Every page that can be reached by links from these, with its text."""
    waiting, seen = list(starts), set(starts)
    asked: Counter[str] = Counter()
    while waiting:
        path = waiting.pop()
        response = client.get(path)
        if response.status_code not in (200, 302) or "text/html" not in response["Content-Type"]:
            continue
        text = response.content.decode(errors="replace")
        yield path, text
        for found in re.findall(r'(?:href|action|hx-get)="([^"#]+)', text):
            address = urlsplit(urljoin(path, found.replace("&amp;", "&")))
            link = address.path + (f"?{address.query}" if address.query else "")
            ours = address.netloc in ("", "testserver") and not link.startswith("/static/")
            if address.path.endswith(".pdf") or asked[address.path] >= QUERIES_A_PAGE:
                continue
            if ours and "logout" not in link and link not in seen:
                seen.add(link)
                asked[address.path] += 1
                waiting.append(link)


def test_no_page_shows_a_role_what_was_not_for_it(
    stage: Stage, people: People, pictured: dict[str, frozenset[str]]
) -> None:
    for who, role in MEMBERS.items():
        starts = [address(n, stage, who) for n, row in CASE_ROWS.items() if "GET" in row.methods]
        starts = [path for path in starts if not path.endswith(".pdf")]
        found = dict(_pages(people.client(who), [*starts, *OWN_PAGES]))
        for path, text in found.items():
            assert _leaks(text, role, pictured) == [], (who, path)
        shown = "".join(found.values())
        meant = [word for word, readers in pictured.items() if role in readers]
        assert any(word in shown for word in meant), f"{who} sees nothing: is the page there?"
        days = [word for word in meant if re.fullmatch(r"\d+ Jan 2019", word)]
        assert len(days) > 1
        assert [day for day in days if day not in shown] == []  # they do see their own pictures


def test_outsiders_see_none_of_it(people: People, pictured: dict[str, frozenset[str]]) -> None:
    for who in OUTSIDERS:
        for path, text in _pages(people.client(who), OWN_PAGES):
            assert not any(word in text for word in pictured), (who, path)


def test_no_paper_shows_a_role_what_was_not_for_it(
    stage: Stage, people: People, canaries: dict[str, frozenset[str]]
) -> None:
    for who, role in MEMBERS.items():
        response = people.client(who).get(address("sheet_pdf", stage))
        if response.status_code == 503:
            pytest.skip("no PDF can be made here")
        pages = pypdf.PdfReader(io.BytesIO(response.content)).pages
        text = "".join(page.extract_text() for page in pages)
        assert stage.cast.horse.name in text
        assert _leaks(text, role, canaries) == []


def test_an_issued_sheet_keeps_nothing_that_is_not_for_the_whole_team(
    stage: Stage, now: datetime, canaries: dict[str, frozenset[str]]
) -> None:
    """Whoever issues it: everybody on the team reads it afterwards."""
    for who in ("owner", "vet", "farrier"):
        content = build.sheet(stage.access(who), now).content
        assert stage.cast.horse.name in content
        assert not any(word in content for word in canaries), who


def test_no_copy_of_the_case_holds_what_was_not_for_its_taker(
    stage: Stage, people: People, pictured: dict[str, frozenset[str]]
) -> None:
    for who, role in MEMBERS.items():
        response: Any = people.client(who).post(address("case_export", stage))
        archive = zipfile.ZipFile(io.BytesIO(response.getvalue()))
        text = "".join(archive.read(name).decode(errors="replace") for name in archive.namelist())
        assert _leaks(text, role, pictured) == [], who
        assert any(word in text for word, readers in pictured.items() if role in readers)


def test_who_left_takes_only_their_own_words_along(
    stage: Stage, people: People, pictured: dict[str, frozenset[str]], now: datetime
) -> None:
    notes = Note.objects.filter(case=stage.cast.concern, author=stage.cast.vet)
    mine = {note.body for note in notes}
    for of in Picture.objects.filter(note__in=notes):
        on = of.taken_on
        mine |= {of.public_id, of.sha256, f"{on:%-d %b %Y}", on.isoformat()}
        mine |= set(of.points.values_list("public_id", flat=True))
    Membership.objects.filter(case=stage.cast.concern, person=stage.cast.vet).update(left_at=now)
    path = reverse("former_copy", args=[stage.cast.concern.public_id])
    response: Any = people.client("vet").post(path)
    archive = zipfile.ZipFile(io.BytesIO(response.getvalue()))
    text = "".join(archive.read(name).decode(errors="replace") for name in archive.namelist())
    held = {word for word in pictured if word in text}
    assert held
    assert held <= mine


def test_no_mail_carries_what_was_not_for_its_reader(
    stage: Stage, canaries: dict[str, frozenset[str]]
) -> None:
    members = Membership.objects.filter(case=stage.cast.concern, left_at=None)
    roles = {m.person.email: m.role for m in members.select_related("person")}
    roles[stage.cast.invited.email] = "nobody"
    carried = set()
    for sent in mail.outbox:
        [to] = sent.to
        text = f"{sent.subject}\n{sent.body}"
        assert _leaks(text, roles[to], canaries) == []
        carried |= {word for word in canaries if word in text}
    assert len(carried) >= 12


def test_no_notice_and_no_history_line_carries_more_than_its_readers_may_see(
    stage: Stage, pictured: dict[str, frozenset[str]]
) -> None:
    for word, readers in pictured.items():
        told = Notice.objects.filter(Q(body__contains=word) | Q(subject__contains=word))
        lines = HistoryLine.objects.filter(canonical__contains=word)
        assert lines.exists() or re.fullmatch(NOT_IN_LINES, word)
        for audience in [*told.values_list("audience"), *lines.values_list("audience")]:
            assert set(audience[0].strip(",").split(",")) == readers

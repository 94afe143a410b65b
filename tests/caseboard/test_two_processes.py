"""Two processes of one installation count together: on SQLite, and on PostgreSQL with Redis."""

import math
import os
import re
import shutil
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import pytest
from django.conf import settings

from tests.chaos.house import House
from tests.chaos.several_doors import Answer, Person

ON_POSTGRESQL = settings.DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql"
LIMITS = {
    "LIMIT_WRITES": "30",
    "LIMIT_INVITATIONS": "3",
    "LIMIT_PDFS": "2",
    "LIMIT_PHOTO_FORMS": "1",
}
TEN_MINUTES, HOUR = 600, 3600


@dataclass
class Running:
    ports: list[int]
    sessions: dict[str, str]
    case: str

    def person(self, role: str = "") -> Person:
        return Person(self.ports, self.sessions[role] if role else "")


@pytest.fixture(
    scope="module",
    params=[
        "sqlite",
        pytest.param(
            "postgresql",
            marks=pytest.mark.skipif(
                not ON_POSTGRESQL or not shutil.which("redis-server"),
                reason="needs PostgreSQL and redis-server",
            ),
        ),
    ],
)
def running(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Running]:
    several = request.param == "postgresql"
    server = os.environ["DATABASE_URL"].rsplit("/", 1)[0] if several else ""
    house = House(tmp_path_factory.mktemp("house"), server)
    house.env |= LIMITS
    with house:
        people = house.tell("tests.chaos.people", "--horses=1")
        ports = [house.web() if several else house.serve() for _ in range(2)]
        yield Running(ports, people["sessions"], people["cases"][0])


def in_one_window(window_s: int, do: Callable[[], list[Answer]]) -> list[Answer]:
    """Done once more when a window ended in the middle of it: the counts begin anew there."""
    for _ in range(3):
        began = math.floor(time.time() / window_s)
        answers = do()
        if math.floor(time.time() / window_s) == began:
            return answers
    raise AssertionError("three windows ended one after the other")


def statuses(answers: list[Answer]) -> list[int]:
    return [answer.status for answer in answers]


def test_what_one_person_writes_is_counted_over_both(running: Running) -> None:
    vet, path = running.person("vet"), f"/cases/{running.case}/notes/new/"
    fields = {"audience": "owner,farrier,vet,carer"}
    answers = in_one_window(
        TEN_MINUTES,
        lambda: [vet.post(n % 2, path, {**fields, "body": f"No. {n}"}) for n in range(32)],
    )
    assert statuses(answers) == [302] * 30 + [429] * 2
    for answer in answers[-2:]:  # one from each process
        assert 0 < int(answer.headers["Retry-After"]) <= TEN_MINUTES
        assert re.search(r"No\. 3[01]</dd>", answer.text)


def test_invitations_are_counted_over_both(running: Running) -> None:
    owner, path = running.person("owner"), f"/cases/{running.case}/invite/"
    found = owner.get(0, f"/cases/{running.case}/team/").text
    [path] = set(re.findall(rf'"(/cases/{running.case}/[^"]*invite[^"]*)"', found))
    answers = in_one_window(
        HOUR,
        lambda: [
            owner.post(n % 2, path, {"email": f"p{n}@example.test", "role": "carer"})
            for n in range(5)
        ],
    )
    assert statuses(answers) == [302] * 3 + [429] * 2


def test_photos_are_counted_over_both_and_the_words_are_kept(running: Running) -> None:
    owner, path = running.person("owner"), f"/cases/{running.case}/flags/new/"

    def send() -> list[Answer]:
        photo = _File("hoof.jpg", b"not a photo at all")
        fields = {"signs": "heat", "since": "today", "words": "Warm.", "photos": photo}
        return [owner.post(which, path, fields) for which in (0, 1)]

    first, second = in_one_window(HOUR, send)
    assert (first.status, second.status) == (422, 429)  # read, and not read any more
    assert int(second.headers["Retry-After"]) > 0
    assert "Warm." in second.text


def test_papers_are_counted_over_both(running: Running) -> None:
    farrier, path = running.person("farrier"), f"/cases/{running.case}/visit-sheet.pdf"
    answers = in_one_window(HOUR, lambda: [farrier.get(n % 2, path) for n in range(4)])
    assert statuses(answers) == [200, 200, 429, 429]
    assert int(answers[-1].headers["Retry-After"]) > 0


def test_codes_sent_to_one_address_are_counted_over_both(running: Running) -> None:
    path = "/accounts/login/code/"
    answers = in_one_window(
        TEN_MINUTES,
        lambda: [
            running.person().post(n % 2, path, {"email": "nobody@example.test"}) for n in range(10)
        ],
    )
    assert statuses(answers) == [302] * 8 + [429] * 2


def test_tries_of_one_code_sent_to_both_at_once_are_three_in_all(running: Running) -> None:
    somebody = running.person()
    asked = somebody.post(0, "/accounts/login/code/", {"email": "somebody@example.test"})
    confirm = urllib.parse.urlsplit(asked.headers["Location"]).path
    assert somebody.get(1, confirm).status == 200  # the other process knows of it
    with ThreadPoolExecutor(8) as threads:
        sent = [
            threads.submit(somebody.post, n % 2, confirm, {"code": "AAAA-AAAA"}) for n in range(8)
        ]
        answers = [one.result() for one in sent]
    looked_at = [answer for answer in answers if answer.status == 200]
    assert len(looked_at) <= 3
    assert len(looked_at) + statuses(answers).count(302) == 8
    last = somebody.post(0, confirm, {"code": "AAAA-AAAA"})
    assert (last.status, last.headers["Location"]) == (302, "/accounts/login/code/")


class _File:
    """As much of a file as a form needs."""

    def __init__(self, name: str, content: bytes) -> None:
        self.name, self._content = name, content

    def read(self) -> bytes:
        return self._content

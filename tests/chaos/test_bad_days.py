"""Bad days of a running installation: disk full or read-only, mail silent, Redis gone and full.

Real processes, in the short form: what a reader sees, what a writer keeps, what the watcher is told.
"""

import json
import os
import re
import resource
import shutil
import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager
from html import unescape
from typing import Any

import pytest
from django.conf import settings
from redis import Redis

from tests.chaos.house import House
from tests.chaos.processes import Part, free_port, wait_until
from tests.chaos.several_doors import Answer, Person
from tests.chaos.sink import Inbox

ON_POSTGRESQL = settings.DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql"
ASK, CONFIRM = "/accounts/login/code/", "/accounts/login/code/confirm/"
SOON_S = 60  # a busy machine; what is measured is that it comes at all


class Stand:
    """An installation with one case, and people in front of it."""

    def __init__(self, house: House, letters: Inbox) -> None:
        self.house, self.letters = house, letters
        self.people = house.tell("tests.chaos.people", "--horses=1")
        self.case = f"/cases/{self.people['cases'][0]}/"
        self.port = house.web() if ON_POSTGRESQL else house.serve()
        if ON_POSTGRESQL:
            house.worker("one", "all,sheets,notices")

    def person(self, role: str = "") -> Person:
        return Person([self.port], self.people["sessions"][role] if role else "")

    def ready(self) -> dict[str, str]:
        time.sleep(5.5)  # longer than the answer of before is kept
        said: dict[str, str] = json.loads(self.person().get(0, "/readyz").text)
        return said

    def part(self, name: str) -> Part:
        return next(part for part in self.house.parts if part._log.name.startswith(name))


def server_url() -> str:
    return os.environ["DATABASE_URL"].rsplit("/", 1)[0] if ON_POSTGRESQL else ""


def need_redis() -> None:
    if not shutil.which("redis-server"):
        pytest.skip("needs redis-server")


@pytest.fixture(scope="module")
def stand(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stand]:
    if ON_POSTGRESQL:
        need_redis()
    letters = Inbox()
    with House(tmp_path_factory.mktemp("house"), server_url(), letters) as house:
        yield Stand(house, letters)


@pytest.fixture(scope="module")
def stand_with_redis(tmp_path_factory: pytest.TempPathFactory, request: Any) -> Iterator[Stand]:
    """The several processes have one; the embedded installation may have one for its cache."""
    need_redis()
    if ON_POSTGRESQL:
        yield request.getfixturevalue("stand")
        return
    letters = Inbox()
    with House(tmp_path_factory.mktemp("house-redis"), "", letters, redis=True) as house:
        yield Stand(house, letters)


@contextmanager
def disk_full(stand: Stand) -> Iterator[None]:
    """No file of the running process may grow any more, that of its database included."""
    pid = stand.part("serve").pid
    before = resource.prlimit(pid, resource.RLIMIT_FSIZE, (0, resource.RLIM_INFINITY))
    try:
        yield
    finally:
        resource.prlimit(pid, resource.RLIMIT_FSIZE, before)


@contextmanager
def read_only(stand: Stand) -> Iterator[None]:
    """The database of a running installation is set to take nothing new."""
    name = stand.house._database

    def told(word: str) -> None:
        stand.house._sql(f"ALTER DATABASE {name} SET default_transaction_read_only = {word}")
        stand.house._sql(
            f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'"
        )

    told("on")
    try:
        yield
    finally:
        told("off")


def bad_day(stand: Stand) -> Any:
    return read_only(stand) if ON_POSTGRESQL else disk_full(stand)


def held(answer: Answer) -> dict[str, str]:
    """The form that a page carries, as pressing its button sends it."""
    pairs = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', answer.text)
    return {name: unescape(value) for name, value in pairs}


def test_reading_goes_on_and_what_was_written_is_kept_until_it_can_be_saved(stand: Stand) -> None:
    vet, path = stand.person("vet"), f"{stand.case}notes/new/"
    vet.get(0, path)
    typed = {
        "body": "Soft ground only.",
        "audience": "owner,farrier,vet,carer",
        "client_key": "bad-day",
    }
    pages = [
        "/horses/",
        stand.case,
        f"{stand.case}history/",
        f"{stand.case}sheet/",
        f"{stand.case}team/",
        "/round/",
        "/me/",
        "/notices/",
        "/urgent/",
    ]
    with bad_day(stand):
        found = {page: vet.get(0, page).status for page in pages}
        refused = vet.post(0, path, typed)
        asked = stand.person().post(0, ASK, {"email": "somebody@example.test"})
        said = stand.ready()
    assert set(found.values()) == {200}, found
    assert (refused.status, asked.status) == (503, 503)
    assert "kept in this phone" in refused.text
    assert "Soft ground only." in refused.text
    assert said["database"] == "takes nothing new: full or read-only"
    again = held(refused)
    assert [vet.post(0, path, again).status for _ in range(2)] == [302, 302]
    assert vet.get(0, f"{stand.case}history/").text.count("Soft ground only.") <= 2
    assert stand.ready()["database"] == "ok"


def signs_in(stand: Stand, email: str) -> bool:
    somebody, before = stand.person(), len(stand.letters.texts)
    if somebody.post(0, ASK, {"email": email}).status != 302:
        return False
    if not wait_until(lambda: len(stand.letters.texts) > before, SOON_S):
        return False
    return somebody.post(0, CONFIRM, {"code": stand.letters.code()}).status == 302


def test_somebody_signs_in_on_a_good_day(stand: Stand) -> None:
    assert signs_in(stand, "vera.house@example.test")


def test_somebody_signs_in_while_redis_is_full(stand_with_redis: Stand) -> None:
    stand = stand_with_redis
    with Redis(port=int(stand.house.env["REDIS_URL"].split(":")[2].split("/")[0])) as redis:
        redis.config_set("maxmemory", 1)
        try:
            assert stand.person("vet").get(0, stand.case).status == 200
            somebody, before = stand.person(), len(stand.letters.texts)
            assert somebody.post(0, ASK, {"email": "vera.house@example.test"}).status == 302
            # No message wakes a worker either: the clock's process sends it; here by hand.
            stand.house.tell("tests.chaos.drain_once")
            assert wait_until(lambda: len(stand.letters.texts) > before, SOON_S)
            assert somebody.post(0, CONFIRM, {"code": stand.letters.code()}).status == 302
            assert stand.ready()["cache"] == "is full"
        finally:
            redis.config_set("maxmemory", 0)
    assert stand.ready()["cache"] == "ok"


def test_a_code_asked_for_while_redis_is_away_can_be_typed(stand_with_redis: Stand) -> None:
    """The clock's process sends what is due by itself meanwhile; here that is done once, by hand."""
    stand = stand_with_redis
    redis = stand.part("redis")
    redis.kill()
    try:
        somebody, before = stand.person(), len(stand.letters.texts)
        assert somebody.post(0, ASK, {"email": "finn.house@example.test"}).status == 302
        assert somebody.post(0, CONFIRM, {"code": "AAAA-AAAA"}).status == 200
        assert stand.person("vet").get(0, f"{stand.case}sheet/").status == 200
        assert stand.ready()["cache"] == "does not answer"
        stand.house.tell("tests.chaos.drain_once")
        assert wait_until(lambda: len(stand.letters.texts) > before, SOON_S)
        assert somebody.post(0, CONFIRM, {"code": stand.letters.code()}).status == 302
    finally:
        redis.start()


@contextmanager
def silent_server() -> Iterator[int]:
    """Takes the connection and never says a word."""
    with socket.socket() as ear:
        ear.bind(("127.0.0.1", free_port()))
        ear.listen(50)
        yield ear.getsockname()[1]


@pytest.mark.parametrize("mail", ["silent", "away"])
def test_the_page_does_not_wait_for_mail_that_is_silent_or_away(
    mail: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("mail")
    with silent_server() as silent, House(folder, server_url(), Inbox()) as house:
        port = silent if mail == "silent" else free_port()
        house.env["EMAIL_URL"] = f"smtp://127.0.0.1:{port}"
        if ON_POSTGRESQL:
            house.worker("one", "all,sheets,notices")
        somebody = Person([house.web() if ON_POSTGRESQL else house.serve()])
        somebody.get(0, ASK)
        began = time.monotonic()
        assert somebody.post(0, ASK, {"email": "nobody@example.test"}).status == 302
        assert time.monotonic() - began < 15  # the mail server is waited for 20 s

        def page() -> str:
            return somebody.get(0, CONFIRM).text

        assert "Not arrived?" in page()
        assert wait_until(lambda: "did not answer" in page(), SOON_S, every=1)

"""Two web processes and two workers on one PostgreSQL and Redis are one installation."""

import os
import re
import shutil
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from django.conf import settings

from tests.chaos.house import Browser, House
from tests.chaos.processes import wait_until

pytestmark = pytest.mark.skipif(
    settings.DATABASES["default"]["ENGINE"] != "django.db.backends.postgresql"
    or not shutil.which("redis-server"),
    reason="needs PostgreSQL and redis-server",
)
EVENTS = 12
HEARERS = 2  # the vet and the farrier; the owner's own act is told to nobody else


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[House, list[Any], Any]]:
    server = os.environ["DATABASE_URL"].rsplit("/", 1)[0]
    with House(tmp_path_factory.mktemp("house"), server) as house:
        people = house.tell("tests.chaos.people", "--horses=2")
        for name in ("one", "two"):
            house.worker(name, "all,sheets,notices")
        browsers = [Browser(house.web(), people["session"]) for _ in range(2)]
        yield house, browsers, people["cases"]


def _all_sent(house: House, *, more_than: int = -1) -> int:
    """How many mails there are once nothing is left to be done; tests of this file share a house."""
    assert wait_until(lambda: len(house.sink.counts) > more_than, 60)
    assert wait_until(lambda: house.tell("tests.chaos.count")["work_left"] == 0, 60, 1)
    return len(house.sink.counts)


def test_each_notice_goes_out_once_and_no_work_is_done_twice_or_left(running: Any) -> None:
    house, browsers, cases = running
    wanted = _all_sent(house) + EVENTS * HEARERS
    path = f"/cases/{cases[0]}/flags/new/"
    for number in range(EVENTS):  # clicks fall on either process
        fields = {"signs": ["heat"], "feet": ["LF"], "since": "today", "words": f"No. {number}"}
        assert browsers[number % 2].post(path, fields) == 302
    _all_sent(house, more_than=wanted - 1)
    seen = house.tell("tests.chaos.count")
    assert (seen["app"], seen["mail"], seen["sent"]) == (wanted,) * 3
    assert set(house.sink.counts) == set(seen["ids"])
    assert set(house.sink.counts.values()) == {1}
    assert seen["most_attempts"] == 0


def test_the_same_form_sent_to_both_at_once_is_one_flag(running: Any) -> None:
    house, browsers, cases = running
    path = f"/cases/{cases[1]}/flags/new/"
    fields = {
        "signs": ["heat"],
        "feet": ["RF"],
        "since": "today",
        "words": "Once.",
        "client_key": "the-same-key",
    }
    before = _all_sent(house)
    form = browsers[0].form(path)  # both take it: secret and sessions are shared
    with ThreadPoolExecutor(6) as threads:
        sent = [threads.submit(browsers[n % 2].send, path, fields, form) for n in range(6)]
        assert {one.result() for one in sent} == {302}
    _, board = browsers[0].get(f"/cases/{cases[1]}/")
    flags = set(re.findall(rf"/cases/{cases[1]}/flags/(\w+)/", board)) - {"new"}
    assert len(flags) == 1
    assert _all_sent(house, more_than=before) == before + HEARERS


def test_the_board_is_the_same_from_either(running: Any) -> None:
    house, browsers, cases = running
    before = _all_sent(house)
    fields = {"signs": ["heat"], "feet": ["LF"], "since": "today", "words": "Seen from either."}
    assert browsers[0].post(f"/cases/{cases[0]}/flags/new/", fields) == 302
    _all_sent(house, more_than=before)
    pages = [browser.get(f"/cases/{cases[0]}/") for browser in browsers]
    assert [status for status, _ in pages] == [200, 200]
    first, second = (_without_tokens(page) for _, page in pages)
    assert "Seen from either." in first
    assert first == second


def _without_tokens(page: str) -> str:
    """Tokens, keys of forms and the clock differ with every answer of one process too."""
    page = re.sub(r'data-now="\d+"', "", page)
    page = re.sub(r'name="(csrfmiddlewaretoken|client_key)" value="[^"]*"', "", page)
    return re.sub(r'"X-CSRFToken": *"[^"]*"|X-CSRFToken[^}]*}', "", page)

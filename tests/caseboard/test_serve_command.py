"""The one-process installation: pages and background work from one command."""

import re
import signal
import sqlite3
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from caseboard.processes.server import address_of
from tests.caseboard.processes import manage, manage_start

SOON_S = 60


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    """A running installation that started with work waiting; it must end cleanly."""
    state = tmp_path_factory.mktemp("serve")
    asked = (
        "from django.core.management import call_command as c; "
        "c('migrate', verbosity=0); c('createcachetable', verbosity=0); "
        "from django.utils import timezone; from horses.jobs.outbox import enqueue; "
        "enqueue('notice.mail', 'a-notice-that-is-not-there', now=timezone.now())"
    )
    assert manage("shell", "-v", "0", "-c", asked, state=state).returncode == 0
    with manage_start("serve", "--port", "0", state=state) as process:
        yield state, _address(process)
        process.send_signal(signal.SIGTERM)
        said, _ = process.communicate(timeout=SOON_S)
    assert process.returncode == 0
    assert "Traceback" not in said.split("work.failed")[0]


def _address(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    for line in process.stdout:
        if found := re.search(r"at (http://\S+)/ ", line):
            return found[1]
    raise AssertionError("it ended without serving")


def test_it_answers(served: tuple[Path, str]) -> None:
    with urllib.request.urlopen(f"{served[1]}/livez", timeout=SOON_S) as answer:
        assert answer.read() == b"ok"


def test_its_style_sheets_need_no_other_server(served: tuple[Path, str]) -> None:
    with urllib.request.urlopen(f"{served[1]}/static/css/base.css", timeout=SOON_S) as answer:
        assert answer.headers["Content-Type"].startswith("text/css")


def test_the_servers_name_and_version_are_not_told(served: tuple[Path, str]) -> None:
    with urllib.request.urlopen(f"{served[1]}/livez", timeout=SOON_S) as answer:
        assert "waitress" not in str(answer.headers).lower()


def test_work_that_waited_is_taken_up(served: tuple[Path, str]) -> None:
    end = time.monotonic() + SOON_S
    while _untried(served[0]) and time.monotonic() < end:
        time.sleep(0.1)
    assert not _untried(served[0])


def _untried(state: Path) -> bool:
    with sqlite3.connect(state / "caseboard.sqlite3") as database:
        return bool(database.execute("SELECT 1 FROM horses_work WHERE attempts = 0").fetchone())


@pytest.mark.parametrize(
    ("host", "shown"),
    [
        ("127.0.0.1", "http://127.0.0.1:8000"),
        ("0.0.0.0", "http://127.0.0.1:8000"),
        ("::1", "http://[::1]:8000"),
        ("board.local", "http://board.local:8000"),
    ],
)
def test_the_address_shown_is_one_that_can_be_opened(host: str, shown: str) -> None:
    assert address_of(host, 8000) == shown

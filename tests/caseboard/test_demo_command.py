"""The demo as a newcomer starts it: from nothing, again, anew, and never on a real installation."""

import re
import signal
import sqlite3
import subprocess
import urllib.request
from pathlib import Path
from typing import Any

import pytest

from caseboard.management.commands.demo import reset
from tests.caseboard.commands import manage, manage_start
from tests.caseboard.test_production_settings import WHOLE

SOON_S = 60


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A prepared demo, with what its first start printed. Shared: preparing takes a while."""
    state = tmp_path_factory.mktemp("demo")
    (state / "caseboard.sqlite3").write_text("a real installation's data")
    done = manage("demo", "--no-serve", state=state, DATABASE_URL="postgres://nobody@127.0.0.1:1/x")
    assert done.returncode == 0, done.stderr
    return state, done.stdout


def rows(state: Path, question: str) -> list[tuple[Any, ...]]:
    with sqlite3.connect(state / "demo" / "caseboard.sqlite3") as database:
        return database.execute(question).fetchall()


def test_it_says_how_to_sign_in_as_each_person(demo: tuple[Path, str]) -> None:
    state, said = demo
    for (address,) in rows(state, "SELECT email FROM horses_person"):
        assert str(address) in said
    assert "/mailbox/" in said


def test_it_leaves_the_real_installation_alone(demo: tuple[Path, str]) -> None:
    state, _ = demo
    assert (state / "caseboard.sqlite3").read_text() == "a real installation's data"


def test_it_has_horses_and_readings(demo: tuple[Path, str]) -> None:
    state, _ = demo
    assert rows(state, "SELECT count(*) FROM horses_horse")[0][0] >= 8
    assert rows(state, "SELECT count(*) FROM measurements_reading")[0][0] > 100


def test_all_its_work_is_done_but_the_question_to_the_stand_in(demo: tuple[Path, str]) -> None:
    """Today's lost shoe: the stand-in is asked in some hours, if the farrier has not answered."""
    state, _ = demo
    assert rows(state, "SELECT kind, trouble FROM horses_work") == [("shoe.stand_in", "")]


def test_a_second_start_keeps_what_was_done(demo: tuple[Path, str]) -> None:
    state, _ = demo
    with sqlite3.connect(state / "demo" / "caseboard.sqlite3") as database:
        database.execute("UPDATE horses_horse SET name = 'Renamed' WHERE id = 1")
    done = manage("demo", "--no-serve", state=state)
    assert done.returncode == 0
    assert "as you left it" in done.stdout
    assert rows(state, "SELECT name FROM horses_horse WHERE id = 1") == [("Renamed",)]


def test_it_serves_until_ctrl_c_and_ends_cleanly(demo: tuple[Path, str]) -> None:
    state, _ = demo
    with manage_start("demo", "--port", "0", state=state) as process:
        address = _address(process)
        with urllib.request.urlopen(f"{address}/livez", timeout=SOON_S) as answer:
            assert answer.read() == b"ok"
        process.send_signal(signal.SIGINT)
        try:
            said, _ = process.communicate(timeout=SOON_S)
        finally:
            process.kill()  # one that does not end would be waited for without end
    assert process.returncode == 0
    assert "Ended" in said
    assert "Traceback" not in said


def _address(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    for line in process.stdout:
        if found := re.search(r"The case board is at (http://\S+)/ ", line):
            return found[1]
    raise AssertionError("it ended without serving")


def test_a_reset_deletes_only_the_demos_own_files(tmp_path: Path) -> None:
    database = tmp_path / "demo.sqlite3"
    for name in ("demo.sqlite3", "demo.sqlite3-wal", "other.sqlite3", "mine.txt"):
        (tmp_path / name).write_text("x")
    (tmp_path / "mailbox").mkdir()
    (tmp_path / "mailbox" / "old.eml").write_text("old")
    reset(database, folders=[tmp_path / "mailbox", tmp_path / "never-made"])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.txt", "other.sqlite3"]


@pytest.mark.parametrize("words", [["demo", "--no-serve"], ["demo", "--reset", "--no-serve"]])
def test_production_refuses_it(tmp_path: Path, words: list[str]) -> None:
    done = manage(*words, state=tmp_path, **WHOLE)
    assert done.returncode != 0
    assert "not for it" in done.stderr
    assert not (tmp_path / "demo").exists()


def test_it_cannot_be_turned_on_another_database(tmp_path: Path) -> None:
    asked = "from django.core.management import call_command; call_command('demo', '--reset')"
    done = manage("shell", "-v", "0", "-c", asked, state=tmp_path)
    assert done.returncode != 0
    assert "manage.py demo" in done.stderr

"""Runs tests in forks of a process that has imported the libraries once, and none of our code.

Started by `run.py` in a scratch copy: `python -m tests.mutants.server`. A line in is a JSON object
(`tests`, `fresh`), a line out its answer (`code`: pytest's exit code, or -1 where the time was up).
"""

import json
import os
import shutil
import signal
import sys
import time
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

LONGEST_S = 90  # house default: a slip that makes a test run for ever is seen, too
STATE = Path("var/mutants")
EMPTY = STATE / "empty.sqlite3"
OUTPUT = STATE / "output.txt"
# Libraries that take long to import and look at no settings while they do.
HEAVY = """
PIL.Image celery cryptography.x509 django.contrib.staticfiles.handlers django.core.management
django.db.migrations.executor django.db.models django.forms django.template.engine django.test
django.views.generic fido2.server hypothesis hypothesis.stateful icalendar numpy
pytest_django.plugin redis segno structlog waitress xdist.plugin
"""


def main() -> None:
    os.environ["CASEBOARD_STATE_DIR"] = str(STATE.resolve())
    os.environ["DJANGO_SETTINGS_MODULE"] = "caseboard.settings"
    STATE.mkdir(parents=True, exist_ok=True)
    for name in HEAVY.split():
        with suppress(ImportError):
            import_module(name)
    _forked(_make_empty_database)
    for line in sys.stdin:
        asked = json.loads(line)
        code = _forked(_run_tests, asked["tests"], fresh=asked["fresh"])
        print(json.dumps({"code": code}), flush=True)


def _forked(work: Any, *args: Any, **more: Any) -> int:
    """What the work says, done in a child with a process group of its own and an end to its time."""
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        _write_to(OUTPUT)
        code = 70
        try:
            code = int(work(*args, **more))
        finally:
            sys.stdout.flush()
            os._exit(code)
    until = time.monotonic() + LONGEST_S
    while time.monotonic() < until:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.01)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return -1


def _write_to(path: Path) -> None:
    with path.open("w") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)


def _make_empty_database() -> int:
    """The tables as they are made, kept for the children to copy."""
    import django

    django.setup()
    from django.db import connection

    made = connection.creation.create_test_db(autoclobber=True, serialize=False)
    connection.close()
    shutil.move(made, EMPTY)
    return 0


class CopiesTheTables:
    """A pytest plugin: the test database is a copy of the empty one, not made by migrations."""

    @pytest.hookimpl(trylast=True)
    def pytest_configure(self) -> None:
        from django.db import connection

        creation: Any = connection.creation

        def create_test_db(*args: object, **more: object) -> str:
            name: str = creation._get_test_db_name()
            shutil.copyfile(EMPTY, name)
            connection.close()
            connection.settings_dict["NAME"] = name
            return name

        creation.create_test_db = create_test_db


def _run_tests(tests: list[str], *, fresh: bool) -> int:
    options = ["-q", "-x", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-seed=0"]
    return pytest.main([*options, *tests], plugins=[] if fresh else [CopiesTheTables()])


if __name__ == "__main__":
    main()

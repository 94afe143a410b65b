"""How the suite is run, and what every test may ask for by name."""

import os
import random
from collections.abc import Callable, Generator, Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.databases import differs, drawn
from tests.kept_alive import (
    look_for_no_rubbish,
    look_for_static_files_once,
    set_aside_what_stays,
)
from tests.lift import wrap_teardown

if TYPE_CHECKING:  # models cannot be imported before Django is set up
    from tests.cast import Cast
    from tests.stage import Stage

HOME = Path(__file__).resolve().parent.parent


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--random-seed", type=int, help="run the tests in another order, the same for the same seed"
    )
    parser.addoption(
        "--draw", metavar="COMMIT", help="-m database: a part of the files, another for each commit"
    )


@pytest.hookimpl(tryfirst=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One worker more than there are cores for the whole suite: some tests wait for processes of
    their own. None where files are named: a worker takes as long to start as a file to run."""
    named = {Path(arg.partition("::")[0]).resolve() for arg in config.args}
    return (os.cpu_count() or 1) + 1 if named <= {HOME, HOME / "tests"} else 0


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    seed = config.getoption("--random-seed")
    if seed is not None:
        shuffle(items, random.Random(seed))
    commit = config.getoption("--draw")
    for item in items:
        path = item.path.relative_to(HOME).as_posix()
        if differs(path) and (commit is None or drawn(path, commit)):
            item.add_marker(pytest.mark.database)


def shuffle(items: list[pytest.Item], chance: random.Random) -> None:
    """The files in another order, and the tests of each."""
    files = list(dict.fromkeys(item.path for item in items))
    place = {path: chance.random() for path in files}
    items.sort(key=lambda item: (place[item.path], chance.random()))


def pytest_configure() -> None:
    os.environ["CASEBOARD_ENV_FILE"] = (
        ""  # no process of a test reads a real installation's settings
    )
    wrap_teardown()
    look_for_static_files_once()
    look_for_no_rubbish()


def pytest_collection_finish() -> None:
    set_aside_what_stays()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Where browser tests are required, one that is skipped has failed."""
    report = yield
    required = os.environ.get("CASEBOARD_BROWSER_TESTS") == "required"
    if required and report.skipped and item.path.parent.name == "browser":
        report.outcome = "failed"
        report.longrepr = f"browser tests are required here: {report.longrepr}"
    return report


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix: None) -> None:
    """The database of the tests does not wait for the disk: it need not survive anything."""
    from django.db import connection

    options = connection.settings_dict.setdefault("OPTIONS", {})
    if connection.vendor == "sqlite":
        options["init_command"] = options["init_command"].replace("=FULL", "=OFF")
    elif connection.vendor == "postgresql":  # of this connection alone, not of the server
        options["options"] = f"{options.get('options', '')} -c synchronous_commit=off".strip()


@pytest.fixture(scope="session", autouse=True)
def _registered() -> None:
    """A test that puts rules or handlers of its own in the place of ours finds ours in it already."""
    from horses.jobs.outbox import job_kinds_load
    from horses.rules.engine import rules_load

    job_kinds_load()
    rules_load()


@pytest.fixture
def now() -> datetime:
    """The fixed moment of the tests: a Monday morning."""
    return datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def cast(request: pytest.FixtureRequest, db: None, now: datetime) -> "Cast":
    """The fixed people, on one horse with a standing case and a concern."""
    from tests.cast import make_cast
    from tests.copied import copied

    if "stage" in request.fixturenames:
        return request.getfixturevalue("set_up").cast
    return copied(("cast", now), lambda: make_cast(now))


@pytest.fixture
def set_up(db: None, now: datetime) -> "Stage":
    """The same people with one of everything on the concern; asked for as `stage`."""
    from tests.cast import make_cast
    from tests.copied import copied
    from tests.stage import set_stage
    from tests.stage_pictures import with_pictures

    return copied(("stage", now), lambda: with_pictures(set_stage(make_cast(now), now)))


@pytest.fixture
def stage(set_up: "Stage") -> "Stage":
    return set_up


@pytest.fixture
def clock_stands(now: datetime, monkeypatch: pytest.MonkeyPatch) -> datetime:
    """The pages read the fixed moment from the clock too."""
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now)
    return now


@pytest.fixture
def drain(now: datetime) -> Callable[..., int]:
    """Does all work that is due, as a worker would; says how many pieces were taken."""
    from horses.jobs.outbox import jobs_run_due

    def run(at: datetime | None = None) -> int:
        total = 0
        while taken := jobs_run_due(now=at or now):
            total += taken
        return total

    return run


@pytest.fixture(scope="session")
def _state_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A name for each test. Nothing is made there before something is written: most tests write nothing,
    and pytest's own numbered folders look through all those before them."""
    above = tmp_path_factory.mktemp("state")
    return (above / str(number) for number in count())


@pytest.fixture(autouse=True)
def _own_files(settings: Any, _state_folders: Iterator[Path]) -> None:
    """No test writes into the running installation's mailbox or photos."""
    folder = next(_state_folders)
    settings.MAILBOX_DIR = folder / "mailbox"
    settings.MEDIA_ROOT = folder / "media"
    settings.READY_KEPT_S = 0  # each test asks anew


@pytest.fixture(autouse=True)
def _nothing_kept() -> None:
    """The copied people of each test have the rows and histories of the test before: a process that
    lives on never sees that."""
    from measurements.queries.numbers_kept import KEPT

    KEPT.clear()

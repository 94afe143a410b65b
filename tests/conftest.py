"""What every test may ask for by name."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from tests.lift import wrap_teardown


def pytest_configure() -> None:
    wrap_teardown()


@pytest.fixture
def now() -> datetime:
    """The fixed moment of the tests: a Monday morning."""
    return datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def drain(now: datetime) -> Callable[..., int]:
    """Does all work that is due, as a worker would; says how many pieces were taken."""
    from horses.work import work_run_due

    def run(at: datetime | None = None) -> int:
        total = 0
        while taken := work_run_due(now=at or now):
            total += taken
        return total

    return run


@pytest.fixture(autouse=True)
def _fresh_mailbox(settings: object, tmp_path_factory: pytest.TempPathFactory) -> None:
    """No test writes into the running installation's mailbox or photos."""
    folder = tmp_path_factory.mktemp("state")
    settings.MAILBOX_DIR = folder / "mailbox"  # type: ignore[attr-defined]
    settings.MEDIA_ROOT = folder / "media"  # type: ignore[attr-defined]

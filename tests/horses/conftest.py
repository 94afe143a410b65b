"""One of everything on the concern, and a clock that can be set, for every test of this folder that asks."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

import pytest
from django.core.cache import cache

from caseboard.lib import clock
from tests.access.faults import asked_for
from tests.cast import Cast
from tests.stage import Stage, set_stage


@pytest.fixture
def stage(cast: Cast, now: datetime) -> Stage:
    return set_stage(cast, now)


@pytest.fixture(autouse=True)
def _seeded_fault() -> Iterator[None]:
    """Nothing, unless the long form of tests/access/faults.py runs."""
    with asked_for():
        yield


@pytest.fixture
def later(now: datetime, monkeypatch: pytest.MonkeyPatch) -> Callable[[float], None]:
    """Sets the pages' clock so many minutes after the sign-in."""
    cache.clear()
    monkeypatch.setattr(clock, "now", lambda: now)
    return lambda minutes: monkeypatch.setattr(
        clock, "now", lambda: now + timedelta(minutes=minutes)
    )

"""The stage, the flags and plan items that several files ask for, and a clock that can be set."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

import pytest
from django.core.cache import cache

from caseboard.lib import clock
from horses.models import Flag, PlanItem
from tests import build
from tests.access.faults import asked_for
from tests.cast import Cast


@pytest.fixture(autouse=True)
def _seeded_fault() -> Iterator[None]:
    """Nothing, unless the long form of tests/access/faults.py runs."""
    with asked_for():
        yield


@pytest.fixture
def flag(cast: Cast, now: datetime) -> Flag:
    return build.flag(cast.access(cast.owner), now, "heat", words="Warm since yesterday.")


@pytest.fixture
def urgent(cast: Cast, now: datetime) -> Flag:
    return build.flag(cast.access(cast.owner), now, "in_sole")


@pytest.fixture
def item(cast: Cast, now: datetime) -> PlanItem:
    return build.plan_item(cast.access(cast.farrier), now, text="Keep on soft ground.")


@pytest.fixture
def therapeutic(cast: Cast, now: datetime) -> PlanItem:
    return build.plan_item(cast.access(cast.vet), now, text="Wedge, 2 degrees.", therapeutic=True)


@pytest.fixture
def later(now: datetime, monkeypatch: pytest.MonkeyPatch) -> Callable[[float], None]:
    """Sets the pages' clock so many minutes after the sign-in."""
    cache.clear()
    monkeypatch.setattr(clock, "now", lambda: now)
    return lambda minutes: monkeypatch.setattr(
        clock, "now", lambda: now + timedelta(minutes=minutes)
    )

"""One of everything on the concern, for every test of this folder that asks for it."""

from collections.abc import Iterator
from datetime import datetime

import pytest

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

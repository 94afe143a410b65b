"""The yard that these tests know."""

from datetime import datetime

import pytest

from tests.copied import copied
from tests.yards import YardCast, make_yard_cast


@pytest.fixture
def yard_cast(db: None, now: datetime) -> YardCast:
    return copied(("yard", now), lambda: make_yard_cast(now))

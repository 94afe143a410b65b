"""One of everything on the concern, for every test of this folder that asks for it."""

from datetime import datetime

import pytest

from tests.cast import Cast
from tests.stage import Stage, set_stage


@pytest.fixture
def stage(cast: Cast, now: datetime) -> Stage:
    return set_stage(cast, now)

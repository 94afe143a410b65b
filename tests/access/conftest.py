"""The stage, and a signed-in browser for each of the people."""

from collections.abc import Iterator
from datetime import datetime

import pytest
from django.db import transaction

from tests import build
from tests.access.faults import asked_for
from tests.access.people import People
from tests.cast import Cast
from tests.stage import Stage


@pytest.fixture(autouse=True)
def _clock_stands(clock_stands: datetime) -> None:
    """The pages live in the moment in which the stage was set."""


@pytest.fixture
def stage(stage: Stage, now: datetime) -> Stage:
    """With a reading of the stand-in's."""
    with transaction.atomic():  # also where the test is not one
        own = build.reading(stage.access("stand_in"), now, "RH", "toe_angle", 51, now.date())
    stage.readings["stand_in"] = own
    return stage


@pytest.fixture
def people(cast: Cast) -> People:
    return People(cast)


@pytest.fixture(autouse=True)
def _seeded_fault() -> Iterator[None]:
    """Nothing, unless the long form of tests/access/faults.py runs."""
    with asked_for():
        yield


@pytest.fixture
def not_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests of what a page says, not of what fits on paper: no sheet is laid out."""
    monkeypatch.setattr("caseboard.views.sheet.sheet_left_off", lambda sheet: {})

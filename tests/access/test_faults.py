"""The guards are guarded: each seeded fault is noticed, and without one nothing is."""

from datetime import datetime

import pytest

from tests.access.checks import first_wrong
from tests.access.faults import BY_NAME, FAULTS, made
from tests.access.people import People
from tests.stage import Stage

pytestmark = pytest.mark.django_db


def test_without_a_fault_nothing_is_wrong(stage: Stage, people: People, now: datetime) -> None:
    assert first_wrong(stage, people, now) == ""


def test_every_seeded_fault_is_noticed(stage: Stage, people: People, now: datetime) -> None:
    missed = []
    for fault in FAULTS:
        with made(fault):
            if not first_wrong(stage, people, now):
                missed.append(fault.name)
    assert missed == []
    assert first_wrong(stage, people, now) == ""  # and none of them left anything behind


def test_there_are_enough_of_them_and_each_has_its_name() -> None:
    assert len(BY_NAME) == len(FAULTS) >= 30

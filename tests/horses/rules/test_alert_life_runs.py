"""Runs that the machine of tests/horses/rules/test_alert_life_machine.py came upon, kept step by step."""

from collections.abc import Iterator

import pytest

from horses.models import Notice, Role
from tests.horses.rules.test_alert_life_machine import Life, only_life

pytestmark = pytest.mark.django_db


@pytest.fixture
def life(monkeypatch: pytest.MonkeyPatch) -> Iterator[Life]:
    only_life(monkeypatch)
    life = Life()
    yield life
    life.teardown()


def all_holds(life: Life) -> None:
    life.it_stands_open_for_whom_it_must()
    life.what_got_worse_since_they_were_told_is_told_and_unfolded()
    life.nothing_is_raised_twice_for_one_cause()


def test_a_notice_of_one_finding_tells_a_newcomer_nothing_of_the_other_of_its_cause(
    life: Life,
) -> None:
    """The role was told of the band at 9.5; at 6.7 it is no worse than that, and stands open."""
    life.begins(some={"band"}, severity=9.5)
    life.is_found(kind="band", severity=0.0, sd=0.3)
    life.goes(number=1, board=1)
    life.joins(number=1, board=1, role=Role.FARRIER)
    life.is_found(kind="angles", severity=12.0, sd=1.0)
    said = Notice.objects.filter(person=life.people[1], channel="app").latest("pk")
    assert said.body == "It falls."
    life.is_found(kind="band", severity=6.7, sd=0.4)
    all_holds(life)

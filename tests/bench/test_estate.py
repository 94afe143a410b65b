"""The generated estate is what the services would have written, and comes nowhere near people."""

from datetime import datetime
from typing import Any

import pytest
from django.db import transaction

from horses.ledger.verify import broken_lines
from horses.models import Case, Horse, Person
from measurements.models import Reading
from tests.bench.estate import EstateMisplaced, estate_build
from tests.bench.load_queries import page_queries


def test_it_has_as_many_horses_and_readings_as_were_asked_for(db: None, now: datetime) -> None:
    estate_build(horses=3, readings=100, now=now)
    assert (Horse.objects.count(), Reading.objects.count()) == (3, 100)


def test_every_history_chain_is_whole(db: None, now: datetime) -> None:
    estate_build(horses=3, readings=100, now=now)
    cases = Case.objects.filter(last_seq__gt=5)
    assert [len(list(broken_lines(case))) for case in cases] == [0, 0, 0]


def test_the_same_seed_gives_the_same_estate(db: None, now: datetime) -> None:
    def built(seed: int) -> set[tuple[str, str, str]]:
        with transaction.atomic():
            estate_build(horses=2, readings=40, seed=seed, now=now)
            found = set(Reading.objects.values_list("public_id", "entered_text", "horse__name"))
            transaction.set_rollback(True)
        return found

    first = built(1)
    assert len(first) == 40
    assert built(1) == first
    assert not built(2) & first


def test_it_is_not_built_among_people_unless_that_is_meant(db: None, now: datetime) -> None:
    Person.objects.create_user("somebody@example.test")
    with pytest.raises(EstateMisplaced, match="people in this database"):
        estate_build(horses=1, readings=0, now=now)
    estate_build(horses=1, readings=0, now=now, among_people=True)
    assert Horse.objects.count() == 1


def test_it_is_not_built_in_production(db: None, now: datetime, settings: Any) -> None:
    settings.PRODUCTION = True
    with pytest.raises(EstateMisplaced, match="production"):
        estate_build(horses=1, readings=0, now=now, among_people=True)


def test_no_page_asks_more_of_the_database_for_more_horses(
    db: None, clock_stands: datetime
) -> None:
    estate_build(horses=2, readings=60, now=clock_stands)
    few = page_queries()
    estate_build(horses=26, readings=780, seed=2, now=clock_stands, among_people=True)
    many = page_queries("estate2")
    assert many == few

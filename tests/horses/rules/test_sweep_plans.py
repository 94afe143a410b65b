"""What the clock asks each minute is answered from an index of what is due, whatever else there is."""

from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from horses.jobs.outbox import NOTICES, NUMBERS, claim, oldest_due
from horses.models import Horse, HorseClock, Job
from horses.rules.engine import evaluate_due
from tests.cast import Cast

pytestmark = pytest.mark.django_db

MANY = 3000  # a table so long that reading it whole would cost more than an index


def plan_of(seen: CaptureQueriesContext) -> str:
    """How the database answers the first question that was asked of it."""
    sql = next(q["sql"] for q in seen.captured_queries if q["sql"].startswith("SELECT"))
    words = "EXPLAIN QUERY PLAN " if connection.vendor == "sqlite" else "EXPLAIN "
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
        cursor.execute(words + sql)
        return "\n".join(str(row[-1]) for row in cursor.fetchall())


@pytest.fixture
def many_horses(cast: Cast, now: datetime) -> None:
    """None of them is due yet."""
    same = {
        f.attname: getattr(cast.horse, f.attname)
        for f in Horse._meta.concrete_fields
        if f.attname not in ("id", "public_id")
    }
    horses = Horse.objects.bulk_create(
        Horse(**same, public_id=f"n{number:015}") for number in range(MANY)
    )
    due = now + timedelta(days=1)
    HorseClock.objects.bulk_create(HorseClock(horse=horse, due_at=due) for horse in horses)


@pytest.fixture
def much_work(now: datetime) -> None:
    due = now + timedelta(days=1)
    Job.objects.bulk_create(
        Job(kind="x", key=str(number), due_at=due, created_at=now, rank=number % 4)
        for number in range(MANY)
    )


@pytest.mark.usefixtures("many_horses")
def test_horses_whose_moment_has_come_are_read_from_their_index(now: datetime) -> None:
    with CaptureQueriesContext(connection) as seen:
        evaluate_due(now=now)
    assert "horse_clock_due" in plan_of(seen)


@pytest.mark.usefixtures("much_work")
@pytest.mark.parametrize("most_rank", [NOTICES, NUMBERS])
def test_due_work_is_read_from_its_index(most_rank: int, now: datetime) -> None:
    with CaptureQueriesContext(connection) as seen:
        claim(now=now, most_rank=most_rank)
    assert "work_due_by_rank" in plan_of(seen)


@pytest.mark.usefixtures("much_work")
def test_the_age_of_the_oldest_due_work_is_read_from_an_index(now: datetime) -> None:
    with CaptureQueriesContext(connection) as seen:
        oldest_due(now=now)
    assert "work_due_by_rank" in plan_of(seen)

"""The kill test in a short form; the full one is `python -m tests.chaos.run`, by hand."""

import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from tests.chaos.run import Plan, chaos, wrong


def test_killed_at_any_time_the_one_process_installation_loses_nothing(tmp_path: Path) -> None:
    # A lease longer than a slow machine takes for one mail: else the lease, not a kill, sends twice.
    plan = Plan(events=10, kills=2, seconds=2, lease_s=12, embedded=True, settle_s=90)
    found = chaos(plan, tmp_path, "")
    assert wrong(found) == [], found


@pytest.mark.skipif(
    settings.DATABASES["default"]["ENGINE"] != "django.db.backends.postgresql"
    or not shutil.which("redis-server"),
    reason="needs PostgreSQL and redis-server",
)
def test_workers_and_the_broker_killed_lose_nothing(tmp_path: Path) -> None:
    plan = Plan(events=10, kills=3, broker_kills=1, seconds=2, lease_s=12, settle_s=90)
    server = os.environ["DATABASE_URL"].rsplit("/", 1)[0]
    found = chaos(plan, tmp_path, server)
    assert wrong(found) == [], found


def test_what_is_not_as_it_should_be_is_named() -> None:
    found: dict[str, Any] = {
        "app": 3,
        "sent": 3,
        "expected": 4,
        "work_left": 1,
        "mail_lost": 1,
        "mail_unknown": 0,
        "mail_twice_with_the_same_id": 3,
        "kills_of_the_whole_worker": 1,
        "kills_of_the_process_at_work": 1,
        "kills_of_the_broker": 0,
    }
    assert len(wrong(found)) == 5

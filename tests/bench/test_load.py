"""The soak in a short form; the full one is `python -m tests.bench.load soak`, by hand."""

import os
import shutil
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.conf import settings

from tests.bench.load import soak, wrong
from tests.bench.load_servers import environment, prepared

POSTGRES = settings.DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql"


def short(env: dict[str, str]) -> dict[str, Any]:
    prepared(env, horses=12, readings=240)
    # A few boards, all of them written on by every client.
    return soak(env, clients=4, seconds=10, boards=12, hot=3, settle_s=60)


@pytest.mark.skipif(POSTGRES, reason="the one-process installation has its own database")
def test_the_one_process_installation_loses_no_write_of_many_at_once(tmp_path: Path) -> None:
    found = short(environment(tmp_path))
    assert troubles(found) == [], found


@pytest.mark.skipif(
    not POSTGRES or not shutil.which("redis-server") or not os.environ.get("CASEBOARD_SOAK"),
    reason="needs PostgreSQL, redis-server and CASEBOARD_SOAK=1",
)
def test_several_processes_lose_no_write_of_many_at_once(tmp_path: Path) -> None:
    server = os.environ["DATABASE_URL"].rsplit("/", 1)[0]
    name = f"caseboard_load_{os.getpid()}"
    with psycopg.connect(f"{server}/postgres", autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {name}")
        try:
            found = short(environment(tmp_path, f"{server}/{name}"))
        finally:
            admin.execute(f"DROP DATABASE {name} WITH (FORCE)")
    assert troubles(found) == [], found


def troubles(found: dict[str, Any]) -> list[str]:
    """In ten seconds not every kind of write need come up, but some must."""
    assert sum(found["acknowledged"].values()) > 5, found
    return [words for words in wrong(found) if words != "every kind of write done"]


def test_what_is_not_as_it_should_be_is_named() -> None:
    found: dict[str, Any] = {
        "not_as_they_should_be": {"note 500": 1},
        "in_the_logs": {"deadlock": 1},
        "lost": 1,
        "there_without_a_word_or_twice": 1,
        "keys_without_their_thing": 1,
        "flags_not_told_to_all": 1,
        "broken_history_lines": 1,
        "work_left": 1,
        "work_set_aside": 0,
        "acknowledged": {"note": 1},
    }
    assert len(wrong(found)) == 9

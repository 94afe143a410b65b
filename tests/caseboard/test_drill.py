"""The drill across the databases in a short form; the full one is `python -m tests.bench.drill`, by
hand. Within one database: test_backup.py."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

from tests.bench.drill import Drill, Size, way, wrong

SHORT = Size(cases=2, readings=41, photos=3, photo_kb=1)
ON_POSTGRESQL = settings.DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql"


@pytest.fixture
def drill(tmp_path: Path) -> Iterator[Drill]:
    server = os.environ.get("DATABASE_URL", "").rsplit("/", 1)[0]
    made = Drill(tmp_path, server)
    yield made
    made.end()


@pytest.mark.skipif(not ON_POSTGRESQL, reason="needs PostgreSQL: set DATABASE_URL")
def test_it_goes_from_the_embedded_database_to_postgresql_and_back_equal(drill: Drill) -> None:
    found = way(drill, ("sqlite", "postgresql", "sqlite"), SHORT)
    assert (found["readings"], found["photos"], wrong(found)) == (41, 3, [])

"""Two people write all morning while the line fails in five ways: nothing is lost, nothing doubled.

A short form here; `CASEBOARD_MORNING=long` is the long one: 200 entries, 50 cuts. On PostgreSQL it is
run when asked for (`CASEBOARD_MORNING=short`): beside other tests it took too long there.
"""

import os
from pathlib import Path

import pytest
from django.conf import settings

from tests.browser.chrome import chromium_path
from tests.chaos.morning.run import LONG_PLAN, SHORT_PLAN, morning

ASKED = os.environ.get("CASEBOARD_MORNING", "")
ON_POSTGRESQL = os.environ.get("DATABASE_URL", "").startswith("postgres")

pytestmark = [
    pytest.mark.skipif(ON_POSTGRESQL and not ASKED, reason="asked for by CASEBOARD_MORNING"),
    pytest.mark.browser,
    pytest.mark.skipif(not chromium_path(), reason="no Chromium on this machine"),
]


def test_what_two_people_write_over_a_failing_line_is_there_once_each(tmp_path: Path) -> None:
    plan = LONG_PLAN if ASKED == "long" else SHORT_PLAN
    on_postgresql = settings.DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql"
    server = os.environ["DATABASE_URL"].rsplit("/", 1)[0] if on_postgresql else ""
    found = morning(plan, tmp_path, server)
    print(found.table())
    assert found.wrong() == [], found.table()

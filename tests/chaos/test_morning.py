"""Two people write all morning while the line fails in five ways: nothing is lost, nothing doubled.

A short form here; `CASEBOARD_MORNING=long` is the long one: 200 entries, 50 cuts.
"""

import os
from pathlib import Path

import pytest
from django.conf import settings

from tests.browser.chrome import chromium_path
from tests.chaos.morning.run import LONG_PLAN, SHORT_PLAN, morning

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not chromium_path(), reason="no Chromium on this machine"),
]


def test_what_two_people_write_over_a_failing_line_is_there_once_each(tmp_path: Path) -> None:
    plan = LONG_PLAN if os.environ.get("CASEBOARD_MORNING") == "long" else SHORT_PLAN
    on_postgresql = settings.DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql"
    server = os.environ["DATABASE_URL"].rsplit("/", 1)[0] if on_postgresql else ""
    found = morning(plan, tmp_path, server)
    print(found.table())
    assert found.wrong() == [], found.table()

"""An urgent notice goes before the ordinary ones that wait: the order, in a short form."""

from pathlib import Path

import pytest
from django.conf import settings

from tests.bench.urgent import Load, spread, urgent

SQLITE = settings.DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3"


@pytest.mark.skipif(not SQLITE, reason="the one-process installation has its own database")
def test_an_urgent_notice_goes_before_the_ordinary_ones_that_wait(tmp_path: Path) -> None:
    found = urgent(tmp_path, "", Load(notices=150, sheets=1), flags=2, every_s=0.5)
    assert found["all_came"], found
    assert found["in_the_app_at_the_answer"] == 2
    # The one that was being sent when the flag was saved, and the noting of it.
    assert found["ordinary_mails_before_one"] <= 2, found
    assert found["ordinary_mails_gone_out"] < 300, "nothing waited any more: queue more of them"


def test_the_figures_are_those_of_the_sorted_seconds() -> None:
    assert spread([3.0, 1.0, 2.0]) == {"n": 3, "p50": 2.0, "p95": 3.0, "most": 3.0}
    assert spread([])["n"] == 0

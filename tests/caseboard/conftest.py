"""What several files of this folder ask for."""

from collections.abc import Iterator

import pytest
from django.db import transaction

from caseboard.demo import DemoSummary, load
from tests.caseboard.demo_told import NOW


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker: object) -> Iterator[DemoSummary]:
    """Loaded once for a file, and taken back at its end."""
    with django_db_blocker.unblock(), transaction.atomic():  # type: ignore[attr-defined]
        yield load(NOW)
        transaction.set_rollback(True)

"""A visit written up in one go: work and readings, all of it or nothing."""

from datetime import date, datetime
from typing import Any

import pytest

from horses.models import Trim, Visit
from horses.services.deed import DeedRefused
from horses.services.idempotency import KeyReused
from horses.services.visits import WorkDone
from measurements.models import Reading
from measurements.services.visit_record import visit_write_up
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def _write_up(cast: Cast, now: datetime, **more: Any) -> Visit:
    fields: dict[str, Any] = {
        "kept_on": date(2026, 11, 2),
        "work": [WorkDone("LF", trimmed=True, shoeing_left="shod", shoe="new")],
        "readings": [
            build.taken("LF", "toe_angle", 48, trim_state="before"),
            build.taken("LF", "toe_angle", 51),
        ],
        **more,
    }
    return visit_write_up(access=cast.access(cast.farrier), now=now, **fields)


def test_the_readings_hang_on_the_visit(cast: Cast, now: datetime) -> None:
    visit = _write_up(cast, now)
    assert set(Reading.objects.values_list("visit", flat=True)) == {visit.pk}
    assert Trim.objects.get().visit == visit


def test_one_bad_reading_leaves_no_visit(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        _write_up(cast, now, readings=[build.taken("LF", "toe_angle", 500)])
    assert not Visit.objects.exists()
    assert not Trim.objects.exists()


def test_the_same_form_twice_is_one_visit_with_its_readings(cast: Cast, now: datetime) -> None:
    assert _write_up(cast, now, client_key="k") == _write_up(cast, now, client_key="k")
    assert (Visit.objects.count(), Reading.objects.count()) == (1, 2)
    with pytest.raises(KeyReused):
        _write_up(cast, now, client_key="k", words="More.")


def test_a_visit_without_readings_is_a_visit(cast: Cast, now: datetime) -> None:
    assert _write_up(cast, now, readings=[]).status == "kept"

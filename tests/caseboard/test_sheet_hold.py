"""What nobody should act on yet says so on the sheet, and a band nobody measured was not held."""

from datetime import datetime
from typing import Any

import pytest

from caseboard.case_reading import CaseReading
from caseboard.sheets.plan_comparison import outcome_numbers
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_value import Sheet
from horses.models import PlanItem
from horses.services.plan import latest_version, plan_item_decide
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
ON_HOLD = (PlanItem.Kind.TRIM, PlanItem.Kind.SHOE)


def sheet_of(cast: Cast, now: datetime) -> Sheet:
    return sheet_for(CaseReading(cast.access(cast.owner), now))


def item(cast: Cast, now: datetime, **more: Any) -> PlanItem:
    return build.plan_item(cast.access(cast.farrier), now, who_does="farrier", **more)


@pytest.mark.parametrize("kind", ON_HOLD)
def test_work_on_the_foot_is_on_hold_until_all_have_agreed(
    kind: PlanItem.Kind, cast: Cast, now: datetime
) -> None:
    planned = item(cast, now, kind=kind)
    (line,) = sheet_of(cast, now).items
    assert line.is_on_hold
    for person in (cast.owner, cast.vet):
        plan_item_decide(
            access=cast.access(person),
            item_id=planned.public_id,
            decision="agree",
            now=now,
            seen_hash=latest_version(planned).content_hash,
        )
    (line,) = sheet_of(cast, now).items
    assert not line.is_on_hold


def test_care_at_home_is_not_held_back(cast: Cast, now: datetime) -> None:
    item(cast, now, kind=PlanItem.Kind.HOME)
    (line,) = sheet_of(cast, now).items
    assert not line.is_on_hold


def test_a_band_that_was_never_measured_was_not_held(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now)
    assert outcome_numbers(sheet_of(cast, now)) == (
        "0 of 1 bands held at the last measurement; 1 not measured"
    )

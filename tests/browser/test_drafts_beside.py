"""What waits in the phone stays beside what is written later about the same horse."""

from datetime import datetime

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Open
from tests.browser.test_drafts import cut, here
from tests.cast import Cast


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


def test_a_visit_that_waits_stays_when_the_next_one_is_planned(enter: Open, cast: Cast) -> None:
    farrier = enter(cast.farrier, looks=False)
    farrier.watch.lost_on_purpose = True
    cut(farrier)
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    farrier.fill(words="Trimmed, walks well.")
    farrier.control("Save the visit").click()
    expect(here(farrier)).to_contain_text("Not sent yet")
    farrier.go(f"/cases/{cast.case.public_id}/visits/plan/")
    farrier.fill(on="2026-12-14")
    farrier.control("Plan the visit").click()
    expect(here(farrier)).to_contain_text("Not sent yet")
    actions = "window.drafts.list().then((all) => all.map((one) => one.action).sort())"
    case = cast.case.public_id
    both = [f"/cases/{case}/visits/new/", f"/cases/{case}/visits/plan/"]
    assert farrier.page.evaluate(actions) == both

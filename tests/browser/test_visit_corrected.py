"""A visit whose answer was lost, one put right, and a barefoot horse's first, as a farrier does it."""

from datetime import date, datetime, timedelta

import pytest
from playwright.sync_api import expect

from horses.models import FootWork, Visit
from horses.services.visit_planning import visit_plan
from measurements.models import Reading
from measurements.services.visit_record import visit_write_up
from tests import build
from tests.browser.conftest import Open
from tests.browser.visit_form import plus
from tests.cast import Cast


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


def test_a_visit_whose_answer_was_lost_is_made_once(enter: Open, cast: Cast, now: datetime) -> None:
    planned = visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    farrier = enter(cast.farrier, looks=False)
    farrier.watch.lost_on_purpose = True
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    expect(farrier.field("planned")).to_be_checked()
    farrier.control("Barefoot all round").click()
    farrier.fill(words="All four trimmed.", next_on="2026-12-28")
    farrier.context.route(
        "**/visits/new/",
        lambda route: (
            (route.fetch(max_redirects=0), route.abort())
            if route.request.method == "POST"
            else route.continue_()
        ),
    )
    farrier.control("Save the visit").click()
    box = farrier.page.get_by_role("region", name="Kept in this phone")
    expect(box).to_contain_text("Not sent yet")
    farrier.context.unroute_all()
    farrier.context.clear_cookies(name="messages")  # they came with the answer, and were lost too
    assert Visit.objects.get(status="kept").pk == planned.pk

    farrier.until("window.drafts.now()")
    expect(box).to_contain_text("Sent")
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    expect(box).to_have_count(0)
    expect(farrier.field("planned")).not_to_be_checked()  # it stands for the next visit by now
    assert Visit.objects.filter(status="kept").count() == 1
    assert [v.planned_on for v in Visit.objects.filter(status="planned")] == [date(2026, 12, 28)]


def test_the_first_visit_of_a_barefoot_horse_is_saved_at_the_first_try(
    enter: Open, cast: Cast
) -> None:
    farrier = enter(cast.farrier)
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    expect(farrier.field("LF-left")).to_be_visible()
    farrier.control("Barefoot all round").click()
    farrier.fill(words="A first trim.")
    farrier.press("Save the visit")
    assert set(FootWork.objects.values_list("shoeing_left", flat=True)) == {"barefoot"}


def test_a_slip_in_a_saved_visit_is_put_right_in_place(
    enter: Open, cast: Cast, now: datetime
) -> None:
    at = now - timedelta(hours=12)
    visit_write_up(
        access=cast.access(cast.farrier),
        kept_on=at.date(),
        now=at,
        words="Four shoes.",
        work=[build.WorkDone("LF", trimmed=True, shoeing_left="shod", shoe="new")],
        readings=[build.taken("LF", "toe_angle", 45)],
    )
    farrier = enter(cast.farrier)
    farrier.go(f"/cases/{cast.case.public_id}/visits/")
    farrier.page.get_by_role("link", name="Correct this visit").click()
    farrier.arrived()
    farrier.sees("Correct the visit of")
    expect(farrier.field("words")).to_have_value("Four shoes.")
    expect(farrier.field("LF-toe_angle-after")).to_have_value("45°")
    plus(farrier, "LF-toe_angle-after").click()
    expect(farrier.field("LF-toe_angle-after")).to_have_value("45.5")
    farrier.fill(**{"LF-toe_angle-after": "54", "reason": "Typed the wrong way round."})
    farrier.press("Save the correction")
    farrier.sees("The visit is corrected", "Typed the wrong way round.")
    values = Reading.objects.filter(corrected_by=None).values_list("value", flat=True)
    assert [float(value) for value in values] == [54]

"""The daily look and the day of the yard on a phone, with taps counted; the order by keyboard."""

from datetime import datetime, timedelta

import pytest
from playwright.sync_api import expect

from horses.models import Case, Look, Role, Visit
from horses.services.horses import horse_create
from horses.services.visit_planning import visit_plan
from tests.browser.conftest import Open
from tests.browser.visitor import PHONE, Visitor
from tests.cast import Cast, join

HORSES = ("Acorn", "Birch", "Clover", "Dill", "Elder", "Fern", "Gorse", "Hazel")


@pytest.fixture
def yard(site: str, cast: Cast, now: datetime, clock_stands: datetime) -> list[Case]:
    """Eight horses at one place; the farrier comes to all of them tomorrow."""
    cases = []
    for name in HORSES:
        made = horse_create(person=cast.owner, fields={"name": name, "yard": "Far Field"}, now=now)
        case = Case.objects.get(horse=made)
        join(case, cast.farrier, Role.FARRIER, now)
        tomorrow = now.date() + timedelta(days=1)
        visit_plan(access=cast.access(cast.farrier, case), on=tomorrow, now=now)
        cases.append(case)
    return cases


def test_all_horses_are_looked_at_in_two_taps(cast: Cast, yard: list[Case], enter: Open) -> None:
    owner: Visitor = enter(cast.owner, size=PHONE)
    owner.go("/horses/")
    owner.press("Daily look: 0 of 9")  # one
    owner.press("All 8: nothing seen")  # two
    assert Look.objects.filter(together=8).count() == 8
    expect(owner.page.get_by_text("9:00, you: 8 marked together").first).to_be_visible()
    owner.press("Undo")
    assert not Look.objects.standing().exists()


def test_the_whole_list_of_ten_stands_above_the_thumb(
    cast: Cast, yard: list[Case], enter: Open, now: datetime
) -> None:
    owner: Visitor = enter(cast.owner, size=PHONE)
    owner.go("/look/")
    heights = owner.page.locator(".look-list > li").evaluate_all(
        "rows => rows.map(row => row.getBoundingClientRect().height)"
    )
    assert max(heights) <= 60


def test_eight_horses_are_moved_in_four_taps(
    cast: Cast, yard: list[Case], enter: Open, now: datetime
) -> None:
    owner: Visitor = enter(cast.owner, size=PHONE)
    owner.go("/round/?days=7")
    owner.press("Move 8")  # one
    owner.look_over()
    owner.page.get_by_label("Tue 10 Nov 2026").check()  # two
    owner.press("Move 8 horses")  # three
    days = {visit.planned_on for visit in Visit.objects.planned()}
    assert days == {now.date() + timedelta(days=8)}


def test_the_order_is_set_by_the_keyboard_and_by_dragging(
    cast: Cast, yard: list[Case], enter: Open
) -> None:
    farrier: Visitor = enter(cast.farrier, size=PHONE)
    farrier.go("/round/?days=7")
    farrier.press("Order")
    farrier.look_over()
    page = farrier.page
    later = page.get_by_role("button", name="Acorn: later")
    later.focus()
    page.keyboard.press("Enter")
    names = page.locator(".order-list label")
    assert names.all_text_contents()[:3] == ["Birch", "Acorn", "Clover"]
    expect(later).to_be_focused()
    hazel, birch = page.locator(".order-list > li").nth(7), page.locator(".order-list > li").nth(0)
    hazel.scroll_into_view_if_needed()
    start, end = hazel.bounding_box(), birch.bounding_box()
    assert start is not None
    assert end is not None
    page.mouse.move(start["x"] + 60, start["y"] + 20)
    page.mouse.down()
    steps = 30
    for step in range(1, steps + 1):
        page.mouse.move(
            start["x"] + 60, start["y"] + 20 - (start["y"] - end["y"] + 15) * step / steps
        )
    page.mouse.up()
    assert names.all_text_contents()[0] == "Hazel"
    farrier.press("Save this order")
    ordered = Visit.objects.planned().order_by("day_order").values_list("horse__name", flat=True)
    assert list(ordered)[:3] == ["Hazel", "Birch", "Acorn"]

"""Before any scroll on a phone: the name, what matters, the four feet, the next visit, what to do."""

import random
from datetime import datetime, timedelta

import pytest
from playwright.sync_api import Page

from horses.domain.finding import Finding
from horses.models import Person
from horses.services.visit_planning import visit_plan
from tests import build
from tests.browser.conftest import Open
from tests.browser.visitor import Visitor
from tests.cast import Cast

BOARDS = 30
MOST_MATTERS = 8
TALLEST_BOARD_PX = 4000
NAMES = ("Juno", "Marigold", "Wintergreen of the Lower Meadow", "Ox", "Bartholomew")
RULES = (
    ("foot.drift", "LF", "Left fore: slow change"),
    ("shape.thin_sole", "RF", "Right fore: thin sole"),
    ("shape.negative_palmar_angle", "LF", "Left fore: coffin bone below level"),
    ("shape.uneven_pair", "LH-RH", "Hind feet: left and right toe angles differ"),
    ("band.outside", "LF:toe_angle:after", "Left fore toe angle: outside its band"),
    ("visit.overdue", "farrier", "Visit overdue"),
    ("shoes.lost_again", "RH", "Shoe lost again: right hind"),
)
SIGNS = ("heat", "lost_shoe", "short_stride", "in_sole", "crack")

# What of the page lies wholly in the first screen, above the bar at the thumb.
IN_SIGHT = """(selector) => {
  const bar = document.querySelector(".actionbar").getBoundingClientRect();
  return [...document.querySelectorAll(selector)].map((node) => {
    const box = node.getBoundingClientRect();
    return box.height > 0 && box.top >= 0 && box.bottom <= bar.top + 1 && box.right <= innerWidth + 1;
  });
}"""
# Words that are cut off by the edge of their box.
CUT = """() => [...document.querySelectorAll(".rows h3, .rows .when, .fourfeet .told, .nextvisit .on")]
  .filter((node) => node.scrollWidth > node.clientWidth + 1 && node.clientWidth > 0)
  .map((node) => node.textContent.trim())"""


def matters(cast: Cast, now: datetime, seed: int) -> int:
    """A board with 0 to 8 matters of every kind; returns how many."""
    dice = random.Random(seed)
    count = seed % (MOST_MATTERS + 1)
    left = count
    for rule, subject, title in dice.sample(RULES, min(left, dice.randint(0, len(RULES)))):
        danger = rule in ("shape.thin_sole", "shape.negative_palmar_angle")
        finding = Finding(rule, subject, title, "As measured.", danger=danger)
        build.alert(cast.horse, finding, now)
        left -= 1
    for _ in range(min(left, dice.randint(0, 3))):
        feet = dice.sample(["LF", "RF", "LH", "RH"], dice.randint(1, 2))
        build.flag(cast.access(cast.carer), now, dice.choice(SIGNS), feet=feet)
        left -= 1
    for number in range(min(left, 2)):
        build.plan_item(cast.access(cast.farrier), now, text=f"Item {number}")
    return count


def furnished(cast: Cast, now: datetime, seed: int) -> None:
    cast.horse.name = NAMES[seed % len(NAMES)]
    cast.horse.danger = "Kicks out when tired." if seed % 3 == 0 else ""
    cast.horse.save()
    Person.objects.filter(pk__in=[cast.farrier.pk, cast.vet.pk]).update(phone="0100 200 300")
    for foot in ("LF", "RF", "LH", "RH"):
        value = 50.5
        build.reading(cast.access(cast.farrier), now, foot, "toe_angle", value, now.date())
    if seed % 4:
        on = now.date() + timedelta(days=seed % 40 + 1)
        visit_plan(access=cast.access(cast.farrier), on=on, now=now)
    matters(cast, now, seed)


def seen(page: Page, selector: str) -> list[bool]:
    found: list[bool] = page.evaluate(IN_SIGHT, selector)
    return found


@pytest.mark.parametrize("seed", range(BOARDS))
def test_the_first_screen_holds_what_matters(
    seed: int, enter: Open, cast: Cast, clock_stands: datetime
) -> None:
    furnished(cast, clock_stands, seed)
    owner: Visitor = enter(cast.owner, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/")
    page = owner.page
    rows = seen(page, ".row-matter, .rows-more, .rows > .quiet")
    assert rows
    assert all(rows), rows
    assert seen(page, ".nameplate h1") == [True]
    assert seen(page, ".fourfeet li[data-foot]") == [True] * 4
    assert seen(page, ".nextvisit") == [True]
    assert page.locator(".actionbar .btn-need").is_visible()
    assert page.evaluate(CUT) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.evaluate("document.documentElement.scrollHeight") <= TALLEST_BOARD_PX


@pytest.mark.parametrize("width", [390, 320])
def test_at_twice_the_text_nothing_sticks_out_and_the_bars_leave_two_thirds(
    width: int, enter: Open, cast: Cast, clock_stands: datetime
) -> None:
    furnished(cast, clock_stands, 8)
    owner = enter(cast.owner, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/")
    page = owner.page
    page.set_viewport_size({"width": width, "height": 844})
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for bar in (".sitehead", ".actionbar"):
        box = page.locator(bar).bounding_box()
        assert box is not None
        assert box["height"] <= 844 / 3


def test_the_main_action_comes_early_in_the_order_of_the_keyboard(
    enter: Open, cast: Cast, clock_stands: datetime
) -> None:
    furnished(cast, clock_stands, 8)
    owner = enter(cast.owner, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/")
    for _ in range(8):
        owner.page.keyboard.press("Tab")
        if owner.page.evaluate("document.activeElement.matches('.actionbar .btn-need')"):
            return
    pytest.fail("not among the first eight stops")


def test_ring_opens_the_team_with_its_numbers(
    enter: Open, cast: Cast, clock_stands: datetime
) -> None:
    furnished(cast, clock_stands, 0)
    owner = enter(cast.owner, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/")
    owner.page.locator(".actionbar a[href='#team']").click()
    phone = owner.page.locator("#team a[href='tel:0100200300']").first
    phone.wait_for(state="visible")


def test_a_foot_leads_to_its_page(enter: Open, cast: Cast, clock_stands: datetime) -> None:
    furnished(cast, clock_stands, 0)
    owner = enter(cast.owner, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/")
    with owner.page.expect_navigation():
        owner.page.locator(".fourfeet [data-foot=LF] a").click()
    assert "/feet/LF/" in owner.page.url

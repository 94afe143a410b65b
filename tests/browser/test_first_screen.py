"""Before any scroll on a phone: the name, what matters, the four feet, the next visit, what to do."""

import random
from datetime import datetime, timedelta

import pytest
from playwright.sync_api import Page

from caseboard.demo import load
from horses.access import active_memberships
from horses.domain.finding import Finding
from horses.models import Person
from horses.services.visit_planning import visit_plan
from tests import build
from tests.browser.conftest import Open
from tests.browser.visitor import PHONE, Visitor
from tests.cast import Cast

BOARDS = 30
MOST_MATTERS = 8
TALLEST_BOARD_PX = 4000
LEAST_DEMO_VIEWS = 40  # a dozen horses, each seen by three or more
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
  const bar = document.querySelector(".actionbar")?.getBoundingClientRect() ?? {top: innerHeight};
  return [...document.querySelectorAll(selector)].map((node) => {
    const box = node.getBoundingClientRect();
    return box.height > 0 && box.top >= 0 && box.bottom <= bar.top + 1 && box.right <= innerWidth + 1;
  });
}"""
# Words that are cut off by the edge of their box.
CUT = """() => [...document.querySelectorAll(
  ".rows h3, .rows .when, .fourfeet .told, .nextvisit .on, .actionbar a")]
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
    assert wrong_with(page) == []
    assert page.locator(".actionbar .btn-need").is_visible()


def wrong_with(page: Page) -> list[str]:
    """What the first screen of the board lacks, in words."""
    held = {
        "every matter": seen(page, ".row-matter, .rows-more, .rows > .quiet"),
        "the name": seen(page, ".nameplate h1"),
        "four feet": seen(page, ".fourfeet li[data-foot]"),
        "the next visit": seen(page, ".nextvisit"),
    }
    wrong = [what for what, there in held.items() if not there or not all(there)]
    wrong += ["four feet, all of them"] if len(held["four feet"]) != 4 else []
    wrong += [f"cut off: {words}" for words in page.evaluate(CUT)]
    width, height = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.scrollHeight]"
    )
    wrong += [f"{width} px wide"] if width > PHONE["width"] else []
    wrong += [f"{height} px high"] if height > TALLEST_BOARD_PX else []
    return wrong


def large_text_faults(page: Page) -> list[str]:
    """What sticks out at twice the text; leaves the page as it was."""
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    wrong = []
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": PHONE["height"]})
        if page.evaluate("document.documentElement.scrollWidth") > width:
            wrong.append(f"sticks out of {width} px at twice the text")
    page.set_viewport_size(PHONE)
    page.evaluate("document.documentElement.style.fontSize = ''")
    return wrong


@pytest.mark.usefixtures("clock_stands")
def test_the_first_screen_of_every_demo_board_holds_what_matters_for_all_who_see_it(
    enter: Open, now: datetime
) -> None:
    load(now)
    wrong: dict[str, list[str]] = {}
    looked_at = 0
    for person in Person.objects.order_by("pk"):
        one: Visitor = enter(person, looks=False)
        for membership in active_memberships(person).select_related("case__horse"):
            case = membership.case
            one.go(f"/cases/{case.public_id}/")
            found = wrong_with(one.page)
            if case.is_open and not case.horse.has_ended:
                action = one.page.locator(".actionbar :is(.btn-main, .btn-need)").first
                found += [] if action.is_visible() else ["the main action"]
            found += large_text_faults(one.page)
            looked_at += 1
            if found:
                wrong[f"{case.horse.name}, {case.title}, for {person}"] = found
        one.context.close()
    assert wrong == {}
    assert looked_at >= LEAST_DEMO_VIEWS


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

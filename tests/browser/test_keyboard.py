"""By keyboard alone: every control is reached, is seen to be reached, and does its work."""

from datetime import datetime

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from horses.models import Flag
from tests.browser.conftest import Open
from tests.browser.shown import Shown, show_everything
from tests.browser.visitor import DESKTOP, PHONE
from tests.cast import Cast

MOST_STOPS = 400
# What is focused, as one line, and what is wrong with how it shows: no mark round it (or round
# what holds it, as a card does), or something lies over it.
LOOK_AT_FOCUS = """() => {
  const node = document.activeElement;
  if (!node || node === document.body) return null;
  const box = node.getBoundingClientRect();
  const marked = [node, ...(node.labels ?? []), node.closest(".card, .choice, li")].filter(Boolean).some((one) => {
    const style = getComputedStyle(one);
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  });
  const x = Math.min(Math.max(box.left + Math.min(box.width / 2, 20), 1), innerWidth - 2);
  const y = Math.min(Math.max(box.top + box.height / 2, 1), innerHeight - 2);
  const over = document.elementFromPoint(x, y);
  const free = box.height > innerHeight || over === null || node.contains(over) || over.contains(node)
    || [...(node.labels ?? [])].some((label) => label.contains(over));
  node.dataset.stop ??= String(document.querySelectorAll("[data-stop]").length);
  const name = `${node.tagName.toLowerCase()} ${(node.textContent || node.name || "").trim().slice(0, 40)}`;
  return {stop: node.dataset.stop, name, wrong: [!marked && "no mark", !free && "covered"].filter(Boolean)};
}"""


@pytest.fixture
def shown(site: str, cast: Cast, now: datetime, clock_stands: datetime) -> Shown:
    return show_everything(cast, now)


def stops(page: Page) -> list[dict[str, object]]:
    """Every place that the Tab key reaches, from the top of the page to its end."""
    found: list[dict[str, object]] = []
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        stop = page.evaluate(LOOK_AT_FOCUS)
        if stop is None or any(stop["stop"] == one["stop"] for one in found):
            return found
        found.append(stop)
    raise AssertionError("the Tab key never leaves the page")


def tab_to(page: Page, selector: str) -> None:
    for _ in range(MOST_STOPS):
        if page.evaluate("(wanted) => document.activeElement.matches(wanted)", selector):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"the Tab key does not reach {selector}")


@pytest.mark.parametrize("name", ["board", "flag_new", "plan_item", "alert", "target_new"])
def test_each_stop_of_the_tab_key_is_seen(name: str, enter: Open, shown: Shown) -> None:
    vet = enter(shown.cast.vet, size=DESKTOP if name == "board" else PHONE, looks=False)
    parts = {"plan_item": ["item_id"], "alert": ["alert_id"]}.get(name, [])
    vet.go(reverse(name, args=[shown.case_id, *(shown.names[part] for part in parts)]))
    reached = stops(vet.page)
    assert len(reached) > 8
    assert [stop for stop in reached if stop["wrong"]] == []


def test_a_stop_that_shows_no_mark_or_is_covered_is_found(visitor: Open) -> None:
    anybody = visitor(looks=False)
    anybody.go("/policy/")
    anybody.page.evaluate("""document.querySelector("main").insertAdjacentHTML("afterbegin",
      "<button class=spoilt>bare</button><button class=spoilt>under</button><p class=lid>lid</p>")""")
    anybody.page.evaluate("""() => {
      const [bare, under] = document.querySelectorAll(".spoilt");
      bare.style.outline = "none";
      const box = under.getBoundingClientRect();
      Object.assign(document.querySelector(".lid").style, {position: "fixed", zIndex: 99,
        left: `${box.left}px`, top: `${box.top}px`, width: `${box.width}px`, height: `${box.height}px`});
    }""")
    wrong = {str(stop["name"]): stop["wrong"] for stop in stops(anybody.page) if stop["wrong"]}
    assert wrong == {"button bare": ["no mark"], "button under": ["covered"]}


def test_the_first_stop_leads_past_the_head_of_the_page(enter: Open, shown: Shown) -> None:
    owner = enter(shown.cast.owner, looks=False)
    owner.go(reverse("board", args=[shown.case_id]))
    owner.page.keyboard.press("Tab")
    skip = owner.page.get_by_role("link", name="Skip to the page")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    owner.page.keyboard.press("Enter")
    expect(owner.page.locator("main")).to_be_focused()


def test_a_flag_is_raised_by_keyboard_alone(
    enter: Open, cast: Cast, clock_stands: datetime
) -> None:
    owner = enter(cast.owner, looks=False)
    keys = owner.page.keyboard
    owner.go(reverse("board", args=[cast.case.public_id]))
    tab_to(owner.page, ".actionbar a[href$='/flags/new/']")
    keys.press("Enter")
    owner.page.wait_for_url("**/flags/new/")
    for box in ("[name=signs][value=short_stride]", "[name=feet][value=LF]"):
        tab_to(owner.page, box)
        keys.press("Space")
    tab_to(owner.page, "[name=since]")
    keys.press("Space")
    tab_to(owner.page, "textarea[name=words]")
    keys.type("Short on the road.")
    tab_to(owner.page, ".actionbar button[type=submit]")
    keys.press("Enter")
    owner.page.wait_for_url(f"**/cases/{cast.case.public_id}/")
    owner.sees("Short stride", "Short on the road.")
    flag = Flag.objects.get()
    assert (flag.signs, flag.feet, flag.since_on) == (["short_stride"], ["LF"], clock_stands.date())


def test_a_plan_item_is_agreed_to_by_keyboard_alone(enter: Open, shown: Shown) -> None:
    owner = enter(shown.cast.owner, looks=False)
    owner.go(reverse("plan_item", args=[shown.case_id, shown.item.public_id]))
    tab_to(owner.page, "#decide button.btn-main")
    owner.page.keyboard.press("Enter")
    owner.sees("You agreed, for the owner.")

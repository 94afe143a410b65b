"""The form of a visit as a thumb meets it: plus and minus, "the same", the shoes of a pair."""

from playwright.sync_api import Locator

from tests.browser.visitor import Visitor


def val(who: Visitor, name: str) -> Locator:
    """The box of one value with its buttons, e.g. "LF-toe_angle-after"."""
    return who.page.locator(f'.val:has([name="{name}"])')


def plus(who: Visitor, name: str) -> Locator:
    return val(who, name).locator('[data-way="1"]')


def minus(who: Visitor, name: str) -> Locator:
    return val(who, name).locator('[data-way="-1"]')


def same(who: Visitor, name: str) -> Locator:
    """The last value over the empty box: measured, the same."""
    return val(who, name).locator(".same")


def fills(who: Visitor, asked: str) -> Locator:
    """A button that fills in shoes, e.g. "fronts-reset"."""
    return who.page.locator(f'#visit-form [name="as_last"][value="{asked}"]')


def open_pair(who: Visitor, which: str) -> None:
    """The fields of each foot of the fronts or the hinds."""
    details = who.page.locator(f"#{which} details")
    if details.get_attribute("open") is None:
        details.locator("summary").click()
    if not who.scripts:  # the page comes back with them
        details.locator("[data-open]").click()
    details.locator(".foot-fields").first.wait_for()


def open_more(who: Visitor) -> None:
    """What was measured lately and the rest."""
    details = who.page.locator("#visit-more")
    if details.get_attribute("open") is None:
        details.locator("summary").click()
    lately = details.locator("[data-add-lately]")
    if not who.scripts and lately.count():  # the page comes back with them
        lately.click()


def add_row(who: Visitor, key: str) -> None:
    """A row that is not offered at first, e.g. "toe_angle-before"."""
    open_more(who)
    who.field("added").select_option(key)
    who.page.locator("[data-add]").click()


def open_day(who: Visitor) -> None:
    """The day, the feet trimmed, how it was measured."""
    details = who.page.locator("#visit-start")
    if details.get_attribute("open") is None:
        details.locator("summary").first.click()

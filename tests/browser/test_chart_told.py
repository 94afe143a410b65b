"""A chart tells each reading in words: to a finger, a mouse and the arrow keys."""

from datetime import datetime, timedelta

from playwright.sync_api import expect

from tests import build
from tests.browser.conftest import Open
from tests.browser.visitor import Visitor
from tests.cast import Cast


def chart_of(enter: Open, cast: Cast, now: datetime) -> Visitor:
    for days, value in ((120, 52), (60, 51), (10, 49.5)):
        on = now.date() - timedelta(days=days)
        build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", value, on)
    owner = enter(cast.owner)
    owner.go(f"/cases/{cast.case.public_id}/feet/LF/")
    return owner


def test_the_arrow_keys_go_from_reading_to_reading(
    enter: Open, cast: Cast, clock_stands: datetime
) -> None:
    owner = chart_of(enter, cast, clock_stands)
    line = owner.page.locator(".told-here").first
    owner.page.locator("svg[data-told]").first.focus()
    owner.page.keyboard.press("ArrowLeft")
    expect(line).to_have_text("49.5°, after the trim, 23 Oct 2026, hoof gauge, Finn Farrier")
    owner.page.keyboard.press("ArrowLeft")
    expect(line).to_contain_text("51°")
    owner.page.keyboard.press("Home")
    expect(line).to_contain_text("52°")
    owner.page.keyboard.press("ArrowLeft")
    expect(line).to_contain_text("52°")


def test_a_tap_near_a_dot_tells_that_reading(
    enter: Open, cast: Cast, clock_stands: datetime
) -> None:
    owner = chart_of(enter, cast, clock_stands)
    plot = owner.page.locator("svg[data-told]").first
    plot.click(position={"x": 45, "y": 60})
    expect(owner.page.locator(".told-here").first).to_contain_text("52°")

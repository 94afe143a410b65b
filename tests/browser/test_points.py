"""Points on a picture, as a person places them: with a finger, with keys alone, with large text."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from caseboard.lib import clock
from measurements.models import PicturePoints, Reading
from tests.browser.axe import violations
from tests.browser.conftest import Open
from tests.browser.measure import misfits
from tests.browser.visitor import DESKTOP, PHONE, Visitor
from tests.cast import Cast
from tests.pictures import SIDE_POINTS, drawn_foot, picture

MOST_TAPS = 12
CAMERA_TAPS = 2  # in the phone's own camera: the shutter, and "use this picture"
SEARCH_MS = 60_000  # the picture is sent, drawn anew and searched, in processes of their own
NEAR_PX = 4.0  # of the kept picture: a tap falls on whole pixels of the screen


def spot(page: Page, place: tuple[float, float]) -> tuple[float, float]:
    """Where a place of the picture is on the screen, as much of it as is seen."""
    box = page.locator("[data-stage]").bounding_box()
    assert box is not None
    left, top, width, height = seen(page)
    return (
        box["x"] + (place[0] - left) / width * box["width"],
        box["y"] + (place[1] - top) / height * box["height"],
    )


def seen(page: Page) -> tuple[float, float, float, float]:
    """The part of the picture that is seen: left, top, width and height."""
    left, top, width, height = (
        float(part) for part in str(page.locator("[data-seen]").get_attribute("viewBox")).split()
    )
    return left, top, width, height


def middle(page: Page) -> tuple[float, float]:
    """Where the arrows begin: in the middle of what is seen."""
    left, top, width, height = seen(page)
    return round(left + width / 2), round(top + height / 2)


def is_ready(visitor: Visitor) -> None:
    chip = visitor.page.locator("[data-card-words]")
    expect(chip).to_have_text("card found", timeout=SEARCH_MS)


def broken_rules(page: Page) -> list[str]:
    """As if all of it were on the screen: what the bar at the edge covers, scrolling shows."""
    page.set_viewport_size({**PHONE, "height": 1900})
    found = [*violations(page, "light"), *violations(page, "dark", colours_only=True)]
    page.set_viewport_size(PHONE)
    return found


def near(points: dict[str, Any], far: float = NEAR_PX) -> bool:
    return all(
        abs(at[axis] - SIDE_POINTS[name][axis]) <= far
        for name, at in points.items()
        for axis in (0, 1)
    )


def test_from_the_visit_to_three_values_takes_at_most_twelve_taps(
    enter: Open, cast: Cast, tmp_path: Path
) -> None:
    taken = tmp_path / "foot.jpg"
    taken.write_bytes(drawn_foot())
    farrier = enter(cast.farrier, touch=True, looks=False)
    page, taps = farrier.page, 0
    farrier.go(f"/cases/{cast.case.public_id}/")
    farrier.leaves(farrier.control("Record visit").tap)
    taps += 1
    with page.expect_file_chooser() as chooser:
        page.locator('a[data-camera][data-foot="LF"]').tap()
    chooser.value.set_files(taken)
    taps += 1 + CAMERA_TAPS
    is_ready(farrier)
    for name in SIDE_POINTS:
        page.touchscreen.tap(*spot(page, SIDE_POINTS[name]))
        taps += 1
    expect(page.locator("[data-values]")).to_contain_text("heel angle")
    assert broken_rules(page) == []
    page.get_by_role("button", name="Into the form: as left").tap()
    taps += 1
    for quantity in ("toe_angle", "heel_angle", "toe_length"):
        expect(farrier.field(f"LF-{quantity}-after")).not_to_have_value("")
    print(f"{taps} taps")
    assert taps <= MOST_TAPS

    row = PicturePoints.objects.get()
    assert near(row.points)
    page.locator("summary", has_text="Day and feet").click()
    farrier.field("angle_method").select_option("gauge")  # said of what is typed
    for foot in ("LF", "RF", "LH", "RH"):
        farrier.page.locator(f"#id_{foot}-left").select_option("barefoot")
    farrier.press("Save the visit")
    angle = Reading.objects.get(foot="LF", quantity="toe_angle")
    assert (angle.method, angle.points, angle.trim_state) == ("photo_card", row, "after")
    assert angle.sd is not None


def test_a_value_that_is_stepped_afterwards_is_no_value_of_the_picture(
    enter: Open, cast: Cast, tmp_path: Path
) -> None:
    taken = tmp_path / "foot.jpg"
    taken.write_bytes(drawn_foot())
    farrier = enter(cast.farrier, touch=True, looks=False)
    page = farrier.page
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    with page.expect_file_chooser() as chooser:
        page.locator('a[data-camera][data-foot="LF"]').tap()
    chooser.value.set_files(taken)
    is_ready(farrier)
    for name in SIDE_POINTS:
        page.touchscreen.tap(*spot(page, SIDE_POINTS[name]))
    page.get_by_role("button", name="Into the form: as left").tap()
    expect(farrier.field("LF-toe_angle-after")).not_to_have_value("")
    farrier.field("LF-toe_angle-after").fill("53")
    for foot in ("LF", "RF", "LH", "RH"):
        farrier.page.locator(f"#id_{foot}-left").select_option("barefoot")
    farrier.press("Save the visit")
    typed = Reading.objects.get(foot="LF", quantity="toe_angle")
    assert (typed.method, typed.points, typed.sd) == ("gauge", None, None)


def test_points_are_placed_by_keyboard_alone(enter: Open, cast: Cast) -> None:
    side = picture(cast.access(cast.owner), clock.now())
    owner = enter(cast.owner, size=DESKTOP)
    page = owner.page
    owner.go(f"/cases/{cast.case.public_id}/pictures/{side.public_id}/points/")
    is_ready(owner)
    stage = page.locator("[data-stage]")
    for _ in range(40):
        page.keyboard.press("Tab")
        if stage.evaluate("(node) => node === document.activeElement"):
            break
    expect(stage).to_be_focused()
    at = middle(page)
    for number, (name, wanted) in enumerate(SIDE_POINTS.items(), start=1):
        at = _walk(page, at, wanted)
        if number == 1:  # where the arrows have come to is told, once they rest
            expect(page.locator("#live")).to_contain_text("400 from the left, 700 from the top")
        page.keyboard.press("Enter")
        expect(page.locator("#live")).to_contain_text(f"Point {number} of 6,")
        assert name
    expect(page.locator("[data-values]")).to_contain_text("heel angle")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent").strip() == "Save the points":
            break
    with page.expect_navigation(wait_until="load"):
        page.keyboard.press("Enter")
    owner.arrived()
    owner.sees("photo with card", "give or take")
    assert near(PicturePoints.objects.get().points, 0.6)


def test_from_the_visit_to_three_values_by_keyboard_alone(
    enter: Open, cast: Cast, tmp_path: Path
) -> None:
    taken = tmp_path / "foot.jpg"
    taken.write_bytes(drawn_foot())
    farrier = enter(cast.farrier, size=DESKTOP, looks=False)
    page = farrier.page
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    page.locator('a[data-camera][data-foot="LF"]').focus()
    with page.expect_file_chooser() as chooser:
        page.keyboard.press("Enter")
    chooser.value.set_files(taken)
    is_ready(farrier)
    expect(page.locator("[data-stage]")).to_be_focused()
    at = middle(page)
    for wanted in SIDE_POINTS.values():
        at = _walk(page, at, wanted)
        page.keyboard.press("Enter")
    expect(page.locator(".points-step [data-step]")).to_have_text("All placed")
    for _ in range(40):
        page.keyboard.press("Tab")
        if "as left" in page.evaluate("document.activeElement.textContent"):
            break
    page.keyboard.press("Enter")
    for quantity in ("toe_angle", "heel_angle", "toe_length"):
        expect(farrier.field(f"LF-{quantity}-after")).not_to_have_value("")
    expect(page.locator('a[data-camera][data-foot="LF"]')).to_be_focused()


def _walk(page: Page, at: tuple[float, float], to: tuple[float, float]) -> tuple[float, float]:
    """From one place to another by arrows; where that ends."""
    place = list(at)
    for axis, (less, more) in enumerate((("ArrowLeft", "ArrowRight"), ("ArrowUp", "ArrowDown"))):
        steps = round(to[axis] - place[axis])
        key = more if steps > 0 else less
        for _ in range(abs(steps) // 10):
            page.keyboard.press(f"Shift+{key}")
        for _ in range(abs(steps) % 10):
            page.keyboard.press(key)
        place[axis] += steps
    return place[0], place[1]


def test_a_point_is_taken_back_dragged_and_looked_at_through_the_glass(
    enter: Open, cast: Cast
) -> None:
    side = picture(cast.access(cast.owner), clock.now())
    owner = enter(cast.owner, looks=False)
    page = owner.page
    owner.go(f"/cases/{cast.case.public_id}/pictures/{side.public_id}/points/")
    is_ready(owner)
    page.mouse.click(*spot(page, (100.0, 100.0)))
    expect(page.locator("[data-step]")).to_have_text("Point 2 of 6")
    page.get_by_role("button", name="Back", exact=True).click()
    expect(page.locator("[data-step]")).to_have_text("Point 1 of 6")
    page.mouse.move(*spot(page, (420.0, 650.0)))
    page.mouse.down()
    expect(page.locator("[data-glass]")).to_be_visible()
    page.mouse.move(*spot(page, SIDE_POINTS["ground_toe"]), steps=5)
    page.mouse.up()
    expect(page.locator("[data-glass]")).to_be_hidden()
    for name in list(SIDE_POINTS)[1:]:
        page.mouse.click(*spot(page, SIDE_POINTS[name]))
    expect(page.locator("[data-step]")).to_have_text("All placed")
    page.mouse.move(*spot(page, SIDE_POINTS["toe_hairline"]))
    page.mouse.down()
    page.mouse.move(*spot(page, (620.0, 440.0)), steps=5)
    page.mouse.up()
    moved = page.locator("[name=p-toe_hairline]").input_value().split(",")
    assert [float(part) for part in moved] == pytest.approx([620, 440], abs=NEAR_PX)


def test_zoom_and_pan_leave_a_point_where_it_is(enter: Open, cast: Cast) -> None:
    side = picture(cast.access(cast.owner), clock.now())
    owner = enter(cast.owner, size=DESKTOP, looks=False)
    page = owner.page
    owner.go(f"/cases/{cast.case.public_id}/pictures/{side.public_id}/points/")
    is_ready(owner)
    page.mouse.move(*spot(page, SIDE_POINTS["ground_toe"]))
    page.mouse.wheel(0, -400)  # the place under the mouse stays under it
    page.mouse.down()
    page.mouse.up()
    placed = page.locator("[name=p-ground_toe]").input_value().split(",")
    wanted = list(SIDE_POINTS["ground_toe"])
    assert [float(part) for part in placed] == pytest.approx(wanted, abs=NEAR_PX)
    for name in ("Smaller", "Smaller", "Smaller", "Larger"):
        page.get_by_role("button", name=name, exact=True).click()
    page.get_by_role("button", name="Move the picture").click()
    before = page.locator("[data-seen]").get_attribute("viewBox")
    page.mouse.move(*spot(page, (600.0, 450.0)))
    page.mouse.down()
    page.mouse.move(*spot(page, (500.0, 400.0)), steps=3)
    page.mouse.up()
    assert page.locator("[data-seen]").get_attribute("viewBox") != before
    assert page.locator("[name=p-ground_heel]").input_value() == ""


def test_twice_the_text_moves_nothing_sideways(enter: Open, cast: Cast) -> None:
    side = picture(cast.access(cast.owner), clock.now())
    owner = enter(cast.owner)
    owner.go(f"/cases/{cast.case.public_id}/pictures/{side.public_id}/points/")
    is_ready(owner)
    assert misfits(owner.page) == []


def test_the_page_to_type_on_breaks_no_rule(enter: Open, cast: Cast) -> None:
    side = picture(cast.access(cast.owner), clock.now())
    owner = enter(cast.owner)
    owner.go(f"/cases/{cast.case.public_id}/pictures/{side.public_id}/points/typed/")


def test_without_scripts_the_picture_is_shown_and_the_values_are_typed(
    enter: Open, cast: Cast
) -> None:
    side = picture(cast.access(cast.owner), clock.now())
    owner = enter(cast.owner, scripts=False, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/pictures/{side.public_id}/points/")
    expect(owner.page.locator("main img.picture")).to_be_visible()
    expect(owner.page.locator("[data-stage]")).to_be_hidden()
    owner.press("Type the values instead")
    owner.fill(**{"LF-toe_angle": "51"})
    owner.tick("trim_state", "between")
    owner.press("Write the values down")
    assert Reading.objects.get().method == "photo"

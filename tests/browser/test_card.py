"""The printed card in a real browser: it zooms to the foot, is placed by hand, and offers a foot."""

from pathlib import Path

from playwright.sync_api import Route, expect

from caseboard.lib import clock
from horses.models import Picture
from measurements.models import PicturePoints
from measurements.services.picture_card import card_number_keep
from tests.browser.conftest import Open
from tests.browser.measure import misfits
from tests.browser.test_points import SEARCH_MS, broken_rules, is_ready, near, seen, spot
from tests.browser.visitor import DESKTOP
from tests.cast import Cast
from tests.pictures import CARD, FAR_AT, FAR_PX, SIDE_POINTS, drawn_foot, picture


def test_the_picture_opens_zoomed_to_the_foot_and_shows_all_of_it_again(
    enter: Open, cast: Cast
) -> None:
    far = picture(cast.access(cast.owner), clock.now(), far=True)
    owner = enter(cast.owner, touch=True, looks=False)
    page = owner.page
    owner.go(f"/cases/{cast.case.public_id}/pictures/{far.public_id}/points/")
    is_ready(owner)
    left, top, width, height = seen(page)
    assert width < 0.6 * FAR_PX[0]
    feet = {n: (x + FAR_AT[0], y + FAR_AT[1]) for n, (x, y) in SIDE_POINTS.items()}
    assert all(left < x < left + width and top < y < top + height for x, y in feet.values())
    for place in feet.values():
        page.touchscreen.tap(*spot(page, place))
    expect(page.locator("[data-step]")).to_have_text("All placed")
    for _ in range(3):
        page.get_by_role("button", name="Smaller", exact=True).tap()
    assert seen(page)[2] >= FAR_PX[0]
    owner.press("Save the points")
    placed = PicturePoints.objects.get().points
    moved = {n: [x - FAR_AT[0], y - FAR_AT[1]] for n, (x, y) in placed.items()}
    assert near(moved)


def test_a_finger_that_came_first_keeps_its_picture(enter: Open, cast: Cast) -> None:
    """The card is found after the first tap: nothing moves under the finger."""
    far = picture(cast.access(cast.owner), clock.now(), far=True)
    owner = enter(cast.owner, looks=False)
    page = owner.page
    late: list[Route] = []
    page.route("**/points/card/", lambda route: late.append(route))  # noqa: PLW0108
    owner.go(f"/cases/{cast.case.public_id}/pictures/{far.public_id}/points/")
    before = seen(page)
    page.mouse.click(*spot(page, (1300.0, 1400.0)))
    late[0].continue_()
    is_ready(owner)
    assert seen(page) == before
    page.reload()
    is_ready(owner)
    assert seen(page) != before  # known by now, and nothing is placed


def test_the_corners_of_a_dirty_card_are_placed_by_hand(enter: Open, cast: Cast) -> None:
    dirty = picture(cast.access(cast.owner), clock.now(), dirty=True)
    owner = enter(cast.owner, touch=True, looks=False)
    page = owner.page
    owner.go(f"/cases/{cast.case.public_id}/pictures/{dirty.public_id}/points/")
    chip = page.locator("[data-card-words]")
    expect(chip).to_have_text("no card: coarser, and no lengths", timeout=SEARCH_MS)
    page.get_by_role("button", name="Place the card").tap()
    expect(page.locator("[data-step]")).to_have_text("Corner 1 of 4")
    assert broken_rules(page) == []
    assert misfits(page) == []
    for corner in CARD:
        page.touchscreen.tap(*spot(page, corner))
    expect(chip).to_have_text("card placed by hand")
    expect(page.locator("[data-step]")).to_have_text("Point 1 of 6")
    for place in SIDE_POINTS.values():
        page.touchscreen.tap(*spot(page, place))
    expect(page.locator("[data-step]")).to_have_text("All placed")
    values = page.locator("[data-values]")
    expect(values).to_contain_text("toe length")
    expect(values.locator('[data-value="toe_length"]')).to_contain_text("give or take")
    page.locator("summary", has_text="The card: another size").tap()
    page.get_by_label("nearer to the camera").check()
    page.get_by_label("By how much, mm").fill("40")
    owner.press("Save the points")
    owner.sees("card placed by hand, 40 mm nearer to the camera than the middle of the foot")
    row = PicturePoints.objects.get()
    assert (row.card_by_hand, row.card_nearer_mm) == (True, 40)


def test_corners_are_placed_and_given_up_by_keyboard(enter: Open, cast: Cast) -> None:
    dirty = picture(cast.access(cast.owner), clock.now(), dirty=True)
    owner = enter(cast.owner, size=DESKTOP, looks=False)
    page = owner.page
    owner.go(f"/cases/{cast.case.public_id}/pictures/{dirty.public_id}/points/")
    button = page.get_by_role("button", name="Place the card")
    expect(button).to_be_visible(timeout=SEARCH_MS)
    button.focus()
    page.keyboard.press("Enter")
    live = page.locator("#live")
    expect(live).to_contain_text("Corner 1 of 4")
    expect(page.locator("[data-stage]")).to_be_focused()
    page.keyboard.press("Shift+ArrowLeft")
    page.keyboard.press("Enter")
    expect(live).to_contain_text(
        "Corner 1 of 4, the card's black square, upper left corner, placed."
    )
    page.keyboard.press("Enter")  # nothing said of the second: leaves all of them out
    expect(page.locator("[data-step]")).to_have_text("Point 1 of 6")
    expect(page.locator("[name=p-card_1]")).to_have_value("")
    expect(button).to_be_visible()


def test_the_card_offers_its_last_foot_and_chooses_nothing_by_itself(
    enter: Open, cast: Cast, tmp_path: Path
) -> None:
    last = picture(cast.access(cast.farrier), clock.now(), foot="RH")
    card_number_keep(last.public_id, clock.now())
    taken = tmp_path / "foot.jpg"
    taken.write_bytes(drawn_foot())
    farrier = enter(cast.farrier, touch=True)
    page = farrier.page
    farrier.go(f"/cases/{cast.case.public_id}/pictures/new/")
    page.locator("input[type=file]").set_input_files(taken)
    offer = page.locator("[data-card-asked]")
    words = "Card 7 was last used for Juniper's right hind"
    expect(offer).to_contain_text(words, timeout=SEARCH_MS)
    expect(page.locator("input[name=picture_foot]:checked")).to_have_value("")  # no one foot
    expect(page.locator("input[name=picture_view]:checked")).to_have_count(0)
    assert broken_rules(page) == []
    page.get_by_role("button", name="Yes: right hind, from the side").tap()
    expect(page.get_by_label("Right hind")).to_be_checked()
    expect(page.get_by_label("From the side")).to_be_checked()
    farrier.press("Add the picture")
    made = Picture.objects.latest("pk")
    assert (made.foot, made.view) == ("RH", "side")

"""A picture taken in the form of a visit without a signal: kept, and on the board with the visit."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from horses.models import Picture, Visit
from tests.browser.conftest import Open
from tests.browser.line import Line, Mode
from tests.browser.shelf import as_if_kept_before, keep_opened
from tests.browser.test_drafts import here, waiting
from tests.browser.visit_form import fills
from tests.browser.visitor import Visitor
from tests.cast import Cast
from tests.pictures import drawn_foot


@pytest.fixture
def taken(tmp_path: Path) -> Path:
    made = tmp_path / "foot.jpg"
    made.write_bytes(drawn_foot())
    return made


@pytest.fixture
def farrier(enter: Open, cast: Cast, line: Line) -> Visitor:
    """Has the form in the phone."""
    one = enter(cast.farrier, by=line, touch=True, looks=False)
    one.watch.lost_on_purpose = True
    for path in ("/me/waiting/", form(cast)):
        keep_opened(one, path)
    return one


def form(cast: Cast) -> str:
    return f"/cases/{cast.case.public_id}/visits/new/"


def take(one: Visitor, picture: Path, foot: str = "LF") -> None:
    with one.page.expect_file_chooser() as chooser:
        one.page.locator(f"a[data-camera][data-foot={foot}]").tap()
    chooser.value.set_files(picture)


def save(one: Visitor) -> None:
    for preset in ("fronts-bare", "hinds-bare"):
        fills(one, preset).click()
    one.control("Save the visit").click()


@pytest.mark.parametrize("mode", ["cut", "portal", "deaf"])
def test_it_is_kept_and_sent_after_the_visit_and_once(
    farrier: Visitor, line: Line, cast: Cast, taken: Path, mode: Mode
) -> None:
    line.be(mode)
    farrier.go(form(cast))
    take(farrier, taken)
    expect(farrier.page.locator("#live")).to_contain_text("The picture is kept in this phone")
    waiting(farrier, 1)
    save(farrier)
    expect(here(farrier)).to_contain_text("Not sent yet")
    farrier.go("/me/waiting/")
    farrier.sees("Picture: Juniper", "left fore, from the side", "Visit: Juniper")
    asked = len(line.asked)
    line.be("through")
    farrier.until("window.drafts.now()")
    waiting(farrier, 0)
    picture = Picture.objects.get()
    assert (picture.foot, picture.view, picture.case) == ("LF", "side", cast.case)
    assert picture.taken_on == Visit.objects.get(status="kept").kept_on
    sent = [one.split(" ")[1].split("/")[3] for one in line.asked[asked:] if "POST /cases" in one]
    assert sent == ["visits", "pictures"]


def test_on_a_form_kept_since_yesterday_the_picture_is_of_today(
    farrier: Visitor, line: Line, cast: Cast, taken: Path
) -> None:
    today = farrier.page.locator("#id_kept_on").get_attribute("max") or ""
    as_if_kept_before(farrier, form(cast), today, "2026-01-02")
    line.cut()
    farrier.go(form(cast))
    take(farrier, taken)
    waiting(farrier, 1)
    line.be("through")
    farrier.go("/me/waiting/")
    farrier.until("window.drafts.now()")
    assert Picture.objects.get().taken_on.isoformat() == today


def test_a_picture_that_the_board_does_not_take_is_said_and_stays(
    farrier: Visitor, cast: Cast, tmp_path: Path
) -> None:
    broken = tmp_path / "foot.jpg"
    broken.write_bytes(b"no picture")
    farrier.go(form(cast))
    take(farrier, broken)
    expect(farrier.page.locator("#live")).to_contain_text("The board did not take the picture")
    farrier.go("/me/waiting/")
    farrier.sees("Needs you")
    assert not Picture.objects.exists()

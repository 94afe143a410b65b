"""A picture taken on a phone: made smaller there, upright, and into a note and a visit."""

import io
from datetime import timedelta
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import expect

from caseboard.lib import clock
from horses.models import Picture
from horses.services.pictures import Shown, Taken, pictures_add
from tests import build
from tests.browser.conftest import Open
from tests.cast import Cast
from tests.lib.test_film_files import film, slope
from tests.lib.test_film_files import sent as film_sent
from tests.stage import photo


@pytest.fixture
def taken(tmp_path: Path) -> Path:
    """As a phone keeps it: 12 megapixels lying on its side, with the place in it."""
    image = Image.effect_noise((504, 378), 90).convert("RGB").resize((4032, 3024))
    image.paste((255, 0, 0), (0, 2600, 400, 3024))  # upright: the upper left corner
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "CANARY-MAKER"
    path = tmp_path / "IMG_0001.jpg"
    image.save(path, quality=92, exif=exif)
    return path


def kept(picture: Picture) -> Image.Image:
    with picture.file.open("rb") as file:
        return Image.open(io.BytesIO(file.read())).copy()


def is_upright(picture: Picture) -> bool:
    red, green, _ = kept(picture).convert("RGB").getpixel((40, 40))  # type: ignore[misc]
    return picture.width_px < picture.height_px and red > 180 and green < 90


def test_into_a_note_made_smaller_in_the_phone(enter: Open, cast: Cast, taken: Path) -> None:
    owner = enter(cast.owner)
    page = owner.go(f"/cases/{cast.case.public_id}/notes/new/")
    page.get_by_label("Your note").fill("Look at this.")
    page.get_by_text("Add a picture", exact=True).click()
    files = page.locator("input[type=file]")
    files.set_input_files(str(taken))
    expect(page.locator("[data-pictures-said]")).to_contain_text("to send", timeout=30_000)
    sent = files.evaluate("input => [...input.files].map(file => [file.name, file.size])")
    assert [name for name, _ in sent] == ["picture-1.jpg"]
    assert sent[0][1] < 700_000 < taken.stat().st_size
    head = files.evaluate("async input => [...new Uint8Array(await input.files[0].arrayBuffer())]")
    assert b"CANARY" not in bytes(head)
    assert b"Exif" not in bytes(head)
    page.get_by_label("From the side").check()
    page.get_by_label("Left fore").check()
    owner.press("Save the note")
    picture = Picture.objects.get()
    assert picture.note is not None
    assert is_upright(picture)


def test_sent_before_it_was_made_smaller_it_waits(enter: Open, cast: Cast, taken: Path) -> None:
    """Pressed at once: what arrives is the small one all the same."""
    at = clock.now() - timedelta(days=2)
    visit = build.visit(cast.access(cast.farrier), at, at.date())
    farrier = enter(cast.farrier)
    page = farrier.go(f"/cases/{cast.case.public_id}/visits/")
    farrier.press(
        f"Add a picture to the visit of {page.locator('#behind ~ * b').first.inner_text()}"
    )
    page.get_by_label("From the side").check()
    page.get_by_label("Left fore").check()
    page.locator("input[type=file]").set_input_files(str(taken))
    with page.expect_request(lambda asked: asked.method == "POST") as sent:
        page.get_by_role("button", name="Add the picture").click()
    assert len(sent.value.post_data_buffer or b"") < 800_000
    expect(page.locator("h1")).to_contain_text("from the side")
    picture = Picture.objects.get()
    assert picture.visit == visit
    assert is_upright(picture)
    assert max(picture.width_px, picture.height_px) <= 2400


def two_of_one_foot(cast: Cast) -> None:
    now = clock.now()
    for back, colour in ((400, "red"), (5, "blue")):
        out = io.BytesIO()
        Image.new("RGB", (640, 480), colour).save(out, format="JPEG")
        shown = Shown("side", "LF", (now - timedelta(days=back)).date())
        taken = Taken([photo(out.getvalue())], shown)
        pictures_add(access=cast.access(cast.owner), taken=taken, now=now)


def test_the_pages_of_pictures_break_no_rule(enter: Open, cast: Cast) -> None:
    two_of_one_foot(cast)
    owner = enter(cast.owner)
    case = f"/cases/{cast.case.public_id}"
    for path in ("pictures/", "then-and-now/?foot=LF&view=side", "feet/LF/"):
        owner.go(f"{case}/{path}")
    owner.go(f"{case}/pictures/{Picture.objects.latest('pk').public_id}/")
    owner.look_over()


def test_laid_over_each_other_the_older_one_fades_and_is_wiped(enter: Open, cast: Cast) -> None:
    two_of_one_foot(cast)
    page = enter(cast.owner).go(f"/cases/{cast.case.public_id}/then-and-now/?foot=LF&view=side")
    expect(page.locator("[data-older]")).to_have_attribute("opacity", "0.5")
    page.get_by_label("Wipe across").fill("25")
    # A quarter of the eight pixels that the row says.
    expect(page.locator("[data-wiped]")).to_have_attribute("width", "2")


def test_a_vet_sends_a_film_as_its_device_exports_it_and_is_led_to_its_points(
    enter: Open, cast: Cast, tmp_path: Path
) -> None:
    file = tmp_path / "export.dcm"
    file.write_bytes(film_sent(film(slope(600, 800))))
    vet = enter(cast.vet)
    page = vet.go(f"/cases/{cast.case.public_id}/exams/new/")
    page.get_by_label("Findings").fill("Filmed.")
    page.get_by_text("Add a picture", exact=True).click()
    page.locator("input[type=file]").set_input_files(str(file))
    page.get_by_label("Film from the side").check()
    page.get_by_role("group", name="Which foot?").get_by_label("Left fore").check()
    page.get_by_role("button", name="Save the examination").click()
    points = page.get_by_role("link", name="Place the points, get the numbers")
    opened = page.get_by_role("link", name="Open it")  # where the answer takes a while
    expect(points.or_(opened)).to_be_visible(timeout=60_000)
    if opened.is_visible():
        opened.click()
    points.click()
    expect(page.get_by_label("Length of the marker on the film, mm")).to_be_visible()
    expect(page.get_by_text("is the detector's, not the foot's")).to_be_visible()
    kept = Picture.objects.get()
    assert (kept.view, kept.width_px, kept.exam is not None) == ("film_side", 800, True)

"""The urgent page stays in the phone: seen once, it is there without a connection."""

from playwright.sync_api import expect

from caseboard.lib.phone import dialled
from horses.models import Horse
from tests.browser.conftest import Open
from tests.browser.line import Line
from tests.cast import Cast

KEPT = "navigator.serviceWorker.ready.then(() => caches.match('/urgent/')).then(Boolean)"


def test_the_urgent_page_is_there_without_a_connection(visitor: Open, line: Line) -> None:
    anybody = visitor()
    anybody.watch.lost_on_purpose = True
    anybody.go(f"{line.address}/urgent/")
    anybody.until(KEPT)
    line.cut()
    anybody.go(f"{line.address}/urgent/")
    expect(anybody.page.get_by_role("heading", level=1)).to_contain_text("call your vet now")
    anybody.sees("Do not pull it out.")
    styled = "getComputedStyle(document.querySelector('.sitehead')).borderBottomStyle"
    assert anybody.page.evaluate(styled) == "solid"
    anybody.go(f"{line.address}/horses/", status=503)
    anybody.sees("No connection", "ring your vet")


def test_a_kept_number_is_rung_as_the_boards_are(enter: Open, cast: Cast) -> None:
    written = "+44 (0)100 999 ext 5"
    Horse.objects.filter(pk=cast.horse.pk).update(emergency_vet_phone=written)
    owner = enter(cast.owner, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/")
    owner.go("/urgent/")
    number = owner.page.locator("[data-urgent-list] a.phone")
    expect(number).to_have_attribute("href", f"tel:{dialled(written)}")
    expect(number).to_contain_text(written)


def test_the_vets_number_of_a_board_is_kept_for_the_urgent_page(enter: Open, cast: Cast) -> None:
    owner = enter(cast.owner, looks=False)
    owner.go(f"/cases/{cast.case.public_id}/")
    owner.go("/urgent/")
    number = owner.page.locator("[data-urgent-list] a.phone")
    expect(number).to_have_attribute("href", "tel:0100999")
    expect(number).to_contain_text("Juniper")
    owner.look_over()

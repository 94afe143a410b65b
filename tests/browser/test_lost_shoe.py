"""A lost shoe, from the owner's tap to tacked back by the stand-in."""

from datetime import timedelta

from playwright.sync_api import expect

from caseboard.lib import clock
from horses.domain.lost_shoe_advice import STAND_IN_AFTER
from horses.jobs.outbox import jobs_run_due
from horses.models import Notice
from tests import build
from tests.browser.conftest import Open
from tests.cast import Cast


def test_a_lost_shoe_comes_to_the_stand_in_and_is_tacked_back(enter: Open, cast: Cast) -> None:
    at = clock.now() - timedelta(days=20)
    work = [
        build.WorkDone(
            foot=foot,
            trimmed=True,
            shoe="new" if foot in ("LF", "RF") else "none",
            shoeing_left="shod" if foot in ("LF", "RF") else "barefoot",
            size="5",
        )
        for foot in ("LF", "RF", "LH", "RH")
    ]
    build.visit(cast.access(cast.farrier), at, at.date(), work=work)

    owner = enter(cast.owner)
    owner.go(f"/cases/{cast.case.public_id}/")
    owner.sees("front shoes since")
    owner.press("Lost shoe")
    owner.tick("feet", "LF")
    owner.press("Write it down and tell the farrier")
    owner.sees(
        "Finn Farrier was told",
        "Without an answer here, Stina Standin is asked",
        "Do not pull it out",
        "Left fore: size 5",
    )
    phone = owner.page.locator("#lost-shoe a[href^='tel:']").first
    expect(phone).to_have_attribute("href", "tel:0100200303")
    assert not Notice.objects.filter(person=cast.stand_in, verb="flag.raised").exists()

    while jobs_run_due(now=clock.now() + STAND_IN_AFTER + timedelta(minutes=1)):
        pass
    stand_in = enter(cast.stand_in, seen=owner.seen)
    stand_in.go("/notices/")
    stand_in.sees("no answer about the lost shoe yet, Stina Standin is asked")
    stand_in.page.get_by_role("link", name="no answer about the lost shoe").click()
    stand_in.fill(words="I come at five.")
    stand_in.press("Save the answer")
    stand_in.go(f"/cases/{cast.case.public_id}/")
    stand_in.press("The shoe is back on")
    stand_in.fill(words="Same shoe, seven new nails.")
    stand_in.press("Save")

    owner.go(f"/cases/{cast.case.public_id}/")
    owner.sees("Answered: Lost or sprung shoe", "Same shoe, seven new nails.", "front shoes since")
    owner.sees_no("shoe lost")

"""The farrier's visit on a phone: quick to write up, and nothing of it lost on the way."""

from datetime import datetime, timedelta

import pytest
from playwright.sync_api import Locator, Route, expect

from caseboard.lib import clock
from horses.models import FootWork, PlanItemOutcome, Visit
from horses.services.visit_planning import visit_plan
from measurements.models import Reading
from tests import build
from tests.browser.conftest import Open
from tests.browser.thumb import Thumb
from tests.browser.visitor import Visitor
from tests.cast import Cast

BUDGET_S = 60  # quality U3: a visit's readings for two feet with a note
MOST_TAPS = 6
NOTE = "Both toes long. See again in 6."


def kept_here(person: Visitor) -> Locator:
    return person.page.get_by_role("region", name="Kept in this phone")


@pytest.fixture
def shod_before(cast: Cast) -> datetime:
    """A visit seven weeks ago: toe angles and lengths of both fores, and what they wore."""
    at = clock.now() - timedelta(days=49)
    farrier = cast.access(cast.farrier)
    work = [
        build.WorkDone(
            foot=foot,
            trimmed=True,
            shoe="new",
            kind="fullered",
            material="steel",
            size="5",
            nails=7,
            clips="toe",
            wear="even",
            shoeing_left="shod",
        )
        if foot in ("LF", "RF")
        else build.WorkDone(foot=foot, trimmed=True, shoeing_left="barefoot")
        for foot in ("LF", "RF", "LH", "RH")
    ]
    build.visit(farrier, at, at.date(), work=work)
    for foot in ("LF", "RF"):
        build.reading(farrier, at, foot, "toe_angle", 51.5, at.date())
        build.reading(farrier, at, foot, "toe_length", 82, at.date())
    return at


def test_two_feet_with_a_note_are_written_up_within_a_minute(
    enter: Open, cast: Cast, shod_before: datetime
) -> None:
    farrier = enter(cast.farrier)
    farrier.go(f"/cases/{cast.case.public_id}/")
    thumb = Thumb(farrier)
    thumb.tap(farrier.control("Record visit"))
    farrier.arrived()
    thumb.tap(farrier.control("All shoes as last time, new shoe"))
    thumb.type("LF-toe_angle-before", "49.5")
    thumb.next("LF-toe_length-before", "8.9")
    thumb.next("LF-toe_angle-after", "51.5")
    thumb.next("LF-toe_length-after", "8.3")
    thumb.next("RF-toe_angle-before", "49")
    thumb.next("RF-toe_length-before", "8.8")
    thumb.next("RF-toe_angle-after", "51")
    thumb.next("RF-toe_length-after", "8.3")
    thumb.type("words", NOTE)
    thumb.tap(farrier.control("Save the visit"))
    farrier.sees("The visit is saved with 8 readings.", NOTE)

    kept = Visit.objects.order_by("-kept_on", "-pk")[0]
    assert Reading.objects.filter(visit=kept).count() == 8
    shod = dict(kept.work.values_list("foot", "size"))
    assert shod == {"LF": "5", "RF": "5", "LH": "", "RH": ""}
    print(f"taps {thumb.taps}, keys {thumb.keys}, swipes {thumb.swipes}: {thumb.seconds:.1f} s")
    assert thumb.taps <= MOST_TAPS
    assert thumb.seconds <= BUDGET_S, f"{thumb.seconds:.1f} s"


def test_a_full_visit_survives_a_reload_and_a_dead_connection(
    enter: Open, cast: Cast, shod_before: datetime
) -> None:
    item = build.plan_item(
        cast.access(cast.vet), clock.now(), text="Roll the left fore toe.", who_does="farrier"
    )
    farrier = enter(cast.farrier)
    farrier.watch.lost_on_purpose = True
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    farrier.field("LF-toe_angle-before").fill("48,5")
    farrier.page.keyboard.press("Enter")  # the keypad's "next" key
    expect(farrier.field("LF-toe_length-before")).to_be_focused()
    farrier.open("Wear and landing", inside="#foot-LF")
    farrier.field("LF-wear").select_option("outside")
    farrier.field("LF-landing").select_option("outside")
    farrier.page.locator("#foot-LF [data-as-last][value=LF-reset]").click()
    expect(farrier.field("LF-size")).to_have_value("5")
    farrier.field("LF-size").fill("5 1/2")
    farrier.field("LF-studs").select_option("holes")
    farrier.field("LF-toe_angle-after").fill("51")
    farrier.tick("RF-shoe", "reset")
    farrier.until(  # also what was chosen last: it is kept a moment after it is
        "window.drafts.list().then(JSON.stringify).then((kept) => kept.includes('5 1/2')"
        " && /RF-shoe\\W+reset/.test(kept))"
    )

    farrier.page.reload()
    expect(farrier.field("LF-size")).to_have_value("")
    farrier.control("Put it back").click()
    expect(farrier.field("LF-size")).to_have_value("5 1/2")

    farrier.tick(f"item-{item.public_id}-result", "partly")
    farrier.field(f"item-{item.public_id}-words").fill("Half of it now")
    next_on = clock.now().date() + timedelta(days=42)
    farrier.fill(words="Landing outside first.", next_on=next_on.isoformat())
    farrier.context.set_offline(True)
    farrier.control("Save the visit").click()
    expect(kept_here(farrier)).to_contain_text("Not sent yet: no signal")
    farrier.context.set_offline(False)
    expect(kept_here(farrier)).to_contain_text("The visit is saved with 2 readings.")
    farrier.press("Open it")

    farrier.sees("size 5 1/2", "lands outside first")
    work = FootWork.objects.filter(visit__words="Landing outside first.").get(foot="LF")
    assert (work.kind, work.studs, work.wear, work.nails) == ("fullered", "holes", "outside", 7)
    outcome = PlanItemOutcome.objects.get()
    assert (outcome.result, outcome.words) == ("partly", "Half of it now")
    assert Visit.objects.get(status="planned").planned_on == next_on


@pytest.mark.usefixtures("clock_stands")
def test_a_planned_visit_whose_answer_was_lost_is_sent_again_as_the_same(
    enter: Open, cast: Cast, now: datetime
) -> None:
    booked = visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now)
    farrier = enter(cast.farrier, looks=False)
    farrier.watch.lost_on_purpose = True
    address = f"/cases/{cast.case.public_id}/visits/new/"

    def saved_and_lost(route: Route) -> None:
        if route.request.method == "POST":
            had = {cookie["name"] for cookie in farrier.context.cookies()}
            route.fetch(max_redirects=0)
            for cookie in farrier.context.cookies():  # the answer's own are lost with it
                if cookie["name"] not in had:
                    farrier.context.clear_cookies(name=cookie["name"])
            route.abort()
        else:
            route.continue_()

    farrier.go(address)
    expect(farrier.field("planned")).to_be_checked()
    farrier.control("Barefoot all round").click()
    expect(farrier.page.get_by_text("Filled in below, foot by foot.")).to_be_visible()
    farrier.fill(words="Landing outside first.")
    farrier.context.route("**/*", saved_and_lost)
    farrier.control("Save the visit").click()
    expect(kept_here(farrier)).to_contain_text("Not sent yet: no signal")
    farrier.context.unroute_all()
    assert Visit.objects.get(status="kept") == booked

    farrier.go(address)
    farrier.until("window.drafts.now()")
    expect(farrier.page.get_by_role("link", name="1 waiting")).to_have_count(0)
    assert Visit.objects.filter(status="kept").count() == 1


@pytest.mark.usefixtures("clock_stands")
def test_the_day_of_the_next_visit_follows_the_box_until_somebody_changes_it(
    enter: Open, cast: Cast, now: datetime
) -> None:
    day, after = (now.date() + timedelta(days=n) for n in (44, 49))
    visit_plan(access=cast.access(cast.farrier), on=day, now=now)
    farrier = enter(cast.farrier, looks=False)
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    next_on, box = farrier.field("next_on"), farrier.page.locator("#id_planned")
    expect(next_on).to_have_value(str(day))
    box.check()
    expect(next_on).to_have_value(str(after))
    box.uncheck()
    expect(next_on).to_have_value(str(day))
    next_on.fill("2027-02-01")
    box.check()
    expect(next_on).to_have_value("2027-02-01")

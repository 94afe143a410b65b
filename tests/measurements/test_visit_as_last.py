"""A visit written up as last time: only where nothing asks for a look, and without a reading."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from horses.models import FootWork, Trim, Visit
from horses.rules.engine import Finding
from horses.services.deed import DeedRefused
from horses.services.visit_planning import visit_plan
from horses.services.visits import WorkDone
from measurements.models import Reading
from measurements.services.visit_as_last import visit_as_last
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)
SHOD = WorkDone(
    foot="LF",
    trimmed=True,
    shoeing_left="shod",
    shoe="reset",
    kind="plain",
    material="steel",
    nails=6,
    wear="toe",
    landing="toe",
    words="Tender at the second nail.",
)
BARE = WorkDone(foot="LH", trimmed=True, shoeing_left="barefoot")


@pytest.fixture
def last(cast: Cast, now: datetime) -> Visit:
    at = now - 42 * DAY
    build.reading(cast.access(cast.farrier), at, "LF", "toe_angle", 52, at.date())
    return build.visit(cast.access(cast.farrier), at, at.date(), work=[SHOD, BARE])


def again(cast: Cast, now: datetime, key: str = "") -> Visit:
    return visit_as_last(access=cast.access(cast.farrier), client_key=key, now=now)


def test_the_work_is_repeated_and_what_was_seen_is_not(
    cast: Cast, last: Visit, now: datetime
) -> None:
    visit = again(cast, now)
    front, hind = FootWork.objects.filter(visit=visit).order_by("pk")
    assert (front.foot, front.shoe, front.material, front.nails) == ("LF", "reset", "steel", 6)
    assert (front.wear, front.landing, front.words) == ("", "", "")
    assert (hind.foot, hind.shoe, hind.shoeing_left) == ("LH", "none", "barefoot")
    assert visit.kept_on == now.date()
    assert visit.words == "Done as on 21 Sep 2026."
    assert Trim.objects.filter(trimmed_on=now.date()).count() == 2


def test_no_reading_is_copied(cast: Cast, last: Visit, now: datetime) -> None:
    before = Reading.objects.count()
    again(cast, now)
    assert Reading.objects.count() == before


def test_the_planned_visit_becomes_the_kept_one(cast: Cast, last: Visit, now: datetime) -> None:
    planned = visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now - DAY)
    assert again(cast, now).pk == planned.pk


def test_a_second_tap_writes_nothing_more(cast: Cast, last: Visit, now: datetime) -> None:
    first = again(cast, now, "one tap")
    assert again(cast, now, "one tap") == first
    with pytest.raises(DeedRefused):
        again(cast, now, "another page")
    assert Visit.objects.kept().count() == 2


Trouble = Callable[[Cast, datetime], object]


def _thin_sole(cast: Cast, now: datetime) -> object:
    vet = cast.access(cast.vet)
    return build.reading(vet, now, "RF", "sole_depth", 6, now.date(), method="radiograph")


TROUBLES: dict[str, Trouble] = {
    "an open plan item": lambda cast, now: build.plan_item(
        cast.access(cast.vet), now, kind="trim", who_does="farrier", text="Leave the toe."
    ),
    "an item on a board without the farrier": lambda cast, now: build.plan_item(
        cast.access(cast.vet, cast.concern), now, kind="shoe", who_does="farrier", text="Wedges."
    ),
    "an open flag": lambda cast, now: build.flag(cast.access(cast.carer), now),
    "an alert about a foot": lambda cast, now: build.alert(
        cast.horse, Finding("test.rule", "LF", "An alert", "A thing.", case=cast.case), now
    ),
    "a thin sole": _thin_sole,
}


@pytest.mark.parametrize("trouble", TROUBLES)
def test_it_is_refused_where_something_touches_a_foot(
    cast: Cast, last: Visit, now: datetime, trouble: str
) -> None:
    TROUBLES[trouble](cast, now)
    with pytest.raises(DeedRefused, match="foot by foot"):
        again(cast, now)
    assert Visit.objects.kept().count() == 1


def test_care_at_home_does_not_stand_in_the_way(cast: Cast, last: Visit, now: datetime) -> None:
    build.plan_item(cast.access(cast.vet), now, kind="home", text="Hose daily.")
    assert again(cast, now).is_kept


def test_a_shoe_taken_off_is_not_taken_off_again(cast: Cast, now: datetime) -> None:
    at = now - 42 * DAY
    pulled = WorkDone(foot="LF", trimmed=True, shoe="pulled", shoeing_left="barefoot")
    build.visit(cast.access(cast.farrier), at, at.date(), work=[pulled])
    with pytest.raises(DeedRefused):
        again(cast, now)


def test_work_of_half_a_year_ago_is_not_repeated(cast: Cast, now: datetime) -> None:
    at = now - 183 * DAY
    build.visit(cast.access(cast.farrier), at, at.date(), work=[BARE])
    with pytest.raises(DeedRefused):
        again(cast, now)


def test_a_horse_without_a_last_time_has_none(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        again(cast, now)


def test_the_day_offers_it_and_the_tap_ticks_the_horse_off(
    cast: Cast, last: Visit, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now - DAY)
    door = Door(cast.farrier, cast.case)
    assert "Done as last time" in text_of(door.client.get("/round/?days=1"))
    answer = door.client.post(door.address("visit_as_last"), {"days": "1"}, follow=True)
    assert "1 horse, 1 done" in text_of(answer)
    assert "Done as last time" not in text_of(answer)


@pytest.mark.parametrize("trouble", ["an open plan item", "an open flag", "a thin sole"])
def test_the_day_does_not_offer_it_where_something_touches_a_foot(
    cast: Cast, last: Visit, now: datetime, trouble: str
) -> None:
    visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now - DAY)
    TROUBLES[trouble](cast, now)
    door = Door(cast.farrier, cast.case)
    assert "Done as last time" not in text_of(door.client.get("/round/?days=1"))


def test_a_refused_tap_leads_to_the_form(cast: Cast, last: Visit, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now)
    door = Door(cast.farrier, cast.case)
    answer = door.post("visit_as_last")
    assert answer["Location"] == door.address("visit_new")

"""Journeys through the calendar: a visit nobody wrote up, a foal's first year, a herd of forty."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from horses.models import Case, Horse, Role, Visit
from horses.rules.engine import evaluate
from horses.services.horses import horse_create, horse_set_state
from horses.services.visit_planning import visit_plan
from horses.services.visit_word import visit_deny
from tests import build
from tests.browser.conftest import Open
from tests.cast import Cast, join

DAY = timedelta(days=1)
Clock = Callable[[datetime], datetime]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Moves the site's clock to a moment."""

    def move(moment: datetime) -> datetime:
        monkeypatch.setattr("caseboard.lib.clock.now", lambda: moment)
        return moment

    return move


def test_from_two_visits_that_did_not_take_place_to_the_stand_in(
    site: str, cast: Cast, now: datetime, clock: Clock, enter: Open
) -> None:
    for days in (20, 6):
        at = now - (days + 7) * DAY
        on = (now - days * DAY).date()
        visit = visit_plan(access=cast.access(cast.farrier), on=on, now=at)
        later = now - (days - 5) * DAY
        visit_deny(access=cast.access(cast.owner), public_id=visit.public_id, now=later)
        evaluate(cast.horse, now=later)
    clock(now)
    owner = enter(cast.owner)
    owner.go(f"/cases/{cast.case.public_id}/")
    owner.sees(
        "The last 2 planned visits did not take place, as people on this board say",
        "Stina Standin could come instead",
    )
    owner.page.get_by_role("link", name="Ask the stand-in", exact=True).click()
    owner.arrived()
    member = cast.case.memberships.get(person=cast.stand_in)
    assert owner.page.locator(f"[name=who][value='{member.public_id}']").is_checked()
    owner.tick("quick", "day")
    owner.fill(on=str(now.date() + 2 * DAY))
    owner.press("Plan the visit")
    owner.sees("Stina Standin")
    planned = Visit.objects.get(status="planned")
    assert planned.planned_for == cast.stand_in
    evaluate(cast.horse, now=now)
    owner.go(f"/cases/{cast.case.public_id}/")
    owner.sees_no("Ask the stand-in")
    stand_in = enter(cast.stand_in)
    stand_in.go("/round/?days=7")
    stand_in.sees("Juniper", "not confirmed yet")
    stand_in.go(f"/cases/{cast.case.public_id}/")
    stand_in.press("The day suits: confirm")
    stand_in.sees("confirmed")
    owner.go(f"/cases/{cast.case.public_id}/visits/")
    owner.sees("confirmed by Stina Standin", "did not take place", "Finn Farrier")


def test_a_foals_first_year(
    site: str, cast: Cast, now: datetime, clock: Clock, enter: Open
) -> None:
    born = now - 2 * DAY
    Horse.objects.filter(pk=cast.horse.pk).update(born_on=born.date(), use="young")
    case = f"/cases/{cast.case.public_id}"
    farrier = enter(cast.farrier)

    clock(born + 10 * DAY)
    farrier.go(f"{case}/visits/")
    farrier.sees("Due in 4 days, not planned yet")
    clock(first := born + 14 * DAY)
    build.visit(cast.access(cast.farrier), first, first.date())
    farrier.go(f"{case}/visits/")
    farrier.sees("Due in 4 weeks, not planned yet")

    clock(look := born + 85 * DAY)
    farrier.go(f"{case}/young/")
    farrier.sees("The time to act on the fetlock ends at about 100 days", "15 days left")
    farrier.page.get_by_role("link", name="Note how the feet point").click()
    farrier.arrived()
    farrier.field("LF").select_option("-1")
    farrier.fill(words="From the fetlock.")
    farrier.press("Save")
    farrier.sees("toes in slightly")
    evaluate(cast.horse, now=look)
    owner = enter(cast.owner)
    owner.go(f"{case}/")
    owner.sees("Ask the vet now about the fetlock")

    for days in range(110, 366, 49):
        at = clock(born + days * DAY)
        build.visit(cast.access(cast.farrier), at, at.date())
    clock(born + 370 * DAY)
    owner.go(f"{case}/young/")
    owner.sees("does more harm than help", "After weaning")
    owner.go(f"{case}/visits/")
    owner.sees("7 weeks (by age")


def test_a_herd_of_forty_in_every_state(
    site: str, cast: Cast, now: datetime, clock: Clock, enter: Open
) -> None:
    clock(now)
    start = now - 120 * DAY
    for number in range(39):
        horse = horse_create(person=cast.owner, fields={"name": f"Horse {number}"}, now=start)
        case = Case.objects.get(horse=horse)
        join(case, cast.farrier, Role.FARRIER, start)
        access = cast.access(cast.owner, case)
        match number % 5:
            case 0:
                build.flag(access, now)
            case 1:
                horse_set_state(access=access, state="paused", reason="Winter", now=now)
            case 2:
                visit_plan(access=access, on=now.date() + 9 * DAY, now=now)
            case 3:
                at = now - 80 * DAY
                build.visit(cast.access(cast.farrier, case), at, at.date())
    owner = enter(cast.owner)
    owner.go("/horses/")
    rows = owner.page.locator("table.herd-table tbody tr")
    assert rows.count() == 40
    owner.open("Only those that …")
    owner.field("need").select_option("flags")
    owner.press("Show")
    assert "need=flags" in owner.page.url
    assert rows.count() == 8
    owner.go("/horses/?need=due")
    assert rows.count() == 8
    owner.sees("Overdue by 4 weeks and 3 days")

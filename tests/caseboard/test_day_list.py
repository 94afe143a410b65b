"""The round: whose horses stand on it, what is said of each, and what stays off it."""

import gzip
import re
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from caseboard.day_list import RoundPage, round_page
from horses.models import Case, Horse, Person, Role, Visit
from horses.services.horses import horse_create
from horses.services.plan import latest_version, plan_item_decide
from horses.services.visit_planning import visit_plan
from horses.services.visit_word import visit_report
from tests import build
from tests.cast import Cast, join

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def horse(cast: Cast, name: str, now: datetime, **fields: Any) -> Case:
    made = horse_create(person=cast.owner, fields={"name": name, **fields}, now=now - 40 * DAY)
    case = Case.objects.get(horse=made)
    join(case, cast.farrier, Role.FARRIER, now - 40 * DAY)
    return case


def plan(cast: Cast, case: Case, days: int, now: datetime, **more: Any) -> None:
    visit_plan(access=cast.access(cast.farrier, case), on=now.date() + days * DAY, now=now, **more)


def week(person: Person, now: datetime, days: int = 7) -> RoundPage:
    return round_page(person, first=now.date(), days=days, today=now.date())


def names(page: RoundPage) -> list[list[str]]:
    """Day by day, place by place: "the place: horse, horse"."""
    return [
        [f"{p.name}: {', '.join(one.stop.horse.name for one in p.stops)}" for p in day.places]
        for day in page.by_day
    ]


def page_of(person: Person, query: str = "") -> str:
    client = Client()
    client.force_login(person)
    return client.get(f"/round/{query}").content.decode()


def test_the_days_come_in_order_and_horses_of_one_place_together(cast: Cast, now: datetime) -> None:
    for name, yard, days in (
        ("Ash", "West", 2),
        ("Birch", "East", 2),
        ("Cedar", "west ", 2),
        ("Dogwood", "East", 1),
        ("Elm", "East", 9),
    ):
        plan(cast, horse(cast, name, now, yard=yard), days, now)
    assert names(week(cast.farrier, now)) == [
        ["East: Dogwood"],
        ["East: Birch", "West: Ash, Cedar"],
    ]


def test_a_day_is_only_that_day(cast: Cast, now: datetime) -> None:
    plan(cast, cast.case, 1, now)
    assert names(week(cast.farrier, now, days=1)) == []
    tomorrow = round_page(cast.farrier, first=now.date() + DAY, days=1, today=now.date())
    assert tomorrow.count == 1


def test_a_day_that_passed_unwritten_stays_on_the_round(cast: Cast, now: datetime) -> None:
    visit_plan(access=cast.access(cast.farrier), on=(now - 2 * DAY).date(), now=now - 9 * DAY)
    page = week(cast.farrier, now)
    assert [place.stops[0].stop.horse.name for place in page.past] == ["Juniper"]


def test_a_day_that_passed_is_asked_about_of_owner_and_farrier(cast: Cast, now: datetime) -> None:
    visit_plan(access=cast.access(cast.farrier), on=(now - 2 * DAY).date(), now=now - 9 * DAY)
    owner, farrier = page_of(cast.owner), page_of(cast.farrier)
    assert "Did Finn Farrier come on Saturday 31 Oct 2026?" in owner
    assert 'name="said" value="yes"' in owner
    assert "Were you here on Saturday 31 Oct 2026?" in farrier
    assert 'name="said" value="yes"' not in farrier
    assert "Yes: record it" in farrier
    assert "Done as last time" not in farrier
    assert "Running late" not in farrier


def test_a_day_long_past_is_still_asked_about(cast: Cast, now: datetime) -> None:
    visit_plan(access=cast.access(cast.farrier), on=(now - 6 * DAY).date(), now=now - 9 * DAY)
    Visit.objects.planned().update(status=Visit.Status.MISSED)
    for who in (cast.owner, cast.farrier):
        ((one,),) = [place.stops for place in week(who, now).past]
        assert (one.question is not None, one.may_move) == (True, False)
        assert round_page(who, first=now.date() + DAY, days=7, today=now.date()).past == []


def test_what_somebody_reported_stands_ticked_with_their_name(cast: Cast, now: datetime) -> None:
    plan(cast, cast.case, 0, now)
    visit_report(access=cast.access(cast.owner), on=now.date(), now=now)
    for who in (cast.owner, cast.farrier):
        (stop,) = [one.stop for place in week(who, now).by_day[0].places for one in place.stops]
        said = "reported by Ola Owner, not yet confirmed by Finn Farrier"
        assert (stop.is_done, stop.done_words) == (True, said)
    assert [report.visit for report in week(cast.farrier, now).reports] == [stop.visit]
    assert week(cast.owner, now).reports == []
    assert week(cast.other_farrier, now).reports == []
    assert "Yes, so it was" in page_of(cast.farrier)


def test_horses_due_by_then_without_a_day_are_named(cast: Cast, now: datetime) -> None:
    case = horse(cast, "Ash", now)
    trimmed = now - 47 * DAY
    build.visit(cast.access(cast.farrier, case), trimmed, trimmed.date())
    page = week(cast.farrier, now)
    (place,) = page.unplanned
    assert place.stops[0].stop.due.words == "due in 2 days, not planned yet"


@pytest.mark.parametrize("who", ["vet", "removed", "stranger", "other_farrier", "other_owner"])
def test_nobody_else_finds_the_horse_on_a_round(cast: Cast, now: datetime, who: str) -> None:
    plan(cast, cast.case, 1, now)
    assert week(cast.everyone[who], now).by_day == []
    assert "Juniper" not in page_of(cast.everyone[who])


def test_a_visit_for_the_stand_in_is_on_the_stand_ins_round_only(cast: Cast, now: datetime) -> None:
    member = cast.case.memberships.get(person=cast.stand_in)
    plan(cast, cast.case, 1, now, member_id=member.public_id)
    assert week(cast.farrier, now).count == 0
    assert week(cast.stand_in, now).count == 1


def test_a_vet_has_the_vet_visits(cast: Cast, now: datetime) -> None:
    plan(cast, cast.case, 1, now)
    assert week(cast.vet, now).count == 0
    plan(cast, cast.case, 2, now, kind="vet")
    assert week(cast.vet, now).count == 1
    assert week(cast.farrier, now).count == 1


def test_a_paused_horse_is_on_no_round(cast: Cast, now: datetime) -> None:
    plan(cast, cast.case, 1, now)
    Horse.objects.filter(pk=cast.horse.pk).update(state="paused")
    assert week(cast.farrier, now).count == 0


def test_a_stop_says_what_to_bring_and_what_to_mind(cast: Cast, now: datetime) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(
        danger="Kicks behind", held_by="Cara holds him", handling="Feed bucket", yard="West"
    )
    farrier, vet = cast.access(cast.farrier), cast.access(cast.vet)
    build.reading(farrier, now, "LF", "toe_angle", 51, now.date())
    build.target(vet, now, from_on=date(2026, 11, 1))
    item = build.plan_item(farrier, now, text="Roll the toes.", who_does="farrier", kind="trim")
    build.plan_item(farrier, now, text="Square the heels.", who_does="farrier", kind="trim")
    for who in (cast.owner, cast.vet):
        plan_item_decide(
            access=cast.access(who),
            item_id=item.public_id,
            decision="agree",
            seen_hash=latest_version(item).content_hash,
            now=now,
        )
    plan(cast, cast.case, 1, now)
    page = page_of(cast.farrier)
    for words in (
        "Kicks behind",
        "Cara holds him",
        "Feed bucket",
        "Roll the toes.",
        "51",
        "50 to 54",
        "0100 200 301",
        "0100 999",
    ):
        assert words in page, words
    assert "Square the heels." not in page  # a task that is not agreed is no work yet


def test_words_that_the_farrier_may_not_read_are_not_there(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now, "canary-vets-only", ("vet", "owner"))
    plan(cast, cast.case, 1, now)
    assert "canary-vets-only" not in page_of(cast.farrier)


def test_a_concern_the_farrier_is_not_on_adds_nothing(cast: Cast, now: datetime) -> None:
    cast.concern.memberships.filter(person=cast.farrier).update(left_at=now)
    item = build.plan_item(cast.access(cast.vet, cast.concern), now, text="canary-concern")
    for who in (cast.owner, cast.stand_in):
        plan_item_decide(
            access=cast.access(who, cast.concern),
            item_id=item.public_id,
            decision="agree",
            seen_hash=latest_version(item).content_hash,
            now=now,
        )
    plan(cast, cast.case, 1, now)
    assert "canary-concern" not in page_of(cast.farrier)


@pytest.mark.parametrize("query", ["?from=soon&days=x", "?from=0001-01-01", "?from=9999-12-31"])
def test_an_odd_address_shows_from_today(cast: Cast, now: datetime, query: str) -> None:
    plan(cast, cast.case, 1, now)
    assert "Juniper" in page_of(cast.farrier, query)


def test_the_queries_do_not_grow_with_the_horses(cast: Cast, now: datetime) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as caught:
            week(cast.farrier, now)
        return len(caught)

    plan(cast, cast.case, 1, now)
    few = queries()
    for number in range(6):
        plan(cast, horse(cast, f"Horse {number}", now), 2, now)
    assert queries() == few


@pytest.mark.parametrize("who", ["owner", "carer"])
def test_those_at_home_see_who_comes_and_when(cast: Cast, now: datetime, who: str) -> None:
    plan(cast, cast.case, 1, now, at=time(9, 30))
    visit_plan(access=cast.access(cast.vet), on=now.date() + DAY, kind="vet", now=now)
    text = page_of(cast.everyone[who])
    assert "Finn Farrier, farrier" in text
    assert "Vera Vet, vet" in text
    assert "9:30" in text
    assert 'href="tel:0100200303"' in text


def test_the_days_begin_with_whoever_comes_first(cast: Cast, now: datetime) -> None:
    for name, yard, at in (("Ash", "East", time(14)), ("Birch", "West", time(8, 15))):
        plan(cast, horse(cast, name, now, yard=yard), 1, now, at=at)
    plan(cast, horse(cast, "Cedar", now, yard="North"), 1, now)
    assert names(week(cast.farrier, now)) == [["West: Birch", "East: Ash", "North: Cedar"]]


def test_the_next_stop_is_one_tap_away(cast: Cast, now: datetime) -> None:
    for name, yard, at in (("Ash", "East", time(14)), ("Birch", "West", time(8, 15))):
        plan(cast, horse(cast, name, now, yard=yard), 0, now, at=at)
    text = page_of(cast.farrier, "?days=1")
    found = re.search(r'href="#([\w-]+)">Next stop: East,\s+14:00<', text)
    assert found is not None
    assert f'id="{found[1]}"' in text
    assert text.count("Next stop:") == 1


def test_two_who_come_to_one_place_stand_apart_for_the_owner(cast: Cast, now: datetime) -> None:
    ash = horse(cast, "Ash", now)
    join(ash, cast.stand_in, Role.FARRIER, now, stand_in=True)
    plan(cast, cast.case, 1, now)
    member = ash.memberships.get(person=cast.stand_in)
    plan(cast, ash, 1, now, member_id=member.public_id)
    text = page_of(cast.owner)
    assert "Finn Farrier, farrier" in text
    assert "Stina Standin, stand-in farrier" in text


def test_what_is_written_up_today_is_ticked_off_and_stays(cast: Cast, now: datetime) -> None:
    for name in ("Ash", "Birch"):
        plan(cast, horse(cast, name, now), 0, now)
    case = Case.objects.get(horse__name="Ash")
    planned = Visit.objects.planned().get(horse=case.horse)
    build.visit(cast.access(cast.farrier, case), now, now.date(), planned_id=planned.public_id)
    for person in (cast.farrier, cast.owner):
        (day,) = week(person, now).by_day
        (place,) = day.places
        assert [(one.stop.horse.name, one.stop.is_done) for one in place.stops] == [
            ("Ash", True),
            ("Birch", False),
        ]
    assert "2 horses, 1 done" in page_of(cast.farrier)


def test_a_colleagues_work_is_not_on_my_round(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.stand_in), now, now.date())
    assert week(cast.farrier, now).by_day == []


def test_a_carer_is_offered_nothing_to_plan(cast: Cast, now: datetime) -> None:
    plan(cast, cast.case, 1, now)
    assert "/round/stop/" not in page_of(cast.carer)
    assert "/round/stop/" in page_of(cast.owner)


def test_forty_horses_at_three_places_take_twelve_queries_and_little_room(
    cast: Cast, now: datetime
) -> None:
    for number in range(40):
        case = horse(
            cast,
            f"Horse {number}",
            now,
            yard=f"Yard {number % 3}",
            handling="Stands well when a friend is near.",
            danger="Kicks out behind.",
            held_by="The groom",
        )
        farrier = cast.access(cast.farrier, case)
        build.visit(farrier, now - 30 * DAY, (now - 30 * DAY).date())
        build.reading(farrier, now, "LF", "toe_angle", 50 + number % 5, now.date())
        build.plan_item(farrier, now, text=f"Leave the toe of {number}.")
        build.flag(cast.access(cast.owner, case), now)
        plan(cast, case, number % 5, now, at=time(8 + number % 8))
    client = Client()
    client.force_login(cast.farrier)
    with CaptureQueriesContext(connection) as caught:
        answer = client.get("/round/")
    assert answer.content.count(b'class="day-row"') == 40
    assert len(caught) <= 12
    assert len(gzip.compress(answer.content)) <= 40_000


def test_a_long_round_comes_in_pages_that_hold_every_stop_once(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caseboard.day_list.STOPS_A_PAGE", 2)
    for name, days in (("Ash", 1), ("Birch", 1), ("Cedar", 1), ("Dogwood", 2)):
        plan(cast, horse(cast, name, now, yard="West"), days, now)
    asked: dict[str, Any] = {"first": now.date(), "days": 7, "today": now.date()}
    first, second = (round_page(cast.farrier, page=page, **asked) for page in ("1", "2"))
    assert names(first) == [["West: Ash, Birch"]]
    assert names(second) == [["West: Cedar"], ["West: Dogwood"]]
    assert [day.count for day in (*first.by_day, *second.by_day)] == [3, 3, 1]
    assert first.count == second.count == 4
    assert "page=2" in page_of(cast.farrier)
    assert "Stops before these" in page_of(cast.farrier, "?page=2")


def test_what_is_known_of_a_stop_stands_on_whichever_page(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caseboard.day_list.STOPS_A_PAGE", 1)
    for name, days in (("Ash", 1), ("Birch", 2)):
        case = horse(cast, name, now)
        plan(cast, case, days, now)
        build.plan_item(cast.access(cast.owner, case), now)
    for page in ("1", "2"):
        shown = round_page(cast.farrier, first=now.date(), days=7, today=now.date(), page=page)
        [stop] = [one.stop for day in shown.by_day for place in day.places for one in place.stops]
        assert stop.owners == [cast.owner]
        assert stop.waiting == 1


def test_an_owner_who_left_is_not_to_be_rung(cast: Cast, now: datetime) -> None:
    join(cast.case, cast.other_owner, Role.OWNER, now)
    cast.case.memberships.filter(person=cast.owner).update(left_at=now)
    plan(cast, cast.case, 1, now)
    page = page_of(cast.farrier)
    assert "Otto Other" in page
    assert "Ola Owner" not in page
    assert "0100 200 301" not in page


def test_a_stand_in_is_sent_only_where_somebody_asked(cast: Cast, now: datetime) -> None:
    trimmed = now - 60 * DAY
    build.visit(cast.access(cast.farrier), trimmed, trimmed.date())
    assert [len(week(who, now).unplanned) for who in (cast.farrier, cast.stand_in)] == [1, 0]


def test_a_vet_is_not_sent_to_trims(cast: Cast, now: datetime) -> None:
    trimmed = now - 60 * DAY
    build.visit(cast.access(cast.farrier), trimmed, trimmed.date())
    assert week(cast.vet, now).unplanned == []

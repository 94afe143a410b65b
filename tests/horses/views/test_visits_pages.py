"""The next visit: planned with the horse's own interval at hand, moved, cancelled."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.http import HttpResponse

from horses.forms.visit import offered_days
from horses.models import Visit
from horses.services.visit_planning import visit_plan
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")

TODAY = date(2026, 11, 2)


def plan(cast: Cast, who: str = "owner", **fields: str) -> HttpResponse:
    sent = {"version": "0", "on": "2026-11-20", **fields}
    return Door(getattr(cast, who), cast.case).post("visit_plan", **sent)


@pytest.fixture
def planned(cast: Cast, now: datetime) -> Visit:
    return visit_plan(access=cast.access(cast.farrier), on=date(2026, 11, 20), now=now)


# -- the days offered


def test_the_interval_after_the_last_trim_is_offered_with_a_week_round_it() -> None:
    days = offered_days(TODAY, date(2026, 10, 12), 49)
    assert days == [date(2026, 11, 23), date(2026, 11, 30), date(2026, 12, 7)]


def test_days_that_have_passed_are_not_offered() -> None:
    assert offered_days(TODAY, date(2026, 9, 10), 49) == [date(2026, 11, 5)]


def test_for_an_overdue_horse_the_next_days_are_offered() -> None:
    days = offered_days(TODAY, date(2025, 1, 1), 42)
    assert days == [TODAY + timedelta(days=soon) for soon in (2, 5, 7)]


def test_without_a_trim_the_interval_counts_from_today() -> None:
    assert offered_days(TODAY, None, 42)[1] == TODAY + timedelta(days=42)


def test_the_page_offers_the_days_in_words(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 10, 12))
    page = text_of(Door(cast.owner, cast.case).get("visit_plan"))
    assert "Mon 30 Nov 2026" in page
    assert "7 weeks after the last trim" in page


# -- planning


def test_a_visit_is_planned_and_the_others_are_told(cast: Cast) -> None:
    assert plan(cast, words="At nine.").status_code == 302
    visit = Visit.objects.get()
    assert (visit.planned_on, visit.status_reason) == (date(2026, 11, 20), "At nine.")
    assert "visit.planned" in verbs(cast.case)
    assert "Finn Farrier" in told(cast.case, "visit.planned")


def test_a_day_offered_is_one_tap(cast: Cast) -> None:
    day = offered_days(TODAY, None, cast.horse.interval_days)[0]
    assert plan(cast, quick=day.isoformat(), on="").status_code == 302
    assert Visit.objects.get().planned_on == day


def test_today_can_be_planned(cast: Cast) -> None:
    assert plan(cast, on="2026-11-02").status_code == 302


@pytest.mark.parametrize("who", ["owner", "farrier", "stand_in", "vet"])
def test_all_three_roles_plan(cast: Cast, who: str) -> None:
    assert plan(cast, who).status_code == 302


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"on": ""}, "Choose a day."),
        ({"on": "", "quick": "day"}, "Choose a day."),
        ({"on": "2026-11-01"}, "has passed"),
        ({"on": "0001-01-01"}, "has passed"),
        ({"on": "9999-12-31"}, "two years ahead"),
        ({"on": "31.02.2027"}, "not a day"),
        ({"quick": "2031-01-01"}, "one of the days"),
        ({"quick": "NaN"}, "one of the days"),
        ({"words": "x" * 301}, "301 characters"),
    ],
)
def test_what_cannot_be_planned_comes_back_as_typed(
    cast: Cast, fields: dict[str, str], words: str
) -> None:
    response = plan(cast, **{"words": "Kept words", **fields})
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert fields.get("words", "Kept words") in page
    assert not Visit.objects.exists()


def test_planning_again_moves_the_visit(cast: Cast, planned: Visit) -> None:
    page = text_of(Door(cast.owner, cast.case).get("visit_plan"))
    assert "Planned for Fri 20 Nov 2026" in page
    plan(cast, on="2026-11-27", version=str(planned.version))
    assert Visit.objects.get().planned_on == date(2026, 11, 27)
    assert "visit.moved" in verbs(cast.case)


def test_two_who_move_it_at_once_see_both_days(cast: Cast, planned: Visit, now: datetime) -> None:
    visit_plan(
        access=cast.access(cast.farrier),
        on=date(2026, 11, 25),
        version=planned.version,
        now=now,
    )
    response = plan(cast, on="2026-11-27", version=str(planned.version), words="Kept words")
    page = text_of(response)
    assert response.status_code == 409
    assert "25 Nov 2026" in page
    assert "27 Nov 2026" in page
    assert "Finn Farrier saved this" in page
    assert "Kept words" in page
    assert Visit.objects.get().planned_on == date(2026, 11, 25)
    assert f'name="version" value="{planned.version + 1}"' in page


def test_planning_unseen_beside_someone_else_is_a_conflict(cast: Cast, planned: Visit) -> None:
    assert plan(cast, on="2026-11-27", version="0").status_code == 409


def test_the_same_plan_sent_twice_is_one(cast: Cast) -> None:
    for _ in range(2):
        assert plan(cast).status_code == 302
    assert verbs(cast.case).count("visit.planned") == 1
    assert "visit.moved" not in verbs(cast.case)


def test_the_doors_of_planning(cast: Cast, now: datetime) -> None:
    assert Door(cast.carer, cast.case).get("visit_plan").status_code == 403
    assert plan(cast, "carer").status_code == 403
    assert Door(cast.stranger, cast.case).get("visit_plan").status_code == 404
    door = Door(cast.owner, cast.case)
    assert door.client.put(door.address("visit_plan")).status_code == 405
    shut(cast.case, now)
    assert door.get("visit_plan").status_code == 403


# -- cancelling


def cancel(cast: Cast, who: str, visit: Visit, **fields: Any) -> HttpResponse:
    door = Door(getattr(cast, who), cast.case)
    return door.post("visit_cancel", visit.public_id, **{"version": "1", **fields})


def test_a_visit_is_cancelled_with_word(cast: Cast, planned: Visit) -> None:
    assert cancel(cast, "owner", planned, reason="Horse is away.").status_code == 302
    planned.refresh_from_db()
    assert (planned.status, planned.status_reason) == ("cancelled", "Horse is away.")
    assert "visit.cancelled" in verbs(cast.case)
    assert "Finn Farrier" in told(cast.case, "visit.cancelled")


@pytest.mark.parametrize("reason", ["", "   ", "x" * 301])
def test_cancelling_without_a_readable_reason_comes_back(
    cast: Cast, planned: Visit, reason: str
) -> None:
    assert cancel(cast, "owner", planned, reason=reason).status_code == 422
    planned.refresh_from_db()
    assert planned.status == "planned"


def test_a_visit_is_cancelled_once(cast: Cast, planned: Visit) -> None:
    cancel(cast, "owner", planned, reason="Away.")
    assert cancel(cast, "owner", planned, reason="Again.").status_code == 409


def test_the_doors_of_cancelling(cast: Cast, planned: Visit) -> None:
    assert cancel(cast, "carer", planned, reason="x").status_code == 403
    assert cancel(cast, "stranger", planned, reason="x").status_code == 404
    door = Door(cast.other_owner, cast.other_case)
    assert door.post("visit_cancel", planned.public_id, reason="x").status_code == 404
    door = Door(cast.owner, cast.case)
    assert door.get("visit_cancel", planned.public_id).status_code == 200
    assert door.client.put(door.address("visit_cancel", planned.public_id)).status_code == 405

"""The booked visit and the next one, as the visit's form writes them."""

import re
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.http import HttpResponse

from horses.models import Visit
from horses.services.visit_planning import visit_confirm, visit_plan
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
BOOKED = date(2026, 12, 22)
USUAL = "2026-12-21"  # today and the seven weeks of the horse


def send(cast: Cast, door: Door | None = None, **fields: Any) -> HttpResponse:
    sent = {
        "kept_on": "2026-11-01",
        "angle_method": "gauge",
        "length_method": "tape",
        "LF-trimmed": "on",
        "LF-shoe": "none",
        "LF-left": "barefoot",
        "words": "A loose clip.",
    }
    door = door or Door(cast.farrier, cast.case)
    return door.post("visit_new", **{**sent, **fields})


@pytest.fixture
def booked(cast: Cast, now: datetime) -> Visit:
    visit = visit_plan(access=cast.access(cast.farrier), on=BOOKED, words="ten o'clock", now=now)
    visit_confirm(access=cast.access(cast.owner), public_id=visit.public_id, now=now)
    return visit


def near(cast: Cast, now: datetime) -> Visit:
    return visit_plan(access=cast.access(cast.farrier), on=date(2026, 11, 3), now=now)


def planned() -> list[tuple[date | None, bool, str]]:
    rows = Visit.objects.filter(status="planned")
    return [(v.planned_on, v.confirmed_at is not None, v.status_reason) for v in rows]


@pytest.mark.parametrize("next_on", [USUAL, "", str(BOOKED)])
def test_an_extra_visit_leaves_the_booked_one_and_says_so(
    cast: Cast, booked: Visit, next_on: str
) -> None:
    door = Door(cast.farrier, cast.case)
    answer = send(cast, door, next_on=next_on)
    assert answer.status_code == 302
    assert planned() == [(BOOKED, True, "ten o'clock")]
    board = text_of(door.get("board"))
    assert "The visit planned for 22 Dec 2026 stays as it is." in board


def test_another_day_beside_a_booked_visit_is_asked_about(cast: Cast, booked: Visit) -> None:
    answer = send(cast, next_on="2027-01-09")
    assert answer.status_code == 422
    assert "A visit is planned for 22 Dec 2026 and stays" in text_of(answer)
    assert "2027-01-09" in text_of(answer)
    assert planned() == [(BOOKED, True, "ten o'clock")]


def test_the_booked_visit_is_moved_only_by_its_own_tick_and_the_message_says_so(
    cast: Cast, booked: Visit
) -> None:
    booked.refresh_from_db()
    means = f"{booked.public_id}-{booked.version}"
    door = Door(cast.farrier, cast.case)
    send(cast, door, next_on="2027-01-09", move_booked=means)
    assert planned() == [(date(2027, 1, 9), False, "ten o'clock")]
    board = text_of(door.get("board"))
    assert "The visit planned for 22 Dec 2026 is moved to 9 Jan 2027." in board


def test_a_tick_to_move_a_day_that_was_moved_meanwhile_is_asked_again(
    cast: Cast, booked: Visit, now: datetime
) -> None:
    booked.refresh_from_db()
    means = f"{booked.public_id}-{booked.version}"
    visit_plan(access=cast.access(cast.owner), on=date(2026, 12, 29), now=now)
    answer = send(cast, next_on="2027-01-09", move_booked=means)
    assert answer.status_code == 422
    assert "changed meanwhile" in text_of(answer)
    assert [row[0] for row in planned()] == [date(2026, 12, 29)]


def test_the_service_leaves_a_booked_visit_alone(cast: Cast, booked: Visit, now: datetime) -> None:
    on = now.date()
    build.visit(cast.access(cast.farrier), now, on, next_on=on + timedelta(days=60))
    assert planned() == [(BOOKED, True, "ten o'clock")]


def test_the_tick_carries_the_visit_it_means(cast: Cast, now: datetime) -> None:
    visit = near(cast, now)
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    box = next(tag for tag in re.findall("<input[^>]*>", page) if 'name="planned"' in tag)
    assert f'value="{visit.public_id}"' in box
    assert "checked" in box


def test_a_planned_visit_sent_again_after_a_lost_answer_is_that_visit(
    cast: Cast, now: datetime
) -> None:
    visit = near(cast, now)
    for _ in range(2):
        answer = send(cast, client_key="k", planned=visit.public_id, next_on=USUAL)
        assert answer.status_code == 302
    assert Visit.objects.filter(status="kept").count() == 1
    assert [row[0] for row in planned()] == [date(2026, 12, 21)]


def test_it_is_that_visit_too_when_none_is_booked_after_it(cast: Cast, now: datetime) -> None:
    visit = near(cast, now)
    for _ in range(2):
        answer = send(cast, client_key="k", planned=visit.public_id, next_on="")
        assert answer.status_code == 302
    assert Visit.objects.filter(status="kept").count() == 1


def test_a_tick_of_a_visit_that_is_gone_ticks_no_other(cast: Cast, now: datetime) -> None:
    gone = near(cast, now)
    send(cast, planned=gone.public_id, next_on="2026-11-10")
    another: dict[str, Any] = {"sure-again": "on"}
    answer = send(cast, planned=gone.public_id, next_on="2026-12-30", **another)
    assert answer.status_code == 422
    assert "not booked any more" in text_of(answer)
    assert [row[0] for row in planned()] == [date(2026, 11, 10)]


def test_a_booked_visit_that_comes_early_is_not_booked_once_more(cast: Cast, booked: Visit) -> None:
    answer = send(cast, planned=booked.public_id, next_on=str(BOOKED))
    assert answer.status_code == 422
    assert "That is the day of the visit that this one is" in text_of(answer)
    assert send(cast, planned=booked.public_id, next_on="2027-01-05").status_code == 302
    assert [row[0] for row in planned()] == [date(2027, 1, 5)]


def offered(cast: Cast) -> str:
    """The two days that the form carries: as filled in, and with the box ticked."""
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    box = next(tag for tag in re.findall("<input[^>]*>", page) if 'name="next_offered"' in tag)
    return re.findall('value="([^"]*)"', box)[0]


def test_the_filled_in_day_of_the_booked_visit_gives_way_when_this_is_that_visit(
    cast: Cast, booked: Visit
) -> None:
    """Sent twice as well: it is the same form."""
    days = offered(cast)
    assert days == f"{BOOKED} {USUAL}"
    for _ in range(2):
        answer = send(
            cast,
            client_key="k",
            planned=booked.public_id,
            next_on=str(BOOKED),
            next_offered=days,
        )
        assert answer.status_code == 302
    assert [row[0] for row in planned()] == [date(2026, 12, 21)]
    assert Visit.objects.filter(status="kept").count() == 1


def test_the_filled_in_day_stands_when_this_is_another_visit(cast: Cast, booked: Visit) -> None:
    answer = send(cast, next_on=str(BOOKED), next_offered=offered(cast))
    assert answer.status_code == 302
    assert planned() == [(BOOKED, True, "ten o'clock")]


@pytest.mark.parametrize("days", ["", "soon", "2026-12-22", "2026-12-22 2026-13-40"])
def test_days_that_no_form_offered_are_as_good_as_none(
    cast: Cast, booked: Visit, days: str
) -> None:
    answer = send(cast, planned=booked.public_id, next_on=str(BOOKED), next_offered=days)
    assert answer.status_code == 422

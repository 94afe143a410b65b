"""What the visit's form asks once before it saves, so that a stray tap makes no visit."""

from datetime import date, datetime
from typing import Any

import pytest
from django.http import HttpResponse

from horses.models import FootWork, Visit
from horses.services.visits import WorkDone
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")
FEET = ("LF", "RF", "LH", "RH")


@pytest.fixture
def barefoot(cast: Cast, now: datetime) -> Cast:
    """A horse whose feet are known to be barefoot since a visit in September."""
    work = [WorkDone(foot=foot, trimmed=True, shoeing_left="barefoot") for foot in FEET]
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1), work=work)
    return cast


def send(cast: Cast, **fields: Any) -> HttpResponse:
    """The form as a browser shows it, sent untouched but for the fields given."""
    sent = {f"{foot}-trimmed": "on" for foot in FEET} | {f"{foot}-shoe": "none" for foot in FEET}
    sent |= {"kept_on": "2026-11-01", "angle_method": "gauge", "length_method": "tape"}
    return Door(cast.farrier, cast.case).post("visit_new", **sent | fields)


def saved() -> int:
    return Visit.objects.filter(status="kept", kept_on="2026-11-01").count()


def test_the_boxes_are_not_there_before_their_question_comes_up(barefoot: Cast) -> None:
    assert 'name="sure-' not in text_of(Door(barefoot.farrier, barefoot.case).get("visit_new"))


def test_an_untouched_sheet_is_asked_about_and_not_saved(barefoot: Cast) -> None:
    answer = send(barefoot, next_on="2026-12-24")
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Nothing is written down yet but the feet" in page
    assert "Trimmed only, nothing measured: save it like this" in page
    assert 'value="2026-12-24"' in page
    assert saved() == 0


def test_an_untouched_sheet_is_saved_when_it_is_meant(barefoot: Cast) -> None:
    assert send(barefoot, **{"sure-untouched": "on"}).status_code == 302
    assert FootWork.objects.filter(visit__kept_on="2026-11-01", trimmed=True).count() == 4


@pytest.mark.parametrize(
    "fields",
    [
        {"words": "Good feet."},
        {"LF-toe_angle-after": "52"},
        {"LF-words": "crack"},
        {"RH-shoe": "new"},
        {"LH-left": "barefoot"},
    ],
)
def test_one_thing_written_down_makes_a_visit(barefoot: Cast, fields: dict[str, str]) -> None:
    assert send(barefoot, **fields).status_code == 302


def test_a_second_visit_of_a_day_is_asked_about_by_the_name_of_the_first(barefoot: Cast) -> None:
    send(barefoot, words="In the morning.", client_key="a")
    answer = send(barefoot, words="In the evening.", client_key="b")
    page = text_of(answer)
    assert answer.status_code == 422
    said = "by Finn Farrier (all four trimmed, “In the morning.”)."
    assert f"There is a visit of this day already, {said}" in page
    assert "In the evening." in page
    assert 'name="sure-again"' in page
    assert saved() == 1


def test_a_second_visit_of_a_day_is_saved_when_it_is_meant(barefoot: Cast) -> None:
    send(barefoot, words="In the morning.")
    answer = send(barefoot, words="In the evening.", **{"sure-again": "on"})
    assert answer.status_code == 302
    assert saved() == 2


def test_the_same_form_sent_twice_is_not_asked_about(barefoot: Cast) -> None:
    answers = [send(barefoot, words="Once.", client_key="a").status_code for _ in range(2)]
    assert answers == [302, 302]
    assert saved() == 1


def test_a_visit_of_another_horse_is_no_second_one(barefoot: Cast, now: datetime) -> None:
    other = barefoot.access(barefoot.other_farrier, barefoot.other_case)
    build.visit(other, now, date(2026, 11, 1))
    assert send(barefoot, words="Good feet.").status_code == 302


def test_a_shod_foot_trimmed_without_shoe_work_is_asked_about(cast: Cast, now: datetime) -> None:
    work = [WorkDone(foot=f, trimmed=True, shoeing_left="shod") for f in ("LF", "RF")]
    work += [WorkDone(foot=f, trimmed=True, shoeing_left="barefoot") for f in ("LH", "RH")]
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1), work=work)
    answer = send(cast, words="Both fores.", **{"RF-shoe": "reset", "RF-words": "crack"})
    page = text_of(answer)
    assert answer.status_code == 422
    assert "The left fore came shod and is ticked as trimmed, with no shoe work." in page
    assert 'value="crack"' in page
    assert saved() == 0


def test_several_shod_feet_are_asked_about_in_one_question(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    page = text_of(send(cast, words="All four."))
    assert "The left fore, right fore, left hind and right hind came shod" in page
    assert page.count('name="sure-shoe-on"') == 1


def test_a_shod_foot_without_shoe_work_is_saved_when_it_is_meant(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    assert send(cast, words="Rasped.", **{"sure-shoe-on": "on"}).status_code == 302


def test_a_shod_foot_that_was_not_trimmed_needs_no_shoe_work(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    trimmed_none = {f"{foot}-trimmed": "" for foot in FEET}
    assert send(cast, words="Looked at.", **trimmed_none).status_code == 302


def test_a_box_that_was_ticked_stays_while_something_else_is_put_right(barefoot: Cast) -> None:
    send(barefoot, words="In the morning.")
    answer = send(barefoot, words="Again.", **{"sure-again": "on", "LF-toe_angle-after": "5x"})
    assert answer.status_code == 422
    assert 'name="sure-again" id="id_sure-again" checked' in text_of(answer)


def test_the_first_visit_sent_twice_is_not_asked_how_the_foot_came(cast: Cast) -> None:
    fields = {f"{foot}-left": "shod" for foot in FEET}
    answers = [send(cast, client_key="a", **fields).status_code for _ in range(2)]
    assert answers == [302, 302]

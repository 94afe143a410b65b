""" "Was here" on the pages: which horses are ticked, the buttons of the board and of the round."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from horses.models import Case, Horse, Role, Visit
from horses.services.horses import horse_create
from horses.services.visit_planning import visit_plan
from horses.services.visit_word import visit_report
from tests.cast import Cast, join
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def neighbour(cast: Cast, now: datetime, name: str = "Bryony", yard: str = " north  yard") -> Case:
    """Another horse of the owner's, at the same place."""
    Horse.objects.filter(pk=cast.horse.pk).update(yard="North Yard")
    fields = {"name": name, "yard": yard}
    horse = horse_create(person=cast.owner, fields=fields, now=now - 30 * DAY)
    case = Case.objects.get(horse=horse)
    join(case, cast.farrier, Role.FARRIER, now - 30 * DAY)
    return case


def test_what_was_planned_about_now_is_ticked_and_the_rest_is_one_tap_away(
    cast: Cast, now: datetime
) -> None:
    expected, other = neighbour(cast, now), neighbour(cast, now, "Comfrey")
    for case in (cast.case, expected):
        access = cast.access(cast.owner, case)
        visit_plan(access=access, on=now.date(), now=now - 9 * DAY)
    page: Any = Door(cast.owner, cast.case).get("was_here")
    ticked = page.context["form"]["horses"].value()
    assert ticked == [cast.case.public_id, expected.public_id]
    again: Any = Door(cast.owner, cast.case).post("was_here", tick_all="1", words="A shoe lost.")
    assert set(again.context["form"]["horses"].value()) == {*ticked, other.public_id}
    assert again.context["form"]["words"].value() == "A shoe lost."


def test_a_horse_of_another_place_is_not_offered(cast: Cast, now: datetime) -> None:
    elsewhere = neighbour(cast, now, yard="Hill Farm")
    page = Door(cast.owner, cast.case).get("was_here")
    assert elsewhere.public_id not in text_of(page)


def test_a_horse_that_is_not_offered_cannot_be_sent(cast: Cast, now: datetime) -> None:
    stranger = cast.other_case.public_id
    answer = Door(cast.owner, cast.case).post("was_here", horses=stranger, day=str(now.date()))
    assert answer.status_code == 422
    assert not Visit.objects.exists()


def test_all_of_a_place_are_written_down_with_one_form(cast: Cast, now: datetime) -> None:
    other = neighbour(cast, now)
    answer = Door(cast.owner, cast.case).post(
        "was_here",
        horses=[cast.case.public_id, other.public_id],
        day=str(now.date()),
        next=str(now.date() + 49 * DAY),
    )
    assert answer.status_code == 302
    assert Visit.objects.reported().count() == 2
    assert Visit.objects.planned().filter(planned_on=now.date() + 49 * DAY).count() == 2


def test_a_day_to_come_is_refused_beside_its_field_and_nothing_typed_is_lost(
    cast: Cast, now: datetime
) -> None:
    answer = Door(cast.owner, cast.case).post(
        "was_here",
        horses=cast.case.public_id,
        day=str(now.date()),
        on=str(now.date() + DAY),
        words="Kept.",
    )
    assert answer.status_code == 422
    assert "This day is still to come." in text_of(answer)
    assert "Kept." in text_of(answer)


def test_a_day_of_long_ago_is_typed_below_and_counts(cast: Cast, now: datetime) -> None:
    long_ago = now.date() - 40 * DAY
    Door(cast.owner, cast.case).post(
        "was_here", horses=cast.case.public_id, day=str(now.date()), on=str(long_ago)
    )
    assert Visit.objects.get().kept_on == long_ago


def test_the_board_asks_and_one_tap_answers(cast: Cast, now: datetime) -> None:
    on = now.date() - 2 * DAY
    visit = visit_plan(access=cast.access(cast.farrier), on=on, now=now - 9 * DAY)
    door = Door(cast.carer, cast.case)
    assert "Did Finn Farrier come on Saturday 31 Oct 2026?" in text_of(door.get("board"))
    door.post("visit_asked", visit.public_id, said="yes")
    page = text_of(door.get("board"))
    assert "reported by Cara Carer, not yet confirmed by Finn Farrier" in page
    assert "Did Finn Farrier come" not in page


def test_the_farrier_is_led_to_the_form_and_confirms_a_report_with_one_tap(
    cast: Cast, now: datetime
) -> None:
    visit = visit_report(access=cast.access(cast.owner), on=now.date(), now=now)
    door = Door(cast.farrier, cast.case)
    assert "Ola Owner says you were here on Mon 2 Nov 2026" in " ".join(
        text_of(door.get("board")).split()
    )
    door.post("report_confirm", visit.public_id, left="barefoot")
    assert "first reported by Ola Owner" in text_of(door.get("board"))


def test_the_round_shows_what_waits_for_the_farriers_word_and_leads_back(
    cast: Cast, now: datetime
) -> None:
    visit = visit_report(access=cast.access(cast.owner), on=now.date(), now=now)
    door = Door(cast.farrier, cast.case)
    assert "reported by Ola Owner" in text_of(door.client.get("/round/"))
    answer = door.post("report_confirm", visit.public_id, left="shod", next="round")
    assert answer["Location"] == "/round/"


def test_a_day_that_nobody_spoke_of_stays_on_the_round_until_it_is_answered(
    cast: Cast, now: datetime
) -> None:
    at = now - 12 * DAY
    visit = visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    Visit.objects.filter(pk=visit.pk).update(status="missed")
    door = Door(cast.farrier, cast.case)
    assert "Did these take place?" in text_of(door.client.get("/round/"))
    door.post("visit_asked", visit.public_id, said="no", next="round")
    assert "Did these take place?" not in text_of(door.client.get("/round/"))


def test_a_wrong_tap_is_undone_on_the_board_for_all_that_was_said_with_it(
    cast: Cast, now: datetime
) -> None:
    other = neighbour(cast, now)
    for case in (cast.case, other):
        visit_report(access=cast.access(cast.owner, case), on=now.date(), now=now)
    visit = Visit.objects.reported().get(case=cast.case)
    door = Door(cast.owner, cast.case)
    assert "Also for 1 other horse" in text_of(door.get("report_back", visit.public_id))
    door.post("report_back", visit.public_id, all="1")
    assert not Visit.objects.reported().exists()


def test_what_was_reported_is_asked_once_on_the_screen_and_answered_in_its_fold(
    cast: Cast, now: datetime
) -> None:
    visit_report(access=cast.access(cast.owner), on=now.date(), words="Stood well.", now=now)
    words = Door(cast.farrier, cast.case).get("board").content.decode()
    assert 'href="#word"' in words
    fold = words.index('<summary data-key="word">')
    assert fold < words.index('id="word"') < words.index("“Stood well.”")

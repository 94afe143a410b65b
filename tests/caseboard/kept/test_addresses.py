"""What a phone is told to fetch ahead: the next stops first, and nothing that its person may not see."""

from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from caseboard.kept.addresses import MOST_BOARDS, MOST_STOPS, Shelf, shelf_for
from horses.models import Case, CaseSeen, Person, Picture, Role
from horses.services.horses import horse_create
from horses.services.notes import note_write
from horses.services.pictures import Shown, Taken, picture_blank
from horses.services.visit_planning import visit_plan
from tests.cast import Cast, join
from tests.stage import photo

pytestmark = pytest.mark.django_db


def shelf(person: Person, now: datetime) -> Shelf:
    return shelf_for(person, today=now.date(), now=now)


def planned(cast: Cast, case: Case, now: datetime, *, days: int) -> None:
    on = now.date() + timedelta(days=days)
    visit_plan(access=cast.access(cast.farrier, case), on=on, now=now)


def page(case: Case, name: str, *more: str) -> str:
    return reverse(name, args=[case.public_id, *more])


def test_todays_and_tomorrows_stops_come_with_their_forms_and_feet(
    cast: Cast, now: datetime
) -> None:
    planned(cast, cast.case, now, days=1)
    found = shelf(cast.farrier, now)
    [home] = found.stops
    assert home == page(cast.case, "board")
    for name in ("visit_new", "flag_new", "note_new", "readings_new"):
        assert page(cast.case, name) in found.homes[home]
    assert page(cast.case, "foot", "RH") in found.homes[home]


def test_a_stops_form_comes_as_the_list_of_its_day_opens_it(cast: Cast, now: datetime) -> None:
    planned(cast, cast.case, now, days=1)
    tomorrow = (now + timedelta(days=1)).date()
    address = f"{page(cast.case, 'visit_new')}?day={tomorrow}"
    home = page(cast.case, "board")
    assert address in shelf(cast.farrier, now).homes[home]
    assert address not in shelf(cast.owner, now).homes[home]


def test_the_day_after_tomorrow_is_no_stop_yet(cast: Cast, now: datetime) -> None:
    planned(cast, cast.case, now, days=2)
    found = shelf(cast.farrier, now)
    assert found.stops == []
    assert page(cast.case, "board") in found.boards


def test_forms_that_a_person_may_not_send_are_not_fetched(cast: Cast, now: datetime) -> None:
    found = shelf(cast.owner, now).homes[page(cast.case, "board")]
    assert page(cast.case, "visit_new") not in found
    assert page(cast.case, "was_here") in found


def test_every_address_answers_the_person_and_is_to_be_kept(cast: Cast, now: datetime) -> None:
    planned(cast, cast.case, now, days=1)
    for who in (cast.owner, cast.farrier, cast.vet, cast.carer):
        client = Client(headers={"X-Fetched-Ahead": "1"})
        client.force_login(who)
        found = client.get("/me/shelf/").json()
        beside = [address for some in found["homes"].values() for address in some]
        for address in [*found["own"], *found["stops"], *found["boards"], *beside]:
            answer = client.get(address)
            assert (answer.status_code, "X-Keep" in answer) == (200, True), (who, address)
        assert not CaseSeen.objects.filter(person=who).exists()


def test_who_was_removed_and_a_stranger_are_told_of_none_of_it(cast: Cast, now: datetime) -> None:
    planned(cast, cast.case, now, days=1)
    for who in (cast.removed, cast.stranger, cast.invited, cast.staff):
        found = shelf(who, now)
        assert (found.stops, found.boards, found.homes) == ([], [], {})


def test_a_closed_case_stays_readable_and_is_not_fetched(cast: Cast, now: datetime) -> None:
    cast.concern.closed_at = now
    cast.concern.save()
    found = shelf(cast.vet, now)
    home = page(cast.concern, "board")
    assert home in found.homes
    assert home not in found.boards
    assert page(cast.concern, "flag_new") not in found.homes[home]


def test_a_herd_is_fetched_only_so_far(cast: Cast, now: datetime) -> None:
    for number in range(MOST_STOPS + MOST_BOARDS + 1):
        made = horse_create(person=cast.owner, fields={"name": f"Horse {number:02}"}, now=now)
        case = Case.objects.get(horse=made)
        join(case, cast.farrier, Role.FARRIER, now)
        planned(cast, case, now, days=1)
    found = shelf(cast.farrier, now)
    assert len(found.stops) == MOST_STOPS
    assert len(found.boards) == MOST_BOARDS
    assert len(found.homes) > MOST_STOPS + MOST_BOARDS


def test_a_picture_that_was_blanked_out_is_named_to_those_who_could_see_it_for_a_fortnight(
    cast: Cast, now: datetime
) -> None:
    vet = cast.access(cast.vet, cast.case)
    between_two = frozenset({"vet", "farrier"})
    note_write(
        access=vet,
        body="Between us.",
        audience=between_two,
        taken=Taken([photo()], Shown("place")),
        now=now,
    )
    picture = Picture.objects.get()
    assert shelf(cast.farrier, now).blanked == []
    picture_blank(access=vet, picture_id=picture.public_id, reason="A face", now=now)
    address = page(cast.case, "picture", picture.public_id)
    assert shelf(cast.farrier, now + timedelta(days=14)).blanked == [address]
    assert shelf(cast.owner, now).blanked == []
    assert shelf(cast.farrier, now + timedelta(days=16)).blanked == []

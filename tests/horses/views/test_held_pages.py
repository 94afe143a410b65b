"""Adding a customer's horse, what the board says of a held one, and what is kept of its owner."""

from datetime import datetime, timedelta

import pytest

from horses.access import access_get
from horses.models import Case, Horse, OwnerContact, Role
from horses.services.horses import HeldFor, horse_create
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def held(cast: Cast, now: datetime) -> Case:
    contact = HeldFor(Role.FARRIER, "Oda Offline", "0100 200 377")
    horse = horse_create(person=cast.farrier, fields={"name": "Sedge"}, held_for=contact, now=now)
    return Case.objects.get(horse=horse)


def test_a_customers_horse_needs_a_name_and_whose_it_is(cast: Cast, now: datetime) -> None:
    door = Door(cast.farrier, cast.case)
    fields = {"name": "Sedge", "whose": "farrier", "interval_weeks": "7"}
    answer = door.client.post("/horses/new/", fields)
    assert answer.status_code == 422
    assert "Write whose horse it is." in text_of(answer)
    last = str(now.date() - 20 * DAY)
    more = {"owner_name": "Oda Offline", "owner_phone": "0100 200 377", "last_trim_on": last}
    assert door.client.post("/horses/new/", fields | more).status_code == 302
    access = access_get(cast.farrier, Case.objects.get(horse__name="Sedge").public_id)
    assert (access.role, access.holds) == (Role.FARRIER, True)


def test_ones_own_horse_is_added_as_before(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    fields = {"name": "Sorrel", "whose": "owner", "interval_weeks": "7"}
    assert door.client.post("/horses/new/", fields).status_code == 302
    assert Case.objects.get(horse__name="Sorrel").memberships.get().role == Role.OWNER
    assert not OwnerContact.objects.filter(horse__name="Sorrel").exists()


def test_the_board_says_that_nothing_is_agreed_without_the_owner(cast: Cast, now: datetime) -> None:
    page = text_of(Door(cast.farrier, held(cast, now)).get("board"))
    assert "Oda Offline" in page
    assert "nothing is agreed without them" in page
    assert "Ask the owner to take it over" in page


def test_a_holder_is_offered_the_owners_role_only(cast: Cast, now: datetime) -> None:
    page = text_of(Door(cast.farrier, held(cast, now)).get("invite"))
    assert 'value="owner"' in page
    assert 'value="vet"' not in page


def test_what_is_kept_is_shown_and_erased(cast: Cast, now: datetime) -> None:
    case = held(cast, now)
    door = Door(cast.farrier, case)
    assert "0100 200 377" in text_of(door.get("owner_contact"))
    door.post("owner_contact", act="erase")
    assert "Oda Offline" not in text_of(door.get("owner_contact"))
    assert "Oda Offline" not in text_of(door.get("board"))
    assert Door(cast.farrier, case).post("owner_contact", act="x").status_code == 422


def test_a_held_horse_is_on_its_holders_round_with_the_owners_number(
    cast: Cast, now: datetime
) -> None:
    case = held(cast, now)
    Horse.objects.filter(pk=case.horse_id).update(interval_days=42)
    door = Door(cast.farrier, case)
    door.post(
        "was_here", horses=case.public_id, day=str(now.date()), next=str(now.date() + 42 * DAY)
    )
    later = str(now.date() + 42 * DAY)
    assert "0100 200 377" in text_of(door.client.get("/round/", {"from": later, "days": "1"}))

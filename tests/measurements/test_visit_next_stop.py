"""From the list of a day: saving a visit leads to the next horse of that day."""

from datetime import datetime, time, timedelta

import pytest

from horses.models import Case, Horse, Role, Visit
from horses.services.horses import horse_create
from horses.services.visit_planning import visit_plan
from tests.cast import Cast, join
from tests.horses.doors import Door, text_of
from tests.measurements.visit_form import sheet

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


@pytest.fixture
def day(cast: Cast, now: datetime) -> dict[str, Case]:
    """Juniper first, then Alder, then Birch, by the clock of each place; the farrier's today."""
    found = {"Juniper": cast.case}
    for name in ("Alder", "Birch"):
        made = horse_create(person=cast.owner, fields={"name": name}, now=now - timedelta(days=40))
        found[name] = Case.objects.get(horse=made)
        join(found[name], cast.farrier, Role.FARRIER, now - timedelta(days=40))
    for hour, name in ((9, "Juniper"), (11, "Alder"), (14, "Birch")):
        case = found[name]
        Horse.objects.filter(pk=case.horse_id).update(yard=f"Place {hour}")
        visit_plan(access=cast.access(cast.farrier, case), on=now.date(), at=time(hour), now=now)
    return found


def _opened(cast: Cast, case: Case, day: str) -> str:
    door = Door(cast.farrier, case)
    return text_of(door.client.get(f"{door.address('visit_new')}?day={day}"))


def test_the_button_names_whom_saving_leads_to(
    cast: Cast, day: dict[str, Case], now: datetime
) -> None:
    today = f"{now.date()}"
    assert "Save, then Alder" in _opened(cast, day["Juniper"], today)
    assert "Save, then Birch" in _opened(cast, day["Alder"], today)
    assert "Save, then Juniper" in _opened(cast, day["Birch"], today)  # passed over so far


def test_saving_goes_round_the_day_and_back_to_its_list(
    cast: Cast, day: dict[str, Case], now: datetime
) -> None:
    today = f"{now.date()}"
    led = []
    for name in ("Juniper", "Alder", "Birch"):
        door = Door(cast.farrier, day[name])
        booked = Visit.objects.planned().get(horse=day[name].horse)
        sent = sheet("LF", kept_on=today, words="Trimmed.", planned=booked.public_id)
        answer = door.client.post(f"{door.address('visit_new')}?day={today}", sent)
        assert answer.status_code == 302
        led.append(answer["Location"])
    assert led[0] == f"/cases/{day['Alder'].public_id}/visits/new/?day={today}"
    assert led[1] == f"/cases/{day['Birch'].public_id}/visits/new/?day={today}"
    assert led[2] == f"/round/?from={today}&days=1"


def test_what_is_said_on_the_next_horses_form_names_the_horse_it_is_of(
    cast: Cast, day: dict[str, Case], now: datetime
) -> None:
    door = Door(cast.farrier, cast.case)
    address = f"{door.address('visit_new')}?day={now.date()}"
    page = text_of(door.client.post(address, sheet("LF", words="Trimmed."), follow=True))
    assert "Juniper: The visit is saved" in page


def test_opened_from_elsewhere_saving_leads_to_the_board(cast: Cast, day: dict[str, Case]) -> None:
    door = Door(cast.farrier, cast.case)
    assert "Save the visit" in text_of(door.get("visit_new"))
    answer = door.client.post(door.address("visit_new"), sheet("LF", words="Trimmed."))
    assert answer["Location"] == f"/cases/{cast.case.public_id}/"


@pytest.mark.parametrize("asked", ["", "soon", "2026-13-40", "9999-12-31", "0001-01-01"])
def test_a_day_that_is_none_or_empty_leads_nowhere_else(
    asked: str, cast: Cast, day: dict[str, Case]
) -> None:
    assert "Save the visit" in _opened(cast, cast.case, asked)


def test_a_horse_whose_farrier_somebody_else_is_that_day_is_left_out(
    cast: Cast, day: dict[str, Case], now: datetime
) -> None:
    booked = Visit.objects.planned().get(horse=day["Alder"].horse)
    booked.planned_for = cast.stand_in
    booked.save()
    assert "Save, then Birch" in _opened(cast, cast.case, f"{now.date()}")


def test_the_list_of_a_day_opens_the_form_of_that_day(
    cast: Cast, day: dict[str, Case], now: datetime
) -> None:
    page = text_of(Door(cast.farrier, cast.case).client.get("/round/?days=1"))
    assert f"/visits/new/?day={now.date() + timedelta(0)}" in page

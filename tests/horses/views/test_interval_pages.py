"""Setting the time between trims: by the team, by age, by the vet's order."""

from datetime import date, datetime

import pytest

from horses.models import Horse
from horses.services.horses import horse_edit
from tests.cast import Cast
from tests.horses.doors import Door, last_line, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


def send(cast: Cast, who: str, **fields: str) -> int:
    version = str(Horse.objects.get(pk=cast.horse.pk).version)
    sent = {"version": version, "basis": "team", "weeks": "6", "why": "", **fields}
    return Door(getattr(cast, who), cast.case).post("interval", **sent).status_code


def horse(cast: Cast) -> Horse:
    return Horse.objects.get(pk=cast.horse.pk)


@pytest.mark.parametrize("who", ["owner", "farrier", "vet"])
def test_each_of_the_three_sets_weeks_and_is_named(cast: Cast, who: str) -> None:
    assert send(cast, who, winter_weeks="8") == 302
    now = horse(cast)
    assert (now.interval_days, now.interval_winter_days, now.interval_by_role) == (42, 56, who)
    assert (last_line(cast.case, "interval.set").after or {})["words"].startswith(
        "8 weeks (in winter"
    )


def test_only_a_vet_orders_and_the_order_needs_its_reason(cast: Cast) -> None:
    assert send(cast, "owner", basis="vet", why="Thin soles") == 422
    assert send(cast, "vet", basis="vet") == 422
    assert send(cast, "vet", basis="vet", weeks="4", why="Thin soles") == 302
    assert horse(cast).interval_basis == "vet"


def test_nobody_else_changes_the_vets_order(cast: Cast, now: datetime) -> None:
    send(cast, "vet", basis="vet", weeks="4", why="Thin soles")
    assert send(cast, "farrier", weeks="8") == 403
    page = text_of(Door(cast.owner, cast.case).get("interval"))
    assert "only a vet changes it" in page
    assert horse(cast).interval_days == 28
    assert "disabled" in text_of(Door(cast.owner, cast.case).get("horse_edit"))


def test_a_version_that_is_old_shows_both(cast: Cast, now: datetime) -> None:
    door = Door(cast.owner, cast.case)
    horse_edit(access=cast.access(cast.owner), version=1, fields={"yard": "Up"}, now=now)
    answer = door.post("interval", version="1", basis="team", weeks="6", why="")
    assert answer.status_code == 409
    assert horse(cast).interval_days == 49


def test_weeks_written_with_the_horse_are_the_owners_word(cast: Cast, now: datetime) -> None:
    edited = horse_edit(
        access=cast.access(cast.owner), version=1, fields={"interval_days": 42}, now=now
    )
    assert (edited.interval_basis, edited.interval_by_name) == ("team", "Ola Owner")


def test_a_young_horse_goes_by_a_rule_that_the_team_picks(cast: Cast) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(born_on=date(2026, 5, 1))
    sent = {"basis": "age", "weeks": "", "schedule": "month", "weaned_on": "2026-10-20"}
    assert send(cast, "farrier", **sent) == 302
    now = horse(cast)
    assert (now.interval_basis, now.young_schedule, now.weaned_on) == (
        "age",
        "month",
        date(2026, 10, 20),
    )
    assert "Utah State University Extension" in text_of(Door(cast.owner, cast.case).get("young"))


def test_a_grown_horse_has_no_rule_by_age(cast: Cast) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(born_on=date(2016, 5, 1))
    assert send(cast, "owner", basis="age") == 422

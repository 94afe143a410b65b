"""The rows of the first screen: what stands first, whom they ring, what fits."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from caseboard.board import Board, board_for
from caseboard.case_reading import CaseReading
from caseboard.glance.asks import Soon
from caseboard.glance.rows import MOST_UNITS, Button, Row, fitted, rows_of
from horses.domain.finding import Finding
from horses.models import Alert, Membership, Person
from horses.services.visit_planning import visit_plan
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def board_of(cast: Cast, who: Person, now: datetime) -> Board:
    return board_for(CaseReading(cast.access(who), now), seen_seq=0)


def rows_for(cast: Cast, who: Person, now: datetime) -> list[Row]:
    return rows_of(board_of(cast, who, now))


def phone(person: Person, number: str) -> None:
    Person.objects.filter(pk=person.pk).update(phone=number)


def drift(cast: Cast, now: datetime, **more: Any) -> None:
    finding = Finding("foot.drift", "LF", "Left fore: slow change", "It has fallen.", **more)
    build.alert(cast.horse, finding, now)


def test_what_may_not_wait_stands_first_and_rings_the_emergency_vet(
    cast: Cast, now: datetime
) -> None:
    cast.horse.emergency_vet_phone = "0100 999 000"
    cast.horse.emergency_vet_name = "Night practice"
    cast.horse.save()
    drift(cast, now)
    build.flag(cast.access(cast.carer), now, "in_sole", feet=["RH"])
    first, *others = rows_for(cast, cast.owner, now)
    assert first.is_now
    assert first.when == "Call your vet now"
    assert first.button.href == "tel:0100999000"
    assert "Do not pull it out" in first.till_then
    assert not any(row.is_now for row in others)


def test_a_slow_change_rings_the_farrier_who_comes_next(cast: Cast, now: datetime) -> None:
    phone(cast.farrier, "0100 200")
    drift(cast, now)
    visit_plan(access=cast.access(cast.farrier), on=now.date() + timedelta(days=3), now=now)
    (row,) = (r for r in rows_for(cast, cast.owner, now) if r.foot_word == "slow change")
    assert row.button.href == "tel:0100200"
    assert row.when == "Thu 5 Nov"
    assert row.feet == ("LF",)


def test_the_farrier_is_not_told_to_ring_himself(cast: Cast, now: datetime) -> None:
    phone(cast.farrier, "0100 200")
    drift(cast, now)
    (row,) = (r for r in rows_for(cast, cast.farrier, now) if r.foot_word == "slow change")
    assert not row.button.rings
    assert row.step == "look at it"


def test_who_has_no_number_is_not_offered_to_be_rung(cast: Cast, now: datetime) -> None:
    phone(cast.farrier, "")
    drift(cast, now)
    (row,) = (r for r in rows_for(cast, cast.owner, now) if r.foot_word == "slow change")
    assert not row.button.rings
    assert row.button.href == row.href


def test_somebody_who_left_is_not_rung(cast: Cast, now: datetime) -> None:
    phone(cast.farrier, "0100 200")
    drift(cast, now)
    Membership.objects.filter(person=cast.farrier).update(left_at=now)
    (row,) = (r for r in rows_for(cast, cast.owner, now) if r.foot_word == "slow change")
    assert not row.button.rings


def test_a_danger_stands_before_what_is_as_soon(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.carer), now, "lost_shoe", feet=["RF"])
    sole = Finding("shape.thin_sole", "LF", "Left fore: thin sole", "7 mm.", danger=True)
    build.alert(cast.horse, sole, now)
    first = rows_for(cast, cast.owner, now)[0]
    assert (first.foot_word, first.is_danger) == ("thin sole", True)


def test_the_worse_of_two_feet_stands_first(cast: Cast, now: datetime) -> None:
    for foot, short_by_mm in (("RF", 2.0), ("LF", 3.0)):
        words = Finding(
            "shape.thin_sole", foot, "Thin sole", "Thin.", danger=True, severity=short_by_mm
        )
        build.alert(cast.horse, words, now)
    assert [row.feet for row in rows_for(cast, cast.owner, now)] == [("LF",), ("RF",)]


def test_a_button_says_what_the_one_to_ring_is(cast: Cast, now: datetime) -> None:
    phone(cast.vet, "0100 300")
    sole = Finding("shape.thin_sole", "LF", "Left fore: thin sole", "7 mm.", danger=True)
    build.alert(cast.horse, sole, now)
    (row,) = rows_for(cast, cast.owner, now)
    assert row.button.role == "vet"
    assert row.button.name.startswith(f"Ring {row.button.label}, vet: {cast.vet}")


def test_plan_items_that_wait_share_one_row_when_they_are_many(cast: Cast, now: datetime) -> None:
    for number in range(4):
        build.plan_item(cast.access(cast.farrier), now, text=f"Item {number}")
    (row,) = (r for r in rows_for(cast, cast.owner, now) if r.is_word)
    assert row.headline == "Plan items 1, 2, 3 and 4 wait for your answer"


def test_a_flag_names_the_worst_sign_at_its_feet(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.carer), now, "short_stride", "heat", feet=["LF", "RF"])
    (row,) = rows_for(cast, cast.owner, now)
    assert row.foot_word == "warm"
    assert row.headline.startswith("Both fronts: ")


# -- what fits


def a_row(soon: Soon, words: str) -> Row:
    button = Button("Look", "/", "Look", rings=False)
    return Row((), words, soon, "", "", button, "/", "", is_danger=False)


def test_eight_single_rows_fit() -> None:
    rows = fitted([a_row(Soon.TODAY, str(n)) for n in range(MOST_UNITS)])
    assert (len(rows.shown), rows.more) == (MOST_UNITS, 0)


def test_one_more_than_fits_is_said_with_the_worst_of_what_is_left_out() -> None:
    rows = fitted([a_row(Soon.TODAY, f"row {n}") for n in range(MOST_UNITS + 1)])
    assert (len(rows.shown), rows.more, rows.worst) == (MOST_UNITS - 1, 2, "row 7")


def test_an_emergency_takes_the_room_of_two() -> None:
    urgent = [a_row(Soon.NOW, "urgent")] * 2
    rows = fitted([*urgent, *(a_row(Soon.TODAY, f"row {n}") for n in range(5))])
    assert (len(rows.shown), rows.more, rows.worst) == (5, 2, "row 3")


@pytest.mark.parametrize(
    ("count", "density"),
    [
        (0, "few"),
        (2, "few"),
        (3, "some"),
        (4, "many"),
        (6, "many"),
        (7, "many full"),
        (9, "many full"),
    ],
)
def test_rows_stand_closer_the_more_they_are(count: int, density: str) -> None:
    assert fitted([a_row(Soon.NEXT, str(n)) for n in range(count)]).density == density


def test_a_row_that_is_now_is_as_high_as_two() -> None:
    one = a_row(Soon.NOW, "now")
    assert one.units == 2
    assert replace(one, soon=Soon.TODAY).units == 1


def test_a_plan_alert_of_another_version_asks_nobody_by_name(cast: Cast, now: datetime) -> None:
    finding = Finding("plan.unconfirmed", "item", "Plan item 1 waits", "As written.")
    found = build.alert(cast.horse, finding, now)
    Alert.objects.filter(pk=found.pk).update(evidence={"missing": None})
    assert [row.headline for row in rows_for(cast, cast.owner, now)] == ["Plan item 1 waits"]

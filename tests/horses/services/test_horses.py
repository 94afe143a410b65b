"""Horses: made, edited by one at a time, paused, weighed."""

from datetime import date, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from caseboard.lib.errors import Conflict
from horses.models import Case, HistoryLine, Horse, Membership
from horses.services.horses import horse_create, horse_edit, horse_set_state, weight_record
from horses.services.idempotency import KeyReused
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_a_new_horse_has_its_standing_case_with_its_maker_as_owner(
    cast: Cast, now: datetime
) -> None:
    horse = horse_create(person=cast.stranger, fields={"name": "Thistle"}, now=now)
    case = Case.objects.get(horse=horse)
    member = Membership.objects.get(case=case)
    assert (case.kind, member.person, member.role) == ("routine", cast.stranger, "owner")


def test_a_horse_is_not_made_with_fields_that_are_not_for_people(cast: Cast, now: datetime) -> None:
    with pytest.raises(ValueError):
        horse_create(person=cast.owner, fields={"name": "X", "state": "ended"}, now=now)


def test_the_same_key_makes_one_horse(cast: Cast, now: datetime) -> None:
    fields = {"name": "Thistle", "born_on": date(2015, 5, 1)}
    made = [
        horse_create(person=cast.stranger, fields=fields, client_key="k", now=now) for _ in range(3)
    ]
    assert len({horse.pk for horse in made}) == 1
    with pytest.raises(KeyReused):
        horse_create(person=cast.stranger, fields={"name": "Rose"}, client_key="k", now=now)


def test_the_second_of_two_editors_sees_both_texts_and_nothing_is_saved(
    cast: Cast, now: datetime
) -> None:
    one, other = cast.access(cast.owner), cast.access(cast.owner)
    horse_edit(access=one, version=1, fields={"yard": "Upper"}, now=now)
    with pytest.raises(Conflict) as caught:
        horse_edit(access=other, version=1, fields={"yard": "Lower"}, now=now)
    assert (caught.value.mine["yard"], caught.value.theirs["yard"]) == ("Lower", "Upper")
    assert Horse.objects.get(pk=cast.horse.pk).yard == "Upper"


def test_an_edit_that_changes_nothing_leaves_no_line(cast: Cast, now: datetime) -> None:
    before = HistoryLine.objects.count()
    horse_edit(access=cast.access(cast.owner), version=1, fields={"name": "Juniper"}, now=now)
    assert HistoryLine.objects.count() == before


def test_an_edit_says_what_was_there_before(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner)
    horse_edit(access=access, version=1, fields={"born_on": date(2012, 4, 3)}, now=now)
    line = HistoryLine.objects.get(verb="horse.edited")
    assert (line.before, line.after) == ({"born_on": None}, {"born_on": "2012-04-03"})


def test_an_edit_never_touches_the_state(cast: Cast, now: datetime) -> None:
    horse_edit(access=cast.access(cast.owner), version=1, fields={"state": "ended"}, now=now)
    assert Horse.objects.get(pk=cast.horse.pk).state == "active"


def test_a_state_that_does_not_exist_is_refused(cast: Cast, now: datetime) -> None:
    with pytest.raises(ValueError):
        horse_set_state(access=cast.access(cast.owner), state="sold", reason="", now=now)


def test_a_weight_keeps_what_was_typed_beside_the_kilograms(cast: Cast, now: datetime) -> None:
    weight = weight_record(
        access=cast.access(cast.farrier),
        weight_kg=Decimal("453.5924"),
        entered_value=Decimal(1000),
        entered_unit="lb",
        method="tape",
        weighed_on=now.date(),
        now=now,
    )
    weight.refresh_from_db()
    assert (weight.weight_kg, weight.entered_value) == (Decimal("453.5924"), Decimal(1000))


def test_an_edit_does_not_change_a_vets_order(cast: Cast, now: datetime) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(interval_basis=Horse.Basis.VET, interval_days=35)
    fields = {"interval_days": 56, "yard": "North"}
    with pytest.raises(PermissionDenied, match="vet's order"):
        horse_edit(access=cast.access(cast.owner), version=1, fields=fields, now=now)

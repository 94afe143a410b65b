"""Targets: a band with its reason, agreed to on the plan."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from horses.models import PlanItem, PlanItemVersion
from horses.services.plan import latest_version, plan_item_decide, plan_item_finish
from measurements.models import Target
from measurements.queries import targets_in_force
from measurements.services.targets import TargetRefused, band_check, band_words
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_a_band_is_an_item_of_the_plan_with_the_same_numbers(cast: Cast, now: datetime) -> None:
    target = build.target(cast.standing(cast.vet), now)
    version = PlanItemVersion.objects.get()
    assert target.plan_version == version
    assert version.item.kind == "target"
    assert version.therapeutic
    assert version.target == {
        "foot": "LF", "quantity": "toe_angle", "moment": "after", "low": "50", "high": "54",
    }  # fmt: skip


def test_another_band_for_the_same_is_the_next_version_and_voids_the_agreements(
    cast: Cast, now: datetime
) -> None:
    vet = cast.standing(cast.vet)
    build.target(vet, now)
    item = PlanItem.objects.get()
    plan_item_decide(
        standing=cast.standing(cast.owner), item_id=item.public_id, decision="agree", now=now,
        seen_hash=latest_version(item).content_hash,
    )  # fmt: skip
    build.target(vet, now + timedelta(hours=1), high=Decimal(55))
    newest = latest_version(item)
    assert newest.number == 2
    assert [word.person for word in newest.agreements.all()] == [cast.vet]


@pytest.mark.parametrize(
    "change", [{"foot": "RF"}, {"moment": "before"}, {"quantity": "heel_angle"}]
)
def test_a_band_for_something_else_is_an_item_of_its_own(
    change: dict[str, Any], cast: Cast, now: datetime
) -> None:
    build.target(cast.standing(cast.vet), now)
    build.target(cast.standing(cast.vet), now, **change)
    assert PlanItem.objects.count() == 2


def test_the_newest_band_is_in_force_until_its_item_ends(cast: Cast, now: datetime) -> None:
    vet = cast.standing(cast.vet)
    for hours, high in enumerate((54, 55)):
        build.target(vet, now + timedelta(hours=hours), high=Decimal(high))
    [target] = targets_in_force(cast.horse)["LF", "toe_angle"]
    assert target.high == Decimal(55)
    plan_item_finish(
        standing=vet, item_id=PlanItem.objects.get().public_id, status="done", reason="", now=now
    )
    assert targets_in_force(cast.horse) == {}


def test_a_farrier_never_puts_a_routine_aim_in_the_place_of_the_vets_band(
    cast: Cast, now: datetime
) -> None:
    build.target(cast.standing(cast.vet), now)
    with pytest.raises(PermissionDenied):
        build.target(cast.standing(cast.farrier), now, therapeutic=False)
    assert Target.objects.count() == 1


@pytest.mark.parametrize(
    "change",
    [
        {"low": Decimal(54), "high": Decimal(54)}, {"low": Decimal(55)}, {"high": Decimal(400)},
        {"low": Decimal(-1)}, {"reason": " "},
    ],
)  # fmt: skip
def test_a_band_that_cannot_be_is_refused(
    change: dict[str, Any], cast: Cast, now: datetime
) -> None:
    with pytest.raises(TargetRefused):
        band_check(build.band(**change))
    with pytest.raises(TargetRefused):
        build.target(cast.standing(cast.vet), now, **change)
    assert not PlanItem.objects.exists()


def test_a_band_in_words() -> None:
    assert band_words(build.band()).startswith("Left fore toe angle 50")
    assert "54°" in band_words(build.band())

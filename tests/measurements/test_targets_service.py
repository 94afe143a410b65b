"""Targets: a band with its reason, agreed to on the plan."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from caseboard.lib.errors import Conflict
from horses.models import PlanItem, PlanItemVersion
from horses.services.cases import case_close
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version, plan_item_decide
from horses.services.plan_end import plan_item_finish
from measurements.models import Target
from measurements.queries.numbers import targets_in_force
from measurements.services.targets import band_check, band_words, newest_target_id, target_set
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_a_band_is_an_item_of_the_plan_with_the_same_numbers(cast: Cast, now: datetime) -> None:
    target = build.target(cast.access(cast.vet), now)
    version = PlanItemVersion.objects.get()
    assert target.plan_version == version
    assert version.item.kind == "target"
    assert version.therapeutic
    assert version.target == {
        "foot": "LF",
        "quantity": "toe_angle",
        "moment": "after",
        "low": "50",
        "high": "54",
    }


def test_another_band_for_the_same_is_the_next_version_and_voids_the_agreements(
    cast: Cast, now: datetime
) -> None:
    vet = cast.access(cast.vet)
    build.target(vet, now)
    item = PlanItem.objects.get()
    plan_item_decide(
        access=cast.access(cast.owner),
        item_id=item.public_id,
        decision="agree",
        now=now,
        seen_hash=latest_version(item).content_hash,
    )
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
    build.target(cast.access(cast.vet), now)
    build.target(cast.access(cast.vet), now, **change)
    assert PlanItem.objects.count() == 2


def test_the_newest_band_is_in_force_until_its_item_ends(cast: Cast, now: datetime) -> None:
    vet = cast.access(cast.vet)
    for hours, high in enumerate((54, 55)):
        build.target(vet, now + timedelta(hours=hours), high=Decimal(high))
    [target] = targets_in_force(cast.horse, today=now.date())["LF", "toe_angle"]
    assert target.high == Decimal(55)
    plan_item_finish(
        access=vet, item_id=PlanItem.objects.get().public_id, status="done", reason="", now=now
    )
    assert targets_in_force(cast.horse, today=now.date()) == {}


def _highs(cast: Cast, today: date) -> list[int]:
    """The upper ends of the bands in force for the left fore toe angle."""
    bands = targets_in_force(cast.horse, today=today).get(("LF", "toe_angle"), [])
    return [int(band.high or 0) for band in bands]


def test_a_band_for_a_day_to_come_waits_for_its_day(cast: Cast, now: datetime) -> None:
    vet, soon = cast.access(cast.vet), now.date() + timedelta(days=7)
    build.target(vet, now)
    build.target(vet, now + timedelta(hours=1), high=Decimal(55), from_on=soon)
    assert _highs(cast, now.date()) == [54]
    assert _highs(cast, soon) == [55]


def test_the_band_before_comes_back_when_a_newer_item_ends(cast: Cast, now: datetime) -> None:
    vet = cast.access(cast.vet, cast.concern)
    build.target(cast.access(cast.vet), now)
    newer = build.target(vet, now + timedelta(hours=1), high=Decimal(55))
    assert _highs(cast, now.date()) == [55]
    assert newer.plan_version is not None
    plan_item_finish(
        access=vet, item_id=newer.plan_version.item.public_id, status="done", reason="", now=now
    )
    assert _highs(cast, now.date()) == [54]


def test_the_band_of_a_case_ends_with_the_case(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet, cast.concern), now)
    case_close(access=cast.access(cast.vet, cast.concern), outcome="met", words="Sound.", now=now)
    assert _highs(cast, now.date()) == []


@pytest.mark.parametrize("on", ["case", "concern"])
@pytest.mark.parametrize(("vets_day", "farriers_day"), [(-7, 0), (-7, 7), (7, 0)])
def test_a_farrier_never_puts_a_routine_aim_in_the_place_of_the_vets_band(
    on: str, vets_day: int, farriers_day: int, cast: Cast, now: datetime
) -> None:
    day = now.date() + timedelta(days=vets_day)
    build.target(cast.access(cast.vet), now, from_on=day)
    day = now.date() + timedelta(days=farriers_day)
    farrier = cast.access(cast.farrier, getattr(cast, on))
    with pytest.raises(PermissionDenied):
        build.target(farrier, now, therapeutic=False, from_on=day)
    assert Target.objects.count() == 1


def test_a_farrier_sets_an_aim_beside_the_vets_band_and_after_its_end(
    cast: Cast, now: datetime
) -> None:
    vet, farrier = cast.access(cast.vet, cast.concern), cast.access(cast.farrier)
    build.target(vet, now)
    assert build.target(farrier, now, therapeutic=False, moment="before")
    case_close(access=vet, outcome="met", words="Sound.", now=now)
    assert build.target(farrier, now, therapeutic=False)


@pytest.mark.parametrize(
    "change",
    [
        {"low": Decimal(54), "high": Decimal(54)},
        {"low": Decimal(55)},
        {"high": Decimal(400)},
        {"low": Decimal(-1)},
        {"reason": " "},
    ],
)
def test_a_band_that_cannot_be_is_refused(
    change: dict[str, Any], cast: Cast, now: datetime
) -> None:
    with pytest.raises(DeedRefused):
        band_check(build.band(**change))
    with pytest.raises(DeedRefused):
        build.target(cast.access(cast.vet), now, **change)
    assert not PlanItem.objects.exists()


def test_a_band_in_words() -> None:
    assert band_words(build.band()).startswith("Left fore toe angle 50")
    assert "54°" in band_words(build.band())


def test_of_two_who_set_a_band_at_once_the_second_is_shown_the_first(
    cast: Cast, now: datetime
) -> None:
    vet = cast.access(cast.vet)
    seen = newest_target_id(cast.horse)
    target_set(access=vet, band=build.band(), seen_id=seen, now=now)
    with pytest.raises(Conflict):
        target_set(access=vet, band=build.band(low=Decimal(49)), seen_id=seen, now=now)
    seen = newest_target_id(cast.horse)
    target_set(access=vet, band=build.band(low=Decimal(49)), seen_id=seen, now=now)
    assert Target.objects.filter(horse=cast.horse).count() == 2

"""A plan item changed, and ended."""

from datetime import datetime
from typing import Any

import pytest
from django.http import HttpResponse

from horses.models import PlanItem
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of, told, verbs
from tests.horses.views.plan_doors import decide, latest, page_of, revise

pytestmark = pytest.mark.usefixtures("clock_stands")


# -- changing


def change(cast: Cast, who: str, item: PlanItem, **fields: str) -> HttpResponse:
    sent = {
        "seen_version": str(latest(item).number),
        "text": "Keep on deep sand.",
        "who_does": "owner",
        **fields,
    }
    return Door(getattr(cast, who), cast.case).post("plan_change", item.public_id, **sent)


def test_a_change_makes_a_version_and_voids_the_old_words(cast: Cast, item: PlanItem) -> None:
    decide(cast, "owner", item, "agree")
    assert change(cast, "farrier", item).status_code == 302
    assert latest(item).number == 2
    assert "the owner has not answered" in page_of(cast, "vet", item)
    assert "plan.item.changed" in verbs(cast.case)
    assert "Ola Owner" in told(cast.case, "plan.item.changed")


def test_the_form_starts_from_the_item_as_it_is(cast: Cast, item: PlanItem) -> None:
    page = text_of(Door(cast.owner, cast.case).get("plan_change", item.public_id))
    assert "Keep on soft ground." in page
    assert "The agreement of the farrier to version 1 no longer counts then" in page


def test_saving_without_a_change_voids_nothing(cast: Cast, item: PlanItem) -> None:
    change(cast, "farrier", item, text="Keep on soft ground.")
    assert latest(item).number == 1


def test_two_changes_at_once_show_both_and_lose_neither(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    revise(cast, "farrier", item, now, text="Keep on sand.", who_does="carer")
    response = change(cast, "owner", item, seen_version="1", text="Keep in the box.")
    page = text_of(response)
    assert response.status_code == 409
    assert "Keep on sand." in page
    assert "Keep in the box." in page
    assert "Who does it" in page  # every field that differs is shown
    assert 'name="seen_version" value="2"' in page
    assert latest(item).text == "Keep on sand."


def test_saving_once_more_after_a_conflict_is_a_change_on_purpose(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    revise(cast, "farrier", item, now, text="Keep on sand.")
    assert change(cast, "owner", item, seen_version="2", text="Keep in.").status_code == 302
    assert latest(item).text == "Keep in."


def test_the_same_change_sent_twice_is_one_version(cast: Cast, item: PlanItem) -> None:
    for _ in range(2):
        assert change(cast, "farrier", item, seen_version="1").status_code == 302
    assert latest(item).number == 2


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"text": ""}, "Please fill this in."),
        ({"seen_version": ""}, "Reload the page"),
        ({"seen_version": "x"}, "whole number"),
        ({"seen_version": "-1"}, "greater than or equal"),
        ({"who_does": "x"}, "a role of the team"),
    ],
)
def test_a_change_that_cannot_be_read_comes_back(
    cast: Cast, item: PlanItem, fields: dict[str, str], words: str
) -> None:
    response = change(cast, "farrier", item, reason="Kept words", **fields)
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert "Kept words" in page


def test_a_therapeutic_item_is_changed_by_the_vet_only(cast: Cast, therapeutic: PlanItem) -> None:
    for who in ("owner", "farrier"):
        door = Door(getattr(cast, who), cast.case)
        assert door.get("plan_change", therapeutic.public_id).status_code == 403
        assert change(cast, who, therapeutic).status_code == 403
    assert change(cast, "vet", therapeutic, therapeutic="on").status_code == 302
    assert latest(therapeutic).number == 2


def test_the_page_says_that_the_vet_changes_a_therapeutic_item(
    cast: Cast, therapeutic: PlanItem
) -> None:
    assert "Change this item" not in page_of(cast, "owner", therapeutic)
    assert "the vet changes and ends it" in page_of(cast, "owner", therapeutic)


STEPS = {
    "foot": "LF",
    "quantity": "toe_angle",
    "rate_per_visit": 2.0,
    "visits": 3,
    "from_on": "2026-05-01",
}


@pytest.fixture
def steps(cast: Cast, now: datetime) -> PlanItem:
    return build.plan_item(
        cast.access(cast.vet), now, text="Steeper in three visits.", kind="trim", target=STEPS
    )


@pytest.mark.parametrize("target", [STEPS, {**STEPS, "visits": 2}, None])
def test_words_that_numbers_hang_on_are_not_changed_by_themselves(
    target: dict[str, Any] | None, cast: Cast, steps: PlanItem, now: datetime
) -> None:
    with pytest.raises(DeedRefused, match="again instead"):
        revise(cast, "vet", steps, now, text="Flatter.", kind="trim", target=target)
    assert latest(steps).number == 1


def test_steps_are_changed_by_proposing_them_again(cast: Cast, steps: PlanItem) -> None:
    page = text_of(Door(cast.vet, cast.case).get("plan_change", steps.public_id))
    assert "propose the steps again" in page
    assert "Save as a new version" not in page
    assert change(cast, "vet", steps, text="Flatter.").status_code == 422
    assert latest(steps).text == "Steeper in three visits."


def test_a_band_is_changed_by_a_new_band(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now)
    item = PlanItem.objects.get()
    page = text_of(Door(cast.vet, cast.case).get("plan_change", item.public_id))
    assert "Set a new band" in page
    assert "<textarea" not in page
    response = change(cast, "vet", item, therapeutic="on")
    assert response.status_code == 422
    assert latest(item).number == 1


def test_the_doors_of_changing(cast: Cast, item: PlanItem) -> None:
    assert Door(cast.carer, cast.case).get("plan_change", item.public_id).status_code == 403
    assert Door(cast.stranger, cast.case).get("plan_change", item.public_id).status_code == 404
    assert Door(cast.owner, cast.concern).get("plan_change", item.public_id).status_code == 404
    door = Door(cast.owner, cast.case)
    assert door.client.put(door.address("plan_change", item.public_id)).status_code == 405


# -- ending


def finish(cast: Cast, who: str, item: PlanItem, status: str, reason: str = "") -> HttpResponse:
    door = Door(getattr(cast, who), cast.case)
    seen = str(latest_version(item).number)
    return door.post("plan_finish", item.public_id, status=status, reason=reason, version=seen)


def test_an_item_is_done(cast: Cast, item: PlanItem) -> None:
    assert finish(cast, "owner", item, "done", "All sound.").status_code == 302
    item.refresh_from_db()
    assert (item.status, item.status_reason) == ("done", "All sound.")
    assert "plan.item.done" in verbs(cast.case)
    assert "Vera Vet" in told(cast.case, "plan.item.done")
    page = page_of(cast, "vet", item)
    assert "Done on 2 Nov 2026: All sound." in page
    assert "Agree, for the" not in page


def test_who_proposed_it_withdraws_it_with_a_reason(cast: Cast, item: PlanItem) -> None:
    response = finish(cast, "farrier", item, "withdrawn")
    assert response.status_code == 422
    assert "Say why it is withdrawn." in text_of(response)
    assert finish(cast, "farrier", item, "withdrawn", "Sold the sand.").status_code == 302


def test_nobody_else_withdraws_it(cast: Cast, item: PlanItem) -> None:
    page = text_of(Door(cast.owner, cast.case).get("plan_finish", item.public_id))
    assert 'value="withdrawn"' not in page
    assert "Only the farrier who proposed it withdraws it." in page
    assert finish(cast, "owner", item, "withdrawn", "x").status_code == 403


def test_a_therapeutic_item_is_ended_by_the_vet_only(cast: Cast, therapeutic: PlanItem) -> None:
    for who in ("owner", "farrier"):
        door = Door(getattr(cast, who), cast.case)
        assert door.get("plan_finish", therapeutic.public_id).status_code == 403
        assert finish(cast, who, therapeutic, "done").status_code == 403
    assert finish(cast, "vet", therapeutic, "done").status_code == 302


def test_an_item_that_has_ended_takes_no_more_words(cast: Cast, item: PlanItem) -> None:
    finish(cast, "owner", item, "done")
    again = finish(cast, "owner", item, "done", "Better words")
    assert again.status_code == 409
    assert "Better words" in text_of(again)
    assert "is done already" in text_of(again)
    assert decide(cast, "owner", item, "agree").status_code == 422
    assert change(cast, "owner", item).status_code == 422


@pytest.mark.parametrize("status", ["", "open", "lost"])
def test_an_end_that_is_none_comes_back(cast: Cast, item: PlanItem, status: str) -> None:
    response = finish(cast, "owner", item, status, "Kept words")
    assert response.status_code == 422
    assert "Kept words" in text_of(response)


def test_the_doors_of_ending(cast: Cast, item: PlanItem) -> None:
    assert Door(cast.carer, cast.case).get("plan_finish", item.public_id).status_code == 403
    assert Door(cast.stranger, cast.case).get("plan_finish", item.public_id).status_code == 404
    door = Door(cast.owner, cast.case)
    assert door.client.put(door.address("plan_finish", item.public_id)).status_code == 405

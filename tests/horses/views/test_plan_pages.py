"""The plan: proposing an item and reading it (the words on it: test_plan_answers.py)."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from horses.models import PlanItem, PlanItemVersion
from horses.queries.plan import plan_line_get
from horses.services.plan import plan_item_decide
from horses.services.team import member_remove
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs
from tests.horses.views.plan_doors import decide, latest, page_of

pytestmark = pytest.mark.usefixtures("clock_stands")

WORDS = {"kind": "home", "text": "Walk in hand only.", "who_does": "owner"}


# -- proposing


def test_an_item_is_proposed_with_all_that_was_said(cast: Cast) -> None:
    response = Door(cast.farrier, cast.case).post(
        "plan_new", **WORDS, from_on="2026-11-02", until_on="2026-11-16", reason="Sole is thin."
    )
    version = PlanItemVersion.objects.get()
    assert response["Location"].endswith(f"/plan/{version.item.public_id}/")
    assert (version.text, version.who_does, version.reason) == (
        "Walk in hand only.",
        "owner",
        "Sole is thin.",
    )
    assert (version.from_on, version.until_on) == (date(2026, 11, 2), date(2026, 11, 16))
    assert version.item.kind == "home"
    assert not version.therapeutic


def test_a_proposal_is_in_the_history_and_the_others_are_told(cast: Cast) -> None:
    Door(cast.farrier, cast.case).post("plan_new", **WORDS)
    assert verbs(cast.case)[-2:] == ["plan.item.proposed", "plan.item.agreed"]
    names = told(cast.case, "plan.item.proposed")
    assert "Ola Owner" in names
    assert "Finn Farrier" not in names


def test_only_the_vet_sees_the_box_for_the_vets_direction(cast: Cast) -> None:
    assert 'name="therapeutic"' in text_of(Door(cast.vet, cast.case).get("plan_new"))
    for who in (cast.owner, cast.farrier):
        assert 'name="therapeutic"' not in text_of(Door(who, cast.case).get("plan_new"))


def test_a_box_that_was_not_shown_does_nothing(cast: Cast) -> None:
    Door(cast.farrier, cast.case).post("plan_new", **WORDS, therapeutic="on")
    assert not PlanItemVersion.objects.get().therapeutic


def test_the_vet_proposes_under_the_vets_direction(cast: Cast) -> None:
    Door(cast.vet, cast.case).post("plan_new", **WORDS, therapeutic="on")
    assert PlanItemVersion.objects.get().therapeutic


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"text": ""}, "Please fill this in."),
        ({"text": "x" * 5001}, "5,001 characters"),
        ({"kind": ""}, "what kind of item"),
        ({"kind": "target"}, "one of these kinds"),
        ({"kind": "magic"}, "one of these kinds"),
        ({"who_does": ""}, "whose job"),
        ({"who_does": "dentist"}, "a role of the team"),
        ({"from_on": "0001-01-01"}, "Look at the year"),
        ({"until_on": "9999-12-31"}, "Look at the year"),
        ({"from_on": "tomorrow"}, "not a day"),
        ({"from_on": "2026-11-05", "until_on": "2026-11-04"}, "before the day it starts"),
    ],
)
def test_what_cannot_be_saved_comes_back_as_typed(
    cast: Cast, fields: dict[str, str], words: str
) -> None:
    sent = {**WORDS, "reason": "Kept words", **fields}
    response = Door(cast.vet, cast.case).post("plan_new", **sent)
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert "Kept words" in page
    assert not PlanItem.objects.exists()


def test_the_same_proposal_sent_twice_is_one(cast: Cast) -> None:
    for _ in range(2):
        Door(cast.vet, cast.case).post("plan_new", **WORDS, client_key="k")
    assert PlanItem.objects.count() == 1


def test_the_same_key_with_other_words_comes_back_with_them(cast: Cast) -> None:
    door = Door(cast.vet, cast.case)
    door.post("plan_new", **WORDS, client_key="k")
    response = door.post("plan_new", **{**WORDS, "text": "Other words"}, client_key="k")
    assert response.status_code == 409
    assert "Other words" in text_of(response)


def test_the_doors_of_proposing(cast: Cast, now: datetime) -> None:
    assert Door(cast.carer, cast.case).get("plan_new").status_code == 403
    assert Door(cast.carer, cast.case).post("plan_new", **WORDS).status_code == 403
    assert Door(cast.stranger, cast.case).get("plan_new").status_code == 404
    door = Door(cast.owner, cast.case)
    assert door.client.put(door.address("plan_new")).status_code == 405
    shut(cast.case, now)
    assert door.get("plan_new").status_code == 403


# -- reading


def test_the_page_says_who_has_agreed_and_who_is_missing_by_name(
    cast: Cast, item: PlanItem
) -> None:
    page = page_of(cast, "owner", item)
    assert "Finn Farrier, 2 Nov 2026" in page
    assert (
        "Not agreed yet: the owner has not answered (Ola Owner); "
        "the vet has not answered (Vera Vet)."
    ) in page


def test_several_of_one_role_are_all_named(cast: Cast, therapeutic: PlanItem) -> None:
    assert "(Finn Farrier or Stina Standin)" in page_of(cast, "owner", therapeutic)


def test_a_role_that_is_needed_and_vacant_is_said(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    _remove(cast, "vet", now)
    page = page_of(cast, "owner", item)
    assert "the vet is needed, and nobody on the team is one" in page
    assert "needed, nobody yet" in page


def test_a_vacancy_that_the_item_goes_without_is_said_in_words(cast: Cast, now: datetime) -> None:
    _remove(cast, "vet", now)
    item = build.plan_item(cast.access(cast.owner), now + timedelta(minutes=1))
    page = page_of(cast, "owner", item)
    assert "There is no vet on this team: nobody agrees for the vet&#x27;s side." in page


def _remove(cast: Cast, who: str, now: datetime) -> None:
    owner = cast.access(cast.owner)
    member = cast.case.memberships.get(person=getattr(cast, who), left_at=None)
    member_remove(access=owner, membership_id=member.public_id, now=now)


def test_an_item_of_another_case_is_not_found(cast: Cast, item: PlanItem) -> None:
    assert Door(cast.owner, cast.concern).get("plan_item", item.public_id).status_code == 404
    assert Door(cast.other_vet, cast.other_case).get("plan_item", item.public_id).status_code == 404
    assert Door(cast.stranger, cast.case).get("plan_item", item.public_id).status_code == 404


def test_a_carer_reads_and_has_no_buttons(cast: Cast, item: PlanItem) -> None:
    page = page_of(cast, "carer", item)
    assert "Keep on soft ground." in page
    assert "Agree, for the" not in page
    assert decide(cast, "carer", item, "agree").status_code == 403


def test_a_therapeutic_item_is_named_so(cast: Cast, therapeutic: PlanItem) -> None:
    assert "under the vet's direction" in page_of(cast, "owner", therapeutic)


def test_the_page_of_an_item_costs_the_same_however_many_there_are(
    cast: Cast, item: PlanItem, now: datetime, django_assert_max_num_queries: Any
) -> None:
    for number in range(4):
        made = build.plan_item(cast.access(cast.vet), now, text=f"Item {number}")
        plan_item_decide(
            access=cast.access(cast.owner),
            item_id=made.public_id,
            seen_hash=latest(made).content_hash,
            decision="agree",
            now=now,
        )
    door = Door(cast.owner, cast.case)
    with django_assert_max_num_queries(22):
        door.get("plan_item", item.public_id)


def test_a_line_of_the_plan_is_found_on_its_own_case_only(cast: Cast, item: PlanItem) -> None:
    from django.http import Http404

    assert plan_line_get(cast.access(cast.owner), item.public_id).item == item
    with pytest.raises(Http404):
        plan_line_get(cast.access(cast.owner, cast.concern), item.public_id)

"""The plan: proposed, read with what changed, agreed or declined, changed, ended."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.http import HttpResponse

from horses.models import Agreement, PlanItem, PlanItemVersion
from horses.queries.plan import plan_line_get
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version, plan_item_decide, plan_item_revise
from horses.services.team import member_remove
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")

WORDS = {"kind": "home", "text": "Walk in hand only.", "who_does": "owner"}


@pytest.fixture
def item(cast: Cast, now: datetime) -> PlanItem:
    return build.plan_item(cast.access(cast.farrier), now, text="Keep on soft ground.")


@pytest.fixture
def therapeutic(cast: Cast, now: datetime) -> PlanItem:
    return build.plan_item(cast.access(cast.vet), now, text="Wedge, 2 degrees.", therapeutic=True)


def latest(item: PlanItem) -> PlanItemVersion:
    version = item.versions.order_by("number").last()
    assert version is not None
    return version


def revise(cast: Cast, who: str, item: PlanItem, now: datetime, **more: Any) -> PlanItemVersion:
    return plan_item_revise(
        access=cast.access(getattr(cast, who)),
        item_id=item.public_id,
        seen_version=latest(item).number,
        content=build.content(**more),
        now=now,
    )


def page_of(cast: Cast, who: str, item: PlanItem) -> str:
    return text_of(Door(getattr(cast, who), cast.case).get("plan_item", item.public_id))


def decide(cast: Cast, who: str, item: PlanItem, decision: str, **fields: str) -> HttpResponse:
    sent = {"seen_hash": latest(item).content_hash, "decision": decision, **fields}
    return Door(getattr(cast, who), cast.case).post("plan_item", item.public_id, **sent)


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


# -- agreeing and declining


def test_agreeing_is_one_tap(cast: Cast, item: PlanItem) -> None:
    response = decide(cast, "owner", item, "agree")
    assert response.status_code == 302
    word = Agreement.objects.get(person=cast.owner)
    assert (word.decision, word.content_hash) == ("agree", latest(item).content_hash)
    assert last_line(cast.case, "plan.item.agreed").actor == cast.owner
    assert "Finn Farrier" in told(cast.case, "plan.item.agreed")


def test_agreed_by_all_is_said_so(cast: Cast, item: PlanItem) -> None:
    decide(cast, "owner", item, "agree")
    decide(cast, "vet", item, "agree")
    page = page_of(cast, "owner", item)
    assert "Agreed by everyone it needs: owner, farrier and vet." in page
    assert "plan.item.agreed_by_all" in verbs(cast.case)


def test_somebody_who_has_agreed_is_not_asked_again(cast: Cast, item: PlanItem) -> None:
    page = page_of(cast, "farrier", item)
    assert "You agreed on 2 Nov 2026" in page
    assert "Agree, for the farrier" not in page


@pytest.mark.parametrize(
    ("decision", "words"),
    [("decline", "the owner has declined"), ("ask", "the owner asks for a change")],
)
def test_a_no_with_its_reason_is_shown_to_all(
    cast: Cast, item: PlanItem, decision: str, words: str
) -> None:
    decide(cast, "owner", item, decision, reason="No soft ground here.")
    page = page_of(cast, "farrier", item)
    assert words in page
    assert "No soft ground here." in page


def test_a_no_without_a_reason_comes_back(cast: Cast, item: PlanItem) -> None:
    response = decide(cast, "owner", item, "decline")
    assert response.status_code == 422
    assert "Say why" in text_of(response)
    assert not Agreement.objects.filter(person=cast.owner).exists()


@pytest.mark.parametrize("decision", ["", "maybe", "agree\x00"])
def test_a_word_that_is_none_comes_back_with_the_reason(
    cast: Cast, item: PlanItem, decision: str
) -> None:
    response = decide(cast, "owner", item, decision, reason="Kept words")
    assert response.status_code == 422
    assert "Kept words" in text_of(response)


def test_a_word_on_an_older_version_is_not_taken_and_both_are_shown(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    seen = latest(item).content_hash
    revise(cast, "farrier", item, now, text="Keep on deep sand.")
    response = decide(cast, "owner", item, "agree", seen_hash=seen)
    page = text_of(response)
    assert response.status_code == 409
    assert "Keep on soft ground." in page
    assert "Keep on deep sand." in page
    assert f'name="seen_hash" value="{latest(item).content_hash}"' in page
    assert not Agreement.objects.filter(person=cast.owner).exists()


def test_a_reason_typed_for_an_older_version_is_kept(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    seen = latest(item).content_hash
    revise(cast, "farrier", item, now, text="Keep on deep sand.")
    response = decide(cast, "owner", item, "decline", seen_hash=seen, reason="Kept words")
    assert response.status_code == 409
    assert "Kept words" in text_of(response)


def test_a_made_up_fingerprint_is_not_taken(cast: Cast, item: PlanItem) -> None:
    assert decide(cast, "owner", item, "agree", seen_hash="f" * 64).status_code == 409
    assert decide(cast, "owner", item, "agree", seen_hash="").status_code == 422


def test_what_changed_since_my_agreement_is_shown_word_by_word(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    decide(cast, "owner", item, "agree")
    revise(cast, "farrier", item, now, text="Keep on deep ground.", who_does="carer")
    page = page_of(cast, "owner", item)
    assert "You agreed to version 1. This is version 2." in page
    assert "</span>soft <span" in page.split("<del>")[1].split("</del>")[0]
    assert "deep" in page.split("<ins>")[1].split("</ins>")[0]
    assert "Who does it" in page


def test_without_an_earlier_agreement_the_last_change_is_shown(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    revise(cast, "farrier", item, now, text="Keep on deep ground.")
    page = page_of(cast, "owner", item)
    assert "You have not agreed to an earlier version." in page


def test_older_versions_are_listed_with_what_was_said(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    decide(cast, "owner", item, "decline", reason="Too vague.")
    revise(cast, "farrier", item, now, text="Keep on deep sand.")
    page = page_of(cast, "vet", item)
    assert "Older versions" in page
    assert "Ola Owner (owner) declined" in page
    assert "Too vague." in page


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

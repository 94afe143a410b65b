"""A plan item agreed to, declined, and read with what changed."""

from datetime import datetime

import pytest

from horses.models import Agreement, PlanItem
from tests.cast import Cast
from tests.horses.doors import last_line, text_of, told, verbs
from tests.horses.views.plan_doors import decide, latest, page_of, revise

pytestmark = pytest.mark.usefixtures("clock_stands")


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

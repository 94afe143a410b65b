"""Two people of one role who disagree on an item are both named, on the page and on the sheet."""

from datetime import datetime, timedelta

import pytest

from horses.models import Membership, Person
from horses.queries.board import team_for
from horses.queries.plan import marks_of, standing_words
from horses.queries.plan_lines import plan_for
from horses.services.plan import latest_version, plan_item_decide
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
MINUTE = timedelta(minutes=1)


@pytest.fixture
def other(cast: Cast, now: datetime) -> Person:
    """A second vet on the same board."""
    Membership.objects.create(
        case=cast.case, person=cast.other_vet, role="vet", joined_at=now - timedelta(days=30)
    )
    return cast.other_vet


def decide(cast: Cast, item_id: str, hashed: str, who: Person, decision: str, at: datetime) -> None:
    plan_item_decide(
        access=cast.access(who),
        item_id=item_id,
        seen_hash=hashed,
        decision=decision,
        reason="" if decision == "agree" else "Not on this foot.",
        now=at,
    )


def told(cast: Cast, now: datetime, first: tuple[Person, str], then: tuple[Person, str]) -> str:
    """An item that two people decided on; its id."""
    item = build.plan_item(cast.access(cast.farrier), now, text="Heel down 3 mm.")
    hashed = latest_version(item).content_hash
    for minutes, (who, decision) in enumerate((first, then), 1):
        decide(cast, item.public_id, hashed, who, decision, now + minutes * MINUTE)
    return item.public_id


@pytest.mark.parametrize("agrees_first", [True, False])
@pytest.mark.parametrize(("no", "words"), [("decline", "declined"), ("ask", "asks for a change")])
def test_both_vets_are_shown(
    cast: Cast, now: datetime, other: Person, agrees_first: bool, no: str, words: str
) -> None:
    said = [(cast.vet, "agree"), (other, no)]
    item_id = told(cast, now, *(said if agrees_first else said[::-1]))
    for page in (
        Door(cast.owner, cast.case).get("plan_item", item_id),
        Door(cast.owner, cast.case).get("board"),
        Door(cast.owner, cast.case).get("sheet"),
    ):
        shown = text_of(page)
        assert str(other) in shown
        assert f"agreed: {cast.vet}" in shown
        assert words in shown


def test_who_is_missing_says_that_they_are_not_of_one_mind(
    cast: Cast, now: datetime, other: Person
) -> None:
    told(cast, now, (cast.vet, "agree"), (other, "decline"))
    line = plan_for(cast.access(cast.owner))[0]
    said = standing_words(line, team_for(cast.access(cast.owner)))
    assert "the vets are not of one mind" in said
    assert f"declined: {other}" in said
    assert f"agreed: {cast.vet}" in said


def test_two_who_agree_are_one_mark(cast: Cast, now: datetime, other: Person) -> None:
    told(cast, now, (cast.vet, "agree"), (other, "agree"))
    line = plan_for(cast.access(cast.owner))[0]
    assert not any(mark.others for mark in marks_of(cast.access(cast.owner), line))

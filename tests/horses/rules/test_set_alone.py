"""What the vet sets alone because it cannot wait: in force, never agreed before the others say so."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from horses.domain.agreement import Agreed, in_force
from horses.models import Notice, PlanItem, Role
from horses.queries.plan_lines import PlanLine, plan_for
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version, plan_item_decide, plan_item_propose
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, text_of, told

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
ALONE: dict[str, Any] = {
    "text": "Box rest from now.",
    "therapeutic": True,
    "emergency": True,
    "reason": "The sole bleeds.",
}


@pytest.fixture
def item(cast: Cast, now: datetime) -> PlanItem:
    return build.plan_item(cast.access(cast.vet), now, **ALONE)


def say(cast: Cast, who: str, item: PlanItem, decision: str, now: datetime) -> None:
    plan_item_decide(
        access=cast.access(getattr(cast, who)),
        item_id=item.public_id,
        seen_hash=latest_version(item).content_hash,
        decision=decision,
        reason="Because.",
        now=now,
    )


def line(cast: Cast) -> PlanLine:
    [found] = plan_for(cast.access(cast.owner))
    return found


def test_it_is_in_force_and_not_agreed(cast: Cast, item: PlanItem) -> None:
    assert (line(cast).in_force, line(cast).set_alone) == (True, True)
    assert not line(cast).state.is_agreed


def test_it_is_agreed_when_the_others_have_agreed(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    say(cast, "owner", item, "agree", now)
    assert not line(cast).state.is_agreed
    say(cast, "farrier", item, "agree", now)
    assert (line(cast).state.is_agreed, line(cast).set_alone) == (True, False)


def test_one_no_ends_it_and_a_wish_does_not(cast: Cast, item: PlanItem, now: datetime) -> None:
    say(cast, "farrier", item, "ask", now)
    assert line(cast).in_force
    say(cast, "owner", item, "decline", now)
    assert not line(cast).in_force


def test_an_ordinary_item_is_in_force_only_when_agreed() -> None:
    waiting = Agreed({"owner": "agreed", "vet": "waiting"}, ("vet",))
    assert not in_force(waiting, emergency=False)
    assert in_force(waiting, emergency=True)
    assert in_force(Agreed({"vet": "agreed"}, ()), emergency=False)


@pytest.mark.parametrize("who", ["owner", "farrier"])
def test_nobody_but_the_vet_sets_alone(who: str, cast: Cast, now: datetime) -> None:
    with pytest.raises(PermissionDenied):
        plan_item_propose(
            access=cast.access(getattr(cast, who)), content=build.content(**ALONE), now=now
        )


@pytest.mark.parametrize("more", [{"reason": " "}, {"therapeutic": False}])
def test_it_needs_the_reason_and_the_vets_direction(
    more: dict[str, Any], cast: Cast, now: datetime
) -> None:
    with pytest.raises(DeedRefused, match="cannot wait|under the vet's direction"):
        plan_item_propose(
            access=cast.access(cast.vet), content=build.content(**{**ALONE, **more}), now=now
        )


def test_the_others_are_told_as_urgent_what_and_why(cast: Cast, item: PlanItem) -> None:
    notices = Notice.objects.filter(verb="plan.item.proposed", channel=Notice.Channel.APP)
    assert {notice.person.name for notice in notices} == {
        "Ola Owner",
        "Finn Farrier",
        "Stina Standin",
        "Cara Carer",
    }
    assert all(n.urgent and "sole bleeds" in n.body and "Box rest" in n.body for n in notices)


def test_the_vet_ticks_one_box_and_the_page_says_what_it_is(cast: Cast) -> None:
    door = Door(cast.vet, cast.case)
    sent = {"kind": "home", "text": "Box rest.", "who_does": "owner", "emergency": "on"}
    refused = door.post("plan_new", **sent)
    assert (refused.status_code, "Say why it cannot wait" in text_of(refused)) == (422, True)
    door.post("plan_new", **sent, reason="The sole bleeds.")
    item = PlanItem.objects.get()
    assert latest_version(item).therapeutic
    page = text_of(Door(cast.owner, cast.case).get("plan_item", item.public_id))
    assert "set by the vet, to be agreed" in page
    assert "in force now" in page
    board = text_of(Door(cast.owner, cast.case).get("board"))
    assert "Set by the vet, waiting for you" in board
    sheet = text_of(Door(cast.farrier, cast.case).get("sheet"))
    assert "Set by the vet, to be agreed" in sheet


def test_the_owner_is_not_offered_the_box(cast: Cast) -> None:
    assert "In force at once" not in text_of(Door(cast.owner, cast.case).get("plan_new"))
    Door(cast.owner, cast.case).post(
        "plan_new", kind="home", text="Rest.", who_does="owner", emergency="on", reason="Now."
    )
    assert not latest_version(PlanItem.objects.get()).emergency


# -- a reply to a wish or a no


def test_a_reply_asks_the_one_who_asked_once_more(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    say(cast, "farrier", item, "ask", now)
    farrier = Door(cast.farrier, cast.case)
    assert "A reply to you" not in text_of(farrier.get("board"))
    sent = Door(cast.vet, cast.case).post("plan_reply", item.public_id, words="Only for two days.")
    assert sent.status_code == 302
    assert "Finn Farrier" in told(cast.case, "plan.item.replied")
    assert "A reply to you" in text_of(farrier.get("board"))
    page = text_of(farrier.get("plan_item", item.public_id))
    assert "Only for two days." in page
    assert "Somebody has replied to you" in page
    assert (last_line(cast.case, "plan.item.replied").after or {})["words"] == "Only for two days."
    assert line(cast).state.marks["farrier"] == "asked"
    say(cast, "farrier", item, "agree", now + timedelta(hours=1))
    assert "A reply to you" not in text_of(farrier.get("board"))


def test_there_is_nothing_to_reply_to_while_nobody_objects(cast: Cast, item: PlanItem) -> None:
    sent = Door(cast.owner, cast.case).post("plan_reply", item.public_id, words="Why?")
    assert sent.status_code == 422
    assert "Nobody declines this version now" in text_of(sent)
    assert "Why?" in text_of(sent)


def test_a_wish_that_its_writer_took_back_is_not_replied_to(
    cast: Cast, item: PlanItem, now: datetime
) -> None:
    owner = Door(cast.owner, cast.case)
    say(cast, "farrier", item, "ask", now)
    assert "Send the reply" in text_of(owner.get("plan_item", item.public_id))
    say(cast, "farrier", item, "agree", now + timedelta(hours=1))
    assert "Send the reply" not in text_of(owner.get("plan_item", item.public_id))
    assert owner.post("plan_reply", item.public_id, words="Why?").status_code == 422


def test_a_carer_replies_to_nothing(cast: Cast, item: PlanItem, now: datetime) -> None:
    say(cast, Role.OWNER.value, item, "decline", now)
    sent = Door(cast.carer, cast.case).post("plan_reply", item.public_id, words="Why?")
    assert sent.status_code == 403

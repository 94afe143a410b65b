"""The plan: proposed, changed, agreed role by role, finished."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.domain.agreement import Agreed
from horses.models import (
    Agreement,
    HistoryLine,
    Membership,
    Person,
    PlanItem,
    PlanItemVersion,
    Role,
)
from horses.queries.plan_lines import plan_for
from horses.queries.plan_state import active_roles, version_state
from horses.services.deed import DeedRefused
from horses.services.plan import (
    latest_version,
    plan_item_decide,
    plan_item_propose,
    plan_item_revise,
)
from horses.services.plan_end import plan_item_finish
from horses.services.team import member_remove
from tests import build
from tests.cast import Cast, join

pytestmark = pytest.mark.django_db
LATER = timedelta(hours=1)


def _state(item: PlanItem) -> Agreed:
    version = latest_version(PlanItem.objects.get(pk=item.pk))
    return version_state(version, active_roles(version.item.case))


def _say(
    cast: Cast, who: Person, item: PlanItem, now: datetime, decision: str = "agree", **more: Any
) -> Agreement:
    reason = "" if decision == "agree" else "Not like this."
    fields = {"seen_hash": latest_version(item).content_hash, "reason": reason, **more}
    return plan_item_decide(
        access=cast.access(who), item_id=item.public_id, decision=decision, now=now, **fields
    )


def _revise(
    cast: Cast, who: Person, item: PlanItem, now: datetime, text: str = "Other.", **more: Any
) -> PlanItemVersion:
    seen = more.pop("seen_version", latest_version(item).number)
    return plan_item_revise(
        access=cast.access(who),
        item_id=item.public_id,
        seen_version=seen,
        content=build.content(text, **more),
        now=now,
    )


def _leaves(cast: Cast, who: Person, now: datetime) -> None:
    member = Membership.objects.get(case=cast.case, person=who, left_at=None)
    member_remove(access=cast.access(who), membership_id=member.public_id, now=now)


@pytest.fixture
def item(cast: Cast, now: datetime) -> PlanItem:
    return build.plan_item(cast.access(cast.owner), now)


def test_it_is_agreed_when_all_three_have_said_so_and_not_before(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    assert _state(item).missing == ("farrier", "vet")
    _say(cast, cast.farrier, item, now)
    assert _state(item).missing == ("vet",)
    _say(cast, cast.vet, item, now)
    assert _state(item).is_agreed


def test_that_everyone_agreed_is_written_once_at_the_moment_it_becomes_so(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    for who in (cast.farrier, cast.vet, cast.stand_in):
        _say(cast, who, item, now)
    line = HistoryLine.objects.get(verb="plan.item.agreed_by_all")
    assert (line.after or {})["hash"] == latest_version(item).content_hash


def test_an_edit_voids_every_word_but_the_editors(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    _say(cast, cast.farrier, item, now)
    _say(cast, cast.vet, item, now)
    _revise(cast, cast.farrier, item, now)
    assert _state(item).missing == ("owner", "vet")


def test_an_edit_that_changes_nothing_voids_nothing(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    _say(cast, cast.vet, item, now)
    version = _revise(cast, cast.farrier, item, now, "Keep on soft ground.")
    assert version.number == 1
    assert _state(item).missing == ("farrier",)


def test_going_back_to_the_first_words_does_not_bring_the_first_agreements_back(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    _say(cast, cast.farrier, item, now)
    _say(cast, cast.vet, item, now)
    _revise(cast, cast.owner, item, now)
    _revise(cast, cast.owner, item, now, "Keep on soft ground.")
    assert _state(item).missing == ("farrier", "vet")


@pytest.mark.parametrize("decision", ["decline", "ask"])
def test_a_no_blocks_and_is_not_outvoted_within_its_role(
    decision: str, item: PlanItem, cast: Cast, now: datetime
) -> None:
    _say(cast, cast.vet, item, now)
    _say(cast, cast.stand_in, item, now, decision)
    _say(cast, cast.farrier, item, now)
    assert _state(item).missing == ("farrier",)


@pytest.mark.parametrize("decision", ["decline", "ask"])
def test_a_no_comes_with_its_reason(
    decision: str, item: PlanItem, cast: Cast, now: datetime
) -> None:
    with pytest.raises(DeedRefused, match="Say why: the others"):
        _say(cast, cast.vet, item, now, decision, reason=" ")


def test_the_departure_of_a_role_does_not_make_it_agreed(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    _say(cast, cast.farrier, item, now)
    _leaves(cast, cast.vet, now + LATER)
    assert _state(item).missing == ("vet",)


def test_the_departure_of_who_said_no_does_not_make_it_agreed(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    _say(cast, cast.farrier, item, now)
    _say(cast, cast.vet, item, now, "decline")
    _leaves(cast, cast.vet, now + LATER)
    assert _state(item).marks["vet"] == "declined"


def test_who_joined_later_said_no_and_left_is_not_forgotten(cast: Cast, now: datetime) -> None:
    for who in (cast.farrier, cast.stand_in, cast.vet):
        _leaves(cast, who, now)
    item = build.plan_item(cast.access(cast.owner), now + LATER)
    assert _state(item).is_agreed
    join(cast.case, cast.stranger, Role.VET, now + LATER)
    _say(cast, cast.stranger, item, now + LATER, "decline")
    _leaves(cast, cast.stranger, now + 2 * LATER)
    assert _state(item).marks == {"owner": "agreed", "vet": "declined"}
    assert not plan_for(cast.access(cast.owner))[0].state.is_agreed


def test_who_joins_later_is_asked_too(item: PlanItem, cast: Cast, now: datetime) -> None:
    for who in (cast.farrier, cast.stand_in):
        _leaves(cast, who, now)
    item = build.plan_item(cast.access(cast.owner), now + LATER)
    _say(cast, cast.vet, item, now + LATER)
    assert _state(item).is_agreed
    join(cast.case, cast.stranger, Role.FARRIER, now + LATER)
    assert _state(item).missing == ("farrier",)


def test_a_therapeutic_item_waits_for_a_vet_when_there_is_none(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.vet), now, therapeutic=True)
    _leaves(cast, cast.vet, now)
    version = latest_version(item)
    assert "vet" in version.required_roles
    assert version_state(version, []).marks["vet"] == "agreed"  # the vet who proposed it did agree


def test_an_edit_after_the_vet_left_still_waits_for_a_vet_if_therapeutic(
    cast: Cast, now: datetime
) -> None:
    item = build.plan_item(cast.access(cast.vet), now, therapeutic=True)
    _leaves(cast, cast.vet, now)
    for who in (cast.owner, cast.farrier):
        with pytest.raises(PermissionDenied):
            _revise(cast, who, item, now, therapeutic=False)


def test_somebody_agrees_only_to_the_words_they_were_shown(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    shown = latest_version(item).content_hash
    _revise(cast, cast.owner, item, now, "Something else.")
    with pytest.raises(Conflict) as caught:
        _say(cast, cast.vet, item, now, seen_hash=shown)
    assert caught.value.theirs["text"] == "Something else."
    assert not Agreement.objects.filter(person=cast.vet).exists()


def test_two_editors_of_one_version_do_not_overwrite_each_other(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    _revise(cast, cast.owner, item, now, "Mine.")
    with pytest.raises(Conflict) as caught:
        _revise(cast, cast.farrier, item, now, "Theirs.", seen_version=1)
    assert (caught.value.mine["text"], caught.value.theirs["text"]) == ("Theirs.", "Mine.")


def test_the_same_word_twice_is_one_word(item: PlanItem, cast: Cast, now: datetime) -> None:
    assert _say(cast, cast.vet, item, now) == _say(cast, cast.vet, item, now)


@pytest.mark.parametrize("who", ["owner", "farrier"])
def test_only_a_vet_makes_an_item_therapeutic_or_touches_one(
    who: str, item: PlanItem, cast: Cast, now: datetime
) -> None:
    person = getattr(cast, who)
    with pytest.raises(PermissionDenied):
        _revise(cast, person, item, now, therapeutic=True)
    vets = build.plan_item(cast.access(cast.vet), now, therapeutic=True)
    with pytest.raises(PermissionDenied):
        _revise(cast, person, vets, now)
    with pytest.raises(PermissionDenied):
        plan_item_finish(
            access=cast.access(person),
            item_id=vets.public_id,
            status="done",
            reason="",
            now=now,
        )


def test_an_item_is_withdrawn_by_the_role_that_proposed_it_with_a_reason(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    def withdraw(who: Person, reason: str) -> PlanItem:
        return plan_item_finish(
            access=cast.access(who),
            item_id=item.public_id,
            status="withdrawn",
            reason=reason,
            now=now,
        )

    with pytest.raises(PermissionDenied):
        withdraw(cast.vet, "No.")
    with pytest.raises(DeedRefused, match="Say why it is withdrawn"):
        withdraw(cast.owner, " ")
    assert withdraw(cast.owner, "Came to nothing.").status == "withdrawn"


@pytest.mark.parametrize("job", ["owner", "farrier", "vet"])
@pytest.mark.parametrize("who", ["owner", "farrier", "vet"])
def test_a_job_is_marked_as_done_by_the_role_whose_it_is(
    who: str, job: str, cast: Cast, now: datetime
) -> None:
    """Whoever proposed it: that it was done is the word of who does it."""
    item = build.plan_item(cast.access(cast.everyone[who]), now, who_does=job)

    def done() -> PlanItem:
        access = cast.access(cast.everyone[who])
        return plan_item_finish(
            access=access, item_id=item.public_id, status="done", reason="", now=now
        )

    if who == job:
        assert done().status == "done"
    else:
        with pytest.raises(PermissionDenied, match=f"Only the {Role(job).label}"):
            done()


def test_what_is_finished_is_neither_agreed_to_nor_changed(
    item: PlanItem, cast: Cast, now: datetime
) -> None:
    plan_item_finish(
        access=cast.access(cast.owner),
        item_id=item.public_id,
        status="done",
        reason="",
        now=now,
    )
    for deed in (_say, _revise):
        with pytest.raises(DeedRefused, match="is done already"):
            deed(cast, cast.vet, item, now)


def test_an_item_of_another_case_is_not_found(item: PlanItem, cast: Cast, now: datetime) -> None:
    elsewhere = cast.access(cast.owner, cast.concern)
    with pytest.raises(Http404):
        plan_item_decide(
            access=elsewhere,
            item_id=item.public_id,
            decision="agree",
            now=now,
            seen_hash=latest_version(item).content_hash,
        )


def test_items_are_numbered_in_the_order_they_were_proposed(cast: Cast, now: datetime) -> None:
    numbers = [
        plan_item_propose(access=cast.access(who), content=build.content(), now=now).number
        for who in (cast.owner, cast.vet, cast.farrier)
    ]
    assert numbers == [1, 2, 3]


@pytest.mark.parametrize(
    "change",
    [
        {"text": "x"},
        {"kind": "work"},
        {"therapeutic": True},
        {"who_does": "farrier"},
        {"reason": "x"},
        {"target": {"low": "1"}},
    ],
)
def test_the_fingerprint_covers_every_word_of_the_content(
    change: dict[str, Any], cast: Cast, now: datetime
) -> None:
    access = cast.access(cast.vet)
    text = change.pop("text", "Keep on soft ground.")
    item = build.plan_item(access, now)
    first = latest_version(item).content_hash
    changed = plan_item_revise(
        access=access,
        item_id=item.public_id,
        seen_version=1,
        content=build.content(text, **change),
        now=now,
    )
    assert changed.number == 2
    assert changed.content_hash != first

"""Random teams and random deeds: an item never counts as agreed without the roles it needs.

In the suite a few hundred steps. The long form, 20,000 steps:

    CASEBOARD_MACHINE_STEPS=20000 uv run pytest tests/horses/services/test_agreement_machine.py
"""

import os
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from caseboard.lib.errors import Conflict
from horses.access import access_get
from horses.ledger.verify import broken_lines
from horses.models import Agreement, HistoryLine, Membership, Person, PlanItem, Role
from horses.queries.plan_lines import plan_for
from horses.services.deed import DeedRefused
from horses.services.plan import (
    latest_version,
    plan_item_decide,
    plan_item_propose,
    plan_item_revise,
)
from horses.services.plan_end import plan_item_finish
from horses.services.plan_words import plan_item_reply
from horses.services.team import member_remove
from tests import build
from tests.cast import join, make_cast
from tests.copied import copied

STEPS = int(os.environ.get("CASEBOARD_MACHINE_STEPS", "200"))
STEPS_A_RUN = 40
START = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
REFUSED = (PermissionDenied, Http404, Conflict, DeedRefused)

people = st.integers(0, 6)
agreeing = st.sampled_from((Role.OWNER, Role.FARRIER, Role.VET))
any_role = st.sampled_from(tuple(Role))


class Said:
    """What the model knows of one version, apart from the program."""

    def __init__(self, therapeutic: bool, roles: set[str], emergency: bool = False) -> None:
        self.therapeutic = therapeutic
        self.emergency = emergency
        self.needed = set(roles)  # grows with whoever joins, never shrinks
        self.words: dict[tuple[int, str], str] = {}

    def agreed(self) -> bool:
        needed = self.needed | ({"vet"} if self.therapeutic else set())
        return bool(needed) and all(self._role_agreed(role) for role in needed)

    def in_force(self) -> bool:
        """Agreed, or set by the vet alone while no role that is needed says no."""
        needed = self.needed | {"vet"}
        refused = any(word == "decline" and of in needed for (_, of), word in self.words.items())
        return self.agreed() or (self.emergency and not refused)

    def _role_agreed(self, role: str) -> bool:
        decisions = {word for (_, of), word in self.words.items() if of == role}
        return decisions == {"agree"}


class Plan(RuleBasedStateMachine):
    """One case; seven people who join, leave, propose, change, agree and decline."""

    def __init__(self) -> None:
        super().__init__()
        self.before = transaction.savepoint()  # each run starts from an empty database
        self.now = START
        cast = copied(("cast", START), lambda: make_cast(START))
        self.case = cast.case
        self.people = [
            cast.owner,
            cast.vet,
            cast.farrier,
            cast.stand_in,
            cast.carer,
            cast.stranger,
            cast.invited,
        ]
        self.watcher = cast.owner
        self.said: dict[int, list[Said]] = {}
        self.hashes: dict[int, list[str]] = {}

    def _roles(self) -> set[str]:
        members = Membership.objects.filter(case=self.case, left_at=None).exclude(role="carer")
        return set(members.values_list("role", flat=True))

    def _later(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now

    def _try(self, number: int, deed: Any, **fields: Any) -> Any:
        """What the deed gave, or None when it was refused."""
        person = self.people[number]
        try:
            access = access_get(person, self.case.public_id, fresh=True)
            made = deed(access=access, now=self._later(), **fields)
        except REFUSED:
            return None
        return person, str(access.role), made

    def _new_version(
        self, item: PlanItem, did: Any, therapeutic: bool, emergency: bool = False
    ) -> None:
        person, role, _ = did
        assert role == "vet" or not emergency
        version = Said(therapeutic, self._roles(), emergency)
        version.words[person.pk, role] = "agree"
        self.said.setdefault(item.pk, []).append(version)
        self.hashes.setdefault(item.pk, []).append(latest_version(item).content_hash)

    def _item(self, pick: int) -> PlanItem:
        return list(PlanItem.objects.filter(case=self.case))[pick % len(self.said)]

    @rule(number=people, role=any_role)
    def joins(self, number: int, role: Role) -> None:
        person = self.people[number]
        if Membership.objects.filter(case=self.case, person=person, left_at=None).exists():
            return
        join(self.case, person, role, self._later())
        if role != Role.CARER:
            for versions in self.said.values():
                versions[-1].needed.add(str(role))

    @rule(number=people, other=people)
    def goes(self, number: int, other: int) -> None:
        member = Membership.objects.filter(
            case=self.case, person=self.people[other], left_at=None
        ).first()
        if member is not None:
            self._try(number, member_remove, membership_id=member.public_id)

    @precondition(lambda self: len(self.said) < 3)
    @rule(number=people, therapeutic=st.booleans())
    def proposes(self, number: int, therapeutic: bool) -> None:
        content = build.content("First words.", therapeutic=therapeutic)
        did = self._try(number, plan_item_propose, content=content)
        if did is not None:
            self._new_version(did[2], did, therapeutic)

    @precondition(lambda self: len(self.said) < 3)
    @rule(number=people, reason=st.sampled_from(("It cannot wait.", "")))
    def sets_alone(self, number: int, reason: str) -> None:
        content = build.content("Box rest.", therapeutic=True, emergency=True, reason=reason)
        did = self._try(number, plan_item_propose, content=content)
        if did is not None:
            assert reason
            self._new_version(did[2], did, True, emergency=True)

    @precondition(lambda self: self.said)
    @rule(pick=st.integers(0, 2), number=people, text=st.sampled_from(("Rest.", "Still rest.")))
    def changes_alone(self, pick: int, number: int, text: str) -> None:
        item = self._item(pick)
        content = build.content(text, therapeutic=True, emergency=True, reason="It cannot wait.")
        seen = len(self.said[item.pk])
        did = self._try(
            number, plan_item_revise, item_id=item.public_id, seen_version=seen, content=content
        )
        if did is not None and did[2].number > seen:
            self._new_version(item, did, True, emergency=True)

    @precondition(lambda self: self.said)
    @rule(pick=st.integers(0, 2), number=people)
    def replies(self, pick: int, number: int) -> None:
        item = self._item(pick)
        did = self._try(number, plan_item_reply, item_id=item.public_id, words="Why not?")
        if did is not None:
            assert set(self.said[item.pk][-1].words.values()) != {"agree"}

    @precondition(lambda self: self.said)
    @rule(
        pick=st.integers(0, 2),
        number=people,
        text=st.sampled_from(("One.", "Two.")),
        therapeutic=st.booleans(),
        behind=st.integers(0, 1),
    )
    def changes(self, pick: int, number: int, text: str, therapeutic: bool, behind: int) -> None:
        item = self._item(pick)
        seen = len(self.said[item.pk]) - behind
        content = build.content(text, therapeutic=therapeutic)
        did = self._try(
            number, plan_item_revise, item_id=item.public_id, seen_version=seen, content=content
        )
        if did is not None and did[2].number > len(self.said[item.pk]):
            self._new_version(item, did, therapeutic)

    @precondition(lambda self: self.said)
    @rule(
        pick=st.integers(0, 2),
        number=people,
        behind=st.integers(0, 1),
        decision=st.sampled_from(("agree", "agree", "agree", "decline", "ask")),
    )
    def says(self, pick: int, number: int, behind: int, decision: str) -> None:
        item = self._item(pick)
        shown = self.hashes[item.pk][-1 - min(behind, len(self.hashes[item.pk]) - 1)]
        did = self._try(
            number,
            plan_item_decide,
            item_id=item.public_id,
            seen_hash=shown,
            decision=decision,
            reason="Because.",
        )
        if did is not None:
            assert shown == self.hashes[item.pk][-1]
            self.said[item.pk][-1].words[did[0].pk, did[1]] = decision

    @precondition(lambda self: self.said)
    @rule(pick=st.integers(0, 2), number=people, rare=st.integers(0, 9))
    def finishes(self, pick: int, number: int, rare: int) -> None:
        if rare == 0:
            item = self._item(pick)
            self._try(number, plan_item_finish, item_id=item.public_id, status="done", reason="")

    @invariant()
    def agreed_is_what_it_says(self) -> None:
        watcher = Membership.objects.filter(case=self.case, left_at=None).first()
        assert watcher is not None  # the last owner never goes
        access = access_get(Person.objects.get(pk=watcher.person_id), self.case.public_id)
        for line in plan_for(access):
            said = self.said[line.item.pk][-1]
            assert line.state.is_agreed == said.agreed()
            assert line.in_force == (line.is_open and said.in_force())
            assert line.set_alone == (line.is_open and said.emergency and not said.agreed())

    def teardown(self) -> None:
        try:
            self._check_what_was_written()
        finally:
            transaction.savepoint_rollback(self.before)

    def _check_what_was_written(self) -> None:
        assert list(broken_lines(self.case)) == []
        versions = {h for hashes in self.hashes.values() for h in hashes}
        assert set(Agreement.objects.values_list("content_hash", flat=True)) <= versions
        told = HistoryLine.objects.filter(verb="plan.item.agreed_by_all")
        assert all((line.after or {})["hash"] in versions for line in told)


@pytest.mark.django_db
def test_no_run_of_deeds_makes_an_item_agreed_without_the_roles_it_needs() -> None:
    run_state_machine_as_test(
        Plan,
        settings=settings(
            max_examples=max(1, STEPS // STEPS_A_RUN),
            stateful_step_count=STEPS_A_RUN,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )

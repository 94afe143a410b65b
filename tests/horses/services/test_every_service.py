"""What holds for every deed of the services, measurements included: rights, closed cases, all or
nothing, the history line, the notices, and the key that makes one of two.

Each test sets the stage once and rolls back after each deed; `wrong` names the deeds that fail.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import PermissionDenied
from django.db import connection, transaction

from caseboard.lib.errors import Conflict
from horses.access import NotFresh, access_get, access_on
from horses.models import HistoryLine, Membership, Notice
from horses.services.cases import case_close
from horses.services.handover import hand_over
from horses.services.idempotency import KeyReused
from horses.services.plan import latest_version, plan_item_decide
from horses.services.team import member_remove
from measurements.queries.numbers import numbers_of
from measurements.queries.numbers_kept import numbers_kept
from tests.deed import Deed
from tests.deeds import BY_NAME, DEEDS
from tests.rights import ASKS_AGAIN, RIGHTS, allowed
from tests.stage import Stage

pytestmark = pytest.mark.django_db
KEYED = [deed for deed in DEEDS if deed.keyed]
ROLES = ("owner", "farrier", "vet", "carer")


@contextmanager
def rolled_back() -> Iterator[None]:
    sid = transaction.savepoint()
    try:
        yield
    finally:
        transaction.savepoint_rollback(sid)


def _doer(deed: Deed) -> str:
    """A role that may."""
    return next(role for role in ROLES if allowed(deed.action, role))


def _refused(deed: Callable[..., Any], *args: Any, **more: Any) -> bool:
    try:
        with rolled_back():
            deed(*args, **more)
    except (PermissionDenied, KeyReused, Conflict):
        return True
    return False


def _rows() -> Counter[Any]:
    """Everything stored by the two apps, value by value."""
    found: Counter[Any] = Counter()
    for model in apps.get_models():
        if model._meta.app_label in ("horses", "measurements"):
            for row in model._base_manager.values_list():
                found[model._meta.label, repr(row)] += 1
    return found


class Broken(Exception):
    """A statement that the test made fail."""


@contextmanager
def failing_write(number: int) -> Iterator[list[str]]:
    """Lets the write with this number, counted from 1, fail; yields those that were tried."""
    writes: list[str] = []

    def watch(execute: Callable[..., Any], sql: str, *rest: Any) -> Any:
        if sql.startswith(("INSERT", "UPDATE", "DELETE")):
            writes.append(sql)
            if len(writes) == number:
                raise Broken(sql)
        return execute(sql, *rest)

    with connection.execute_wrapper(watch):
        yield writes


def test_each_deed_is_done_by_the_roles_of_the_policy_and_nobody_else(
    stage: Stage, now: datetime
) -> None:
    did = {
        deed.name: {r for r in ROLES if not _refused(deed, stage, stage.access(r), now)}
        for deed in DEEDS
    }
    assert did == {deed.name: set(RIGHTS[deed.action][0]) for deed in DEEDS}


def test_after_any_deed_a_page_reads_the_numbers_as_they_stand(stage: Stage, now: datetime) -> None:
    horse, wrong = stage.cast.horse, []
    for deed in DEEDS:
        numbers_kept(horse, today=now.date())
        with rolled_back():
            deed(stage, stage.access(_doer(deed)), now)
            kept, fresh = (read(horse, today=now.date()) for read in (numbers_kept, numbers_of))
            if kept != fresh:
                wrong.append(deed.name)
    assert wrong == []


def test_a_closed_case_takes_only_what_the_policy_leaves_open(stage: Stage, now: datetime) -> None:
    held = {role: stage.access(role) for role in ROLES}  # handed out while the case was open
    case_close(access=stage.access("owner"), outcome="partly", words="Enough.", now=now)
    for deed in DEEDS:
        role = _doer(deed)
        expected = not allowed(deed.action, role, closed=True)
        for access in (held[role], stage.access(role)):
            assert _refused(deed, stage, access, now) == expected, deed.name


def test_an_access_from_before_the_removal_opens_nothing(stage: Stage, now: datetime) -> None:
    for role in ROLES:
        held = stage.access(role)
        with rolled_back():
            Membership.objects.filter(person=held.person, case=held.case).update(left_at=now)
            did = [d.name for d in DEEDS if not _refused(d, stage, held, now)]
        assert did == []


def test_an_access_from_before_a_change_of_role_opens_nothing(stage: Stage, now: datetime) -> None:
    held = stage.access("owner")
    Membership.objects.filter(person=held.person, case=held.case).update(role="carer")
    assert [d.name for d in DEEDS if not _refused(d, stage, held, now)] == []


def test_an_aged_sign_in_is_refused_exactly_where_the_policy_says(
    stage: Stage, now: datetime
) -> None:
    before, refused = _rows(), set()
    for deed in DEEDS:
        aged = replace(stage.access(_doer(deed)), fresh=False)
        try:
            with rolled_back():
                deed(stage, aged, now)
        except NotFresh:
            refused.add(deed.action)
        assert _rows() == before, deed.name
    assert refused == ASKS_AGAIN


def test_leaving_and_saying_no_ask_for_nothing(stage: Stage, now: datetime) -> None:
    aged = replace(stage.access("farrier"), fresh=False)
    for decision in ("ask", "decline"):
        word = plan_item_decide(
            access=aged,
            item_id=stage.therapeutic.public_id,
            decision=decision,
            seen_hash=latest_version(stage.therapeutic).content_hash,
            reason="Not yet.",
            now=now,
        )
        assert word.decision == decision
    own = stage.member("farrier").public_id
    assert member_remove(access=aged, membership_id=own, now=now).left_at == now


def test_going_at_once_in_a_hand_over_asks_too(stage: Stage, now: datetime) -> None:
    aged = replace(stage.access("owner"), fresh=False)
    with pytest.raises(NotFresh):
        hand_over(
            access=aged,
            membership_id=stage.member("stand_in").public_id,
            leaves_now=True,
            email="new@example.test",
            board_ids=[stage.cast.concern.public_id],
            now=now,
        )
    assert stage.member("stand_in").left_at is None


def test_an_access_is_aged_until_somebody_says_otherwise(stage: Stage) -> None:
    case = stage.cast.concern
    assert not access_get(stage.cast.owner, case.public_id).fresh
    here = access_on(stage.cast.owner, case)
    assert here is not None
    assert not here.fresh


def test_a_failure_early_or_late_leaves_nothing_behind(stage: Stage, now: datetime) -> None:
    before, tried = _rows(), 0
    for deed in DEEDS:
        with rolled_back(), failing_write(0) as writes:
            deed(stage, stage.access(_doer(deed)), now, key="a key")
        for number in {1, len(writes) // 2, len(writes) - 1, len(writes)} - {0}:
            with failing_write(number), pytest.raises(Broken):
                deed(stage, stage.access(_doer(deed)), now, key="a key")
            tried += 1
        assert _rows() == before, deed.name
    assert tried > 2 * len(DEEDS)


def test_each_deed_leaves_its_line_in_the_history(stage: Stage, now: datetime) -> None:
    newest = HistoryLine.objects.order_by("-pk")[0].pk
    for deed in DEEDS:
        access = stage.access(_doer(deed))
        with rolled_back():
            deed(stage, access, now)
            lines = HistoryLine.objects.filter(pk__gt=newest, verb=deed.verb)
            found = list(lines.values_list("actor", "actor_role"))
        assert found == [(access.person.pk, access.role)], deed.name


def test_each_deed_tells_the_others_and_never_the_doer(stage: Stage, now: datetime) -> None:
    newest = Notice.objects.order_by("-pk")[0].pk
    for deed in DEEDS:
        access = stage.access(_doer(deed))
        team = Membership.objects.filter(case=access.case, left_at=None)
        others = set(team.values_list("person", flat=True)) - {access.person.pk}
        with rolled_back():
            deed(stage, access, now)
            stayed = set(team.values_list("person", flat=True))
            told = set(Notice.objects.filter(pk__gt=newest).values_list("person", flat=True))
        assert told == (others & stayed if deed.tells else set()), deed.name


def test_the_same_key_and_content_make_one_of_two(stage: Stage, now: datetime) -> None:
    for deed in KEYED:
        access = stage.access(_doer(deed))
        with rolled_back():
            first = deed(stage, access, now, key="one form")
            before = _rows()
            again = deed(stage, access, now, key="one form")
            assert (again, _rows()) == (first, before), deed.name


def test_the_same_key_with_other_content_is_refused(stage: Stage, now: datetime) -> None:
    for deed in KEYED:
        access = stage.access(_doer(deed))
        with rolled_back():
            deed(stage, access, now, key="one form")
            before = _rows()
            assert _refused(deed, stage, access, now, key="one form", twist=True), deed.name
            assert _rows() == before


def test_the_same_key_on_another_case_is_not_taken_for_the_first(
    stage: Stage, now: datetime
) -> None:
    names_a_thing_of_its_case = (
        "alert.answer",
        "flag.answer",
        "flag.vet_phoned",
        "plan.reply",
        "shoe.back",
        "flag.photo",
        "points.place",
        "points.place_on_film",
    )
    for deed in KEYED:
        if deed.action in names_a_thing_of_its_case or deed.name == "write points down":
            continue
        role = _doer(deed)
        there = stage.cast.access(stage.person(role))
        with rolled_back():
            deed(stage, stage.access(role), now, key="one form")
            assert _refused(deed, stage, there, now, key="one form"), deed.name


def test_the_same_key_of_another_person_is_another_form(stage: Stage, now: datetime) -> None:
    deed = BY_NAME["write a note"]
    one = deed(stage, stage.access("owner"), now, key="one form")
    other = deed(stage, stage.access("vet"), now, key="one form")
    assert one != other


def test_the_same_key_for_another_kind_of_thing_is_refused(stage: Stage, now: datetime) -> None:
    access = stage.access("owner")
    BY_NAME["write a note"](stage, access, now, key="one form")
    assert _refused(BY_NAME["raise a flag"], stage, access, now, key="one form")


def test_every_right_of_the_policy_has_a_deed() -> None:
    pages_only, left_alone = {"case.see", "case.look_as"}, {"team.leave"}
    assert {deed.action for deed in DEEDS} == set(RIGHTS) - pages_only - left_alone


@pytest.mark.parametrize("role", ["farrier", "vet", "carer"])
def test_everybody_but_the_last_owner_may_leave(role: str, stage: Stage, now: datetime) -> None:
    left = member_remove(
        access=stage.access(role), membership_id=stage.member(role).public_id, now=now
    )
    assert left.left_at == now
    assert HistoryLine.objects.filter(verb="team.left", actor=left.person).exists()

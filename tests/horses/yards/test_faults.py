"""Each seeded fault of the yards is noticed by at least one of these checks."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404

from horses.access import POLICY, access_on, require
from horses.access_yard import YARD_POLICY, yard_access_get, yard_require
from horses.models import Case, Membership, Person, Role, YardRole
from horses.queries.plan_state import active_roles, version_state
from horses.services.cases import case_open
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version, plan_item_decide
from horses.services.team import member_remove
from horses.services.yard_links import yard_link_find, yard_link_make, yard_link_take, yard_token
from horses.services.yard_members import yard_member_confirm, yard_member_end
from tests import build
from tests.cast import person
from tests.horses.yards.faults import FAULTS, Fault
from tests.rights import RUNS_YARD, allowed
from tests.yards import YardCast, ask, joined, moved, own_horse

pytestmark = pytest.mark.django_db
Check = Callable[[YardCast, datetime], Iterator[str]]


@contextmanager
def rolled_back() -> Iterator[None]:
    sid = transaction.savepoint()
    try:
        yield
    finally:
        transaction.savepoint_rollback(sid)


def _on(case: Case, who: Person) -> bool:
    return Membership.objects.filter(case=case, person=who, left_at=None).exists()


def yard_rights(cast: YardCast, now: datetime) -> Iterator[str]:
    only = {a for a in YARD_POLICY if a not in ("yard.see", "yard.bring", "yard.leave")}
    for who in (cast.farrier, cast.vet, cast.groom, cast.livery):
        for action in only:
            try:
                yard_require(cast.place(who), action)
            except PermissionDenied:
                continue
            yield f"{action} by {who}"


def managers_rights(cast: YardCast, now: datetime) -> Iterator[str]:
    member = Membership.objects.get(case=cast.linnet, person=cast.manager, left_at=None)
    if member.role == Role.OWNER:
        yield "the manager owns a livery horse"
        return
    for action in POLICY:
        try:
            require(cast.access(cast.manager, cast.linnet), action)
        except PermissionDenied:
            continue
        if not allowed(action, "carer") and action not in RUNS_YARD:
            yield f"{action} by the manager of a livery horse"


def who_comes_on_what(cast: YardCast, now: datetime) -> Iterator[str]:
    """With the yard set up anew: a slip in the joining shows here."""
    owner = cast.access(cast.livery, cast.linnet)
    groom = Membership.objects.get(case=cast.linnet, person=cast.groom, left_at=None)
    member_remove(access=owner, membership_id=groom.public_id, now=now)
    concern = case_open(access=owner, title="Left fore", now=now)
    second = person("Sev Second")
    joined(cast.place(cast.manager), second, YardRole.MANAGER, now)
    if _on(concern, second):
        yield "on a concern"
    if access_on(second, cast.linnet) and access_on(second, cast.linnet).role == Role.OWNER:  # type: ignore[union-attr]  # just looked
        yield "owner of a livery horse"
    if not cast.member(cast.groom).left_out_of.filter(until_at=None).exists():
        yield "removed, and not left out"
    wren, own = own_horse(cast.livery, "Wren", now), person("Odo Own")
    Membership.objects.create(case=wren, person=own, role=Role.FARRIER, joined_at=now)
    moved(cast.access(cast.livery, wren), cast.yard, now)
    if _on(wren, cast.farrier):
        yield "two farriers"


def who_goes(cast: YardCast, now: datetime) -> Iterator[str]:
    place = cast.place(cast.manager)
    yard_member_end(access=place, member_id=cast.member(cast.vet).public_id, now=now)
    for case in (cast.pebble, cast.otter, cast.linnet):
        if _on(case, cast.vet):
            yield f"the vet who left is on {case.horse}"


def who_has_no_place(cast: YardCast, now: datetime) -> Iterator[str]:
    for who in (cast.waiting, cast.gone, cast.other_manager):
        try:
            yard_access_get(who, cast.yard.public_id)
        except Http404:
            continue
        yield f"the yard opens to {who}"


def links(cast: YardCast, now: datetime) -> Iterator[str]:
    place = cast.place(cast.manager)
    link = yard_link_make(access=place, role=YardRole.VET, now=now)
    token = yard_token(link.public_id)
    yard_link_take(person=person("Nea New"), token=token, now=now)
    try:
        yard_link_take(person=person("Ned Next"), token=token, now=now)
    except Http404:
        pass
    else:
        yield "a link for one taken twice"
    link = yard_link_make(access=place, role=YardRole.CARER, now=now)
    joined(place, person("Sev Second"), YardRole.MANAGER, now)
    yard_member_end(access=place, member_id=place.member.public_id, now=now)
    try:
        yard_link_find(token=yard_token(link.public_id), now=now)
    except Http404:
        return
    yield "a link of a manager who left"


def read_before(cast: YardCast, now: datetime) -> Iterator[str]:
    place = cast.place(cast.manager)
    yard_member_end(access=place, member_id=cast.member(cast.vet).public_id, now=now)
    later = now + timedelta(minutes=1)
    item = build.plan_item(cast.access(cast.manager, cast.pebble), later)
    plan_item_decide(
        access=cast.access(cast.farrier, cast.pebble),
        item_id=item.public_id,
        seen_hash=latest_version(item).content_hash,
        decision="agree",
        now=later,
    )
    version = latest_version(item)
    assert version_state(version, active_roles(cast.pebble)).is_agreed
    member = ask(place, person("Nea Newvet"), YardRole.VET, later)
    try:
        yard_member_confirm(access=place, member_id=member.public_id, seen="", now=later)
    except DeedRefused:
        return
    yield "opened again what nobody read"


CHECKS: tuple[Check, ...] = (
    yard_rights,
    managers_rights,
    who_comes_on_what,
    who_goes,
    who_has_no_place,
    links,
    read_before,
)


def found(cast: YardCast, now: datetime) -> list[str]:
    wrong = []
    for check in CHECKS:
        with rolled_back():
            try:
                wrong += list(check(cast, now))
            except (DeedRefused, PermissionDenied, Http404, AssertionError) as error:
                wrong.append(f"{check.__name__}: {error!r}")
    return wrong


def test_without_a_fault_nothing_is_wrong(yard_cast: YardCast, now: datetime) -> None:
    assert found(yard_cast, now) == []


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_each_fault_is_noticed(fault: Fault, yard_cast: YardCast, now: datetime) -> None:
    with ExitStack() as stack:
        fault.make(stack)
        assert found(yard_cast, now) != []

"""A yard's links: who may use them, how often, how long, and what they never do by themselves."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.test import Client
from django.urls import reverse

from horses.access import access_on
from horses.access_yard import YARD_POLICY, NotFresh, yard_require
from horses.models import Membership, Person, PlanItem, Role, YardInvitation, YardMember, YardRole
from horses.queries.plan_state import active_roles, version_state
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version, plan_item_decide
from horses.services.yard_links import (
    MOST_WAITING,
    yard_link_end,
    yard_link_find,
    yard_link_make,
    yard_link_message,
    yard_link_take,
    yard_token,
)
from horses.services.yard_members import yard_member_confirm, yard_member_decline, yard_member_end
from tests import build
from tests.cast import person
from tests.yards import YardCast, ask, joined, say_yes

pytestmark = pytest.mark.django_db


def made(yard_cast: YardCast, role: str, now: datetime, email: str = "") -> YardInvitation:
    place = yard_cast.place(yard_cast.manager)
    return yard_link_make(access=place, role=role, email=email, now=now)


def test_the_way_in_is_128_bits_and_the_database_keeps_only_a_hash(
    yard_cast: YardCast, now: datetime
) -> None:
    link = made(yard_cast, YardRole.CARER, now)
    token = yard_token(link.public_id)
    assert len(bytes.fromhex(token)) * 8 == 128
    assert token not in repr(vars(link))


def test_a_thousand_looks_leave_a_link_unused(yard_cast: YardCast, now: datetime) -> None:
    link = made(yard_cast, YardRole.VET, now)
    before = YardMember.objects.count()
    path = reverse("yard_invitation", args=[yard_token(link.public_id)])
    client = Client()
    for _ in range(1000):
        client.get(path)
    link.refresh_from_db()
    assert (link.used_at, YardMember.objects.count()) == (None, before)


@pytest.mark.parametrize("role", [YardRole.FARRIER, YardRole.VET, YardRole.MANAGER])
def test_a_link_for_one_is_used_once_and_waits_for_a_yes(
    role: YardRole, yard_cast: YardCast, now: datetime
) -> None:
    link, first = made(yard_cast, role, now), person("Nea New")
    member = yard_link_take(person=first, token=yard_token(link.public_id), now=now)
    assert member.confirmed_at is None
    assert access_on(first, yard_cast.pebble) is None
    with pytest.raises(Http404):
        yard_link_take(person=person("Ned Next"), token=yard_token(link.public_id), now=now)


@pytest.mark.parametrize("role", [YardRole.CARER, YardRole.OWNER])
def test_a_link_for_several_lets_each_wait_for_a_yes(
    role: YardRole, yard_cast: YardCast, now: datetime
) -> None:
    link = made(yard_cast, role, now)
    for name in ("Nea New", "Ned Next"):
        member = yard_link_take(person=person(name), token=yard_token(link.public_id), now=now)
        assert member.confirmed_at is None


def test_links_end_after_seven_days_and_when_ended(yard_cast: YardCast, now: datetime) -> None:
    link = made(yard_cast, YardRole.CARER, now)
    token = yard_token(link.public_id)
    yard_link_find(token=token, now=now + timedelta(days=6, hours=23))
    with pytest.raises(Http404):
        yard_link_find(token=token, now=now + timedelta(days=7))
    yard_link_end(access=yard_cast.place(yard_cast.manager), public_id=link.public_id, now=now)
    with pytest.raises(Http404):
        yard_link_find(token=token, now=now)


def test_a_link_of_a_manager_who_has_left_opens_nothing(yard_cast: YardCast, now: datetime) -> None:
    link = made(yard_cast, YardRole.CARER, now)
    place = yard_cast.place(yard_cast.manager)
    joined(place, person("Sev Second"), YardRole.MANAGER, now)
    yard_member_end(access=place, member_id=place.member.public_id, now=now)
    with pytest.raises(Http404):
        yard_link_find(token=yard_token(link.public_id), now=now)


def test_a_mailed_link_is_for_its_address_only_and_needs_no_yes(
    yard_cast: YardCast, now: datetime
) -> None:
    meant, other = person("Mel Meant"), person("Ned Next")
    link = made(yard_cast, YardRole.FARRIER, now, meant.email.upper())
    token = yard_token(link.public_id)
    with pytest.raises(DeedRefused, match="another address"):
        yard_link_take(person=other, token=token, now=now)
    assert yard_link_take(person=meant, token=token, now=now).is_in_force
    assert access_on(meant, yard_cast.pebble) is not None
    assert token in str(yard_link_message(link).body)


def test_a_mailed_link_that_would_open_agreed_items_again_waits_for_a_yes(
    yard_cast: YardCast, now: datetime
) -> None:
    place = yard_cast.place(yard_cast.manager)
    yard_member_end(access=place, member_id=yard_cast.member(yard_cast.vet).public_id, now=now)
    now += timedelta(minutes=1)  # who left before an item was proposed does not count for it
    item = build.plan_item(yard_cast.access(yard_cast.manager, yard_cast.pebble), now)
    _agreed_by(yard_cast, yard_cast.farrier, item.public_id, now)
    new = person("Nea Newvet")
    link = made(yard_cast, YardRole.VET, now, new.email)
    member = yard_link_take(person=new, token=yard_token(link.public_id), now=now)
    assert member.confirmed_at is None
    with pytest.raises(DeedRefused, match="changed since"):
        _say_yes_unread(yard_cast, member, now)
    say_yes(place, member, now)
    assert access_on(new, yard_cast.pebble) is not None


def _agreed_by(yard_cast: YardCast, who: Person, item_id: str, now: datetime) -> None:
    plan_item_decide(
        access=yard_cast.access(who, yard_cast.pebble),
        item_id=item_id,
        seen_hash=latest_version(PlanItem.objects.get(public_id=item_id)).content_hash,
        decision="agree",
        now=now,
    )


def _say_yes_unread(yard_cast: YardCast, member: YardMember, now: datetime) -> None:
    place = yard_cast.place(yard_cast.manager)
    yard_member_confirm(access=place, member_id=member.public_id, seen="", now=now)


def test_a_no_leaves_nothing_and_the_person_may_follow_another_link(
    yard_cast: YardCast, now: datetime
) -> None:
    place, new = yard_cast.place(yard_cast.manager), person("Nea New")
    member = ask(place, new, YardRole.CARER, now)
    yard_member_decline(access=place, member_id=member.public_id, now=now)
    assert not Membership.objects.filter(person=new).exists()
    assert joined(place, new, YardRole.CARER, now).is_in_force


def test_nobody_gets_a_second_place(yard_cast: YardCast, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="already"):
        ask(yard_cast.place(yard_cast.manager), yard_cast.groom, YardRole.MANAGER, now)


def test_a_link_that_is_passed_round_fills_no_yard_with_people_who_wait(
    yard_cast: YardCast, now: datetime
) -> None:
    link = made(yard_cast, YardRole.CARER, now)
    token = yard_token(link.public_id)
    waiting = YardMember.objects.waiting().filter(yard=yard_cast.yard).count()
    for number in range(MOST_WAITING - waiting):
        yard_link_take(person=person(f"Nea {number}"), token=token, now=now)
    with pytest.raises(DeedRefused, match="Many people wait"):
        yard_link_take(person=person("Ned Last"), token=token, now=now)


@pytest.mark.parametrize("name", ["farrier", "vet", "groom", "livery"])
def test_only_a_manager_makes_links_and_says_yes(
    name: str, yard_cast: YardCast, now: datetime
) -> None:
    place = yard_cast.place(getattr(yard_cast, name))
    for action, rule in YARD_POLICY.items():
        if place.role in rule.roles:
            yard_require(place, action)
        else:
            with pytest.raises(PermissionDenied):
                yard_require(place, action)
    with pytest.raises(PermissionDenied):
        yard_link_make(access=place, role=YardRole.CARER, now=now)


def test_an_aged_sign_in_makes_no_link(yard_cast: YardCast, now: datetime) -> None:
    aged = replace(yard_cast.place(yard_cast.manager), fresh=False)
    with pytest.raises(NotFresh):
        yard_link_make(access=aged, role=YardRole.CARER, now=now)


def test_an_owner_who_is_new_is_asked_before_anything_counts_as_agreed(
    yard_cast: YardCast, now: datetime
) -> None:
    """A horse without an owner's account has the owner's role vacant, and nothing is agreed."""
    farrier = yard_cast.access(yard_cast.farrier, yard_cast.pebble)
    item = build.plan_item(farrier, now)
    Membership.objects.filter(case=yard_cast.pebble, role__in=(Role.OWNER, Role.VET)).delete()
    version = latest_version(PlanItem.objects.get(pk=item.pk))
    state = version_state(version, active_roles(yard_cast.pebble))
    assert "owner" in state.missing

"""Leaving a team and being removed from it."""

from datetime import datetime

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.access import access_get
from horses.models import Case, Membership, Person, Role
from horses.services.deed import DeedRefused
from horses.services.team import member_remove
from tests.cast import Cast, join

pytestmark = pytest.mark.django_db


def _member(case: Case, person: Person) -> Membership:
    return Membership.objects.get(case=case, person=person, left_at=None)


def _remove(cast: Cast, by: Person, whom: Person, now: datetime) -> Membership:
    member = _member(cast.case, whom)
    return member_remove(access=cast.access(by), membership_id=member.public_id, now=now)


def test_access_ends_with_the_removal(cast: Cast, now: datetime) -> None:
    _remove(cast, cast.owner, cast.farrier, now)
    with pytest.raises(Http404):
        access_get(cast.farrier, cast.case.public_id)
    assert access_get(cast.farrier, cast.concern.public_id).role == Role.FARRIER


def test_the_last_owner_neither_leaves_nor_is_removed(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        _remove(cast, cast.owner, cast.owner, now)


def test_one_of_two_owners_may_leave_and_then_the_other_not(cast: Cast, now: datetime) -> None:
    join(cast.case, cast.stranger, Role.OWNER, now)
    _remove(cast, cast.stranger, cast.owner, now)
    with pytest.raises(DeedRefused):
        _remove(cast, cast.stranger, cast.stranger, now)


@pytest.mark.parametrize("who", ["vet", "farrier", "carer", "stand_in"])
def test_nobody_but_an_owner_removes_others(who: str, cast: Cast, now: datetime) -> None:
    for whom in {cast.vet, cast.farrier, cast.carer, cast.owner} - {getattr(cast, who)}:
        with pytest.raises(PermissionDenied):
            _remove(cast, getattr(cast, who), whom, now)


def test_a_member_of_another_case_is_not_found(cast: Cast, now: datetime) -> None:
    elsewhere = _member(cast.other_case, cast.other_vet)
    with pytest.raises(Http404):
        member_remove(access=cast.access(cast.owner), membership_id=elsewhere.public_id, now=now)


def test_somebody_removed_is_not_removed_twice(cast: Cast, now: datetime) -> None:
    gone = _remove(cast, cast.owner, cast.farrier, now)
    with pytest.raises(Http404):
        member_remove(access=cast.access(cast.owner), membership_id=gone.public_id, now=now)

"""A farrier alone with thirty customers' horses; then the owners take over ten of them."""

from datetime import datetime, timedelta

import pytest
from django.http import Http404

from horses.access import POLICY, CaseAccess, access_get, cases_for, may
from horses.models import Case, Horse, OwnerContact, Person, Role, Visit
from horses.queries.board import notes_newest
from horses.queries.day_list import round_for, stops_fill
from horses.queries.plan_state import active_roles
from horses.services.horses import HeldFor, horse_create
from horses.services.invitations import invitation_accept, invitation_create, token_for
from horses.services.notes import note_write
from tests import build
from tests.cast import person
from tests.rights import HOLDERS, allowed

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
HORSES, TAKEN = 30, 10


def add(farrier: Person, number: int, now: datetime) -> CaseAccess:
    horse = horse_create(
        person=farrier,
        fields={"name": f"Horse {number:02}", "yard": f"Yard {number % 6}"},
        held_for=HeldFor(Role.FARRIER, f"Owner {number:02}", f"0100 555 {number:03}"),
        now=now,
    )
    return access_get(farrier, Case.objects.get(horse=horse).public_id, fresh=True)


def take_over(access: CaseAccess, owner: Person, now: datetime) -> CaseAccess:
    asked = invitation_create(access=access, email=owner.email, role=Role.OWNER, now=now)
    invitation_accept(person=owner, token=token_for(asked.public_id), now=now)
    return access_get(owner, access.case.public_id, fresh=True)


def rights(access: CaseAccess) -> set[str]:
    return {action for action in POLICY if may(access, action)}


FARRIERS = {action for action in POLICY if allowed(action, "farrier")}
OWNERS = {action for action in POLICY if allowed(action, "owner")}


def test_thirty_horses_alone_and_ten_taken_over(now: datetime) -> None:
    farrier, owners = person("Finn Farrier"), [person(f"Owner {n}") for n in range(5)]
    start = now - 60 * DAY
    book = [add(farrier, number, start) for number in range(HORSES)]
    for access in book:
        build.visit(access, start, start.date(), next_on=now.date())
        note_write(
            access=access, body="For vets only.", audience=frozenset({"farrier", "vet"}), now=start
        )
    found = round_for(farrier, first=now.date(), last=now.date(), today=now.date())
    stops_fill(farrier, found, found.stops, today=now.date())
    assert len(found.stops) == HORSES
    assert {stop.kept_owner.name for stop in found.stops if stop.kept_owner} == {
        f"Owner {number:02}" for number in range(HORSES)
    }
    assert all(rights(access) == FARRIERS | HOLDERS for access in book)

    written = set(Visit.objects.filter(person=farrier).values_list("pk", flat=True))
    theirs = [take_over(access, owners[n % 5], now) for n, access in enumerate(book[:TAKEN])]

    for n, access in enumerate(book):
        mine = access_get(farrier, access.case.public_id)
        assert rights(mine) == (FARRIERS if n < TAKEN else FARRIERS | HOLDERS), n
        assert active_roles(access.case) == (["owner", "farrier"] if n < TAKEN else ["farrier"])
        for k, owner in enumerate(owners):
            if n < TAKEN and k == n % 5:
                assert rights(access_get(owner, access.case.public_id)) == OWNERS
            else:
                with pytest.raises(Http404):
                    access_get(owner, access.case.public_id)
    assert all(notes_newest(access, 5) == [] for access in theirs)  # written for others
    assert all(cases_for(owner).count() == TAKEN // 5 for owner in owners)
    assert set(Visit.objects.filter(person=farrier).values_list("pk", flat=True)) == written
    assert OwnerContact.objects.filter(erased_at=None).count() == HORSES - TAKEN
    for access in [*theirs, *book[TAKEN:]]:
        build.visit(access_get(farrier, access.case.public_id), now, now.date())
    assert Visit.objects.kept().count() == 2 * HORSES
    assert Horse.objects.count() == HORSES

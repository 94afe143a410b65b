"""A farrier's own book: a customer's horse, held for an owner without an account, and taken over."""

import json
from datetime import datetime, timedelta

import pytest
from django.apps import apps
from django.core.exceptions import PermissionDenied

from horses.access import POLICY, CaseAccess, access_get, may, require
from horses.accounts.services.people_admin import AccountCommandError, person_erase
from horses.models import Case, HistoryLine, Membership, OwnerContact, Person, Role, Visit
from horses.queries.held import contact_of
from horses.queries.plan import plan_for
from horses.rules.engine import evaluate
from horses.services.cases import case_open
from horses.services.deed import DeedRefused
from horses.services.held import contact_erase, contact_show
from horses.services.horses import HeldFor, horse_create
from horses.services.invitations import invitation_accept, invitation_create, token_for
from horses.services.plan import latest_version, plan_item_decide
from horses.services.team import member_remove
from tests import build
from tests.cast import person
from tests.rights import HOLDERS, RIGHTS, allowed

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
NAME, PHONE = "Oda Offline", "0100 200 377"


@pytest.fixture
def farrier(db: None) -> Person:
    return person("Finn Farrier")


def held(by: Person, now: datetime, name: str = "Sedge", role: Role = Role.FARRIER) -> CaseAccess:
    horse = horse_create(
        person=by, fields={"name": name}, held_for=HeldFor(role, NAME, PHONE), now=now
    )
    return access_get(by, Case.objects.get(horse=horse).public_id, fresh=True)


def fresh(access: CaseAccess, who: Person | None = None) -> CaseAccess:
    return access_get(who or access.person, access.case.public_id, fresh=True)


def owner_joins(access: CaseAccess, now: datetime, name: str = "Oda Online") -> Person:
    owner = Person.objects.filter(name=name).first() or person(name)
    invitation = invitation_create(access=access, email=owner.email, role=Role.OWNER, now=now)
    invitation_accept(person=owner, token=token_for(invitation.public_id), now=now)
    return owner


def test_a_farrier_adds_a_customers_horse_and_writes_up_the_visit(
    farrier: Person, now: datetime
) -> None:
    access = held(farrier, now)
    assert (access.role, access.holds) == (Role.FARRIER, True)
    visit = build.visit(access, now, now.date(), next_on=now.date() + 49 * DAY)
    assert (visit.is_kept, Visit.objects.planned().count()) == (True, 1)


def test_a_vet_adds_one_likewise(now: datetime) -> None:
    access = held(person("Vera Vet"), now, role=Role.VET)
    assert (access.role, may(access, "exam.record"), may(access, "work.record")) == (
        Role.VET,
        True,
        False,
    )


@pytest.mark.parametrize("role", [Role.FARRIER, Role.VET])
def test_a_holder_may_what_the_role_may_and_no_more_of_the_owners_than_is_listed(
    role: Role, now: datetime
) -> None:
    access = held(person("Hal Holder"), now, role=role)
    for action in POLICY:
        expected = allowed(action, role) or action in HOLDERS
        assert may(access, action) is expected, action
        if not expected:
            with pytest.raises(PermissionDenied):
                require(access, action)
    assert set(RIGHTS) >= HOLDERS


def test_nothing_is_agreed_by_the_farrier_alone(farrier: Person, now: datetime) -> None:
    access = held(farrier, now)
    item = build.plan_item(access, now)
    [line] = plan_for(access)
    assert (line.state.is_agreed, line.state.missing) == (False, ("owner",))
    owner = owner_joins(access, now + DAY)
    plan_item_decide(
        access=fresh(access, owner),
        item_id=item.public_id,
        decision="agree",
        seen_hash=latest_version(item).content_hash,
        now=now + DAY,
    )
    [line] = plan_for(fresh(access))
    assert line.state.is_agreed


def test_nobody_is_blamed_for_an_owner_who_is_not_there(farrier: Person, now: datetime) -> None:
    access = held(farrier, now)
    build.plan_item(access, now)
    evaluate(access.horse, now=now + 30 * DAY)
    assert not access.horse.alerts.filter(rule="plan.unconfirmed").exists()


def test_a_holder_asks_the_owner_and_nobody_else(farrier: Person, now: datetime) -> None:
    access = held(farrier, now)
    with pytest.raises(PermissionDenied, match="the owner decides who else"):
        invitation_create(access=access, email="v@example.test", role=Role.VET, now=now)


def test_a_holder_does_not_leave_a_horse_with_nobody(farrier: Person, now: datetime) -> None:
    access = held(farrier, now)
    mine = Membership.objects.get(case=access.case)
    with pytest.raises(DeedRefused, match="You hold this horse"):
        member_remove(access=access, membership_id=mine.public_id, now=now)


def test_the_owner_takes_it_over_by_one_link_and_nothing_is_typed_again(
    farrier: Person, now: datetime
) -> None:
    access = held(farrier, now)
    visit = build.visit(access, now, now.date())
    concern = case_open(access=access, title="Left fore", now=now)
    owner = owner_joins(access, now + DAY)
    assert {c.public_id for c in Case.objects.filter(memberships__person=owner)} == {
        access.case.public_id,
        concern.public_id,
    }
    after, theirs = fresh(access), fresh(access, owner)
    for action in POLICY:
        assert may(after, action) is allowed(action, Role.FARRIER), action
        assert may(theirs, action) is allowed(action, Role.OWNER), action
    visit.refresh_from_db()
    assert visit.person == farrier
    assert contact_of(after) is None
    owner.refresh_from_db()
    assert owner.phone == PHONE


def test_an_access_from_before_does_not_hold_after_the_owner_has_joined(
    farrier: Person, now: datetime
) -> None:
    stale = held(farrier, now)
    owner_joins(stale, now + DAY)
    with pytest.raises(PermissionDenied):
        require(stale, "horse.pause")


def test_other_horses_of_the_holder_stay_their_own(farrier: Person, now: datetime) -> None:
    taken, other = held(farrier, now), held(farrier, now, "Bracken")
    owner = owner_joins(taken, now + DAY)
    assert not Membership.objects.filter(case=other.case, person=owner).exists()
    assert fresh(other).holds


def test_what_is_kept_of_the_owner_is_erased_when_they_ask(farrier: Person, now: datetime) -> None:
    access = held(farrier, now)
    assert contact_show(access=access, now=now)
    contact_erase(access=access, now=now + DAY)
    row = OwnerContact.objects.get(horse=access.horse)
    assert (row.name, row.phone, row.erased_at) == ("", "", now + DAY)


def test_name_and_phone_of_the_owner_stand_in_no_other_row(farrier: Person, now: datetime) -> None:
    access = held(farrier, now)
    build.visit(access, now, now.date(), next_on=now.date() + 49 * DAY)
    build.plan_item(access, now)
    build.sheet(access, now)
    contact_show(access=access, now=now)
    contact_erase(access=access, now=now)
    for model in apps.get_models():
        text = json.dumps([list(row) for row in model._base_manager.values_list()], default=str)
        assert NAME not in text, model
        assert PHONE not in text, model


def test_the_lines_say_what_was_done_and_not_of_whom(farrier: Person, now: datetime) -> None:
    access = held(farrier, now)
    contact_show(access=access, now=now)
    contact_erase(access=access, now=now)
    contact_erase(access=access, now=now)  # nothing is left
    verbs = list(HistoryLine.objects.values_list("verb", flat=True))
    assert verbs == ["horse.held", "owner.told", "owner.erased"]


def test_the_last_trim_said_with_a_new_horse_counts(farrier: Person, now: datetime) -> None:
    horse = horse_create(
        person=farrier,
        fields={"name": "Sedge"},
        held_for=HeldFor(Role.FARRIER, NAME, PHONE),
        last_trim_on=now.date() - 20 * DAY,
        now=now,
    )
    visit = Visit.objects.get(horse=horse)
    assert (visit.kept_on, visit.word_of) == (
        now.date() - 20 * DAY,
        "reported by Finn Farrier",
    )


def test_whoever_alone_holds_a_horse_is_named_and_not_erased_by_accident(
    farrier: Person, now: datetime
) -> None:
    """Nobody could ask the owner to join any more."""
    access = held(farrier, now)
    with pytest.raises(AccountCommandError, match="Sedge"):
        person_erase(person=farrier, now=now)
    assert contact_of(access) is not None


def test_with_the_holder_goes_what_is_kept_of_the_owner(farrier: Person, now: datetime) -> None:
    access, other = held(farrier, now), held(person("Fay Farrier"), now, "Otter")
    person_erase(person=farrier, now=now, though_last_owner=True)
    assert contact_of(access) is None
    assert not OwnerContact.objects.exclude(name="").filter(horse=access.horse).exists()
    assert contact_of(other) is not None

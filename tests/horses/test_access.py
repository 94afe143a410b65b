"""Who may see and do what: the policy against its second writing, and the doors to a case."""

from datetime import datetime

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.access import (
    POLICY,
    TEAM_AUDIENCE,
    CaseAccess,
    NotFresh,
    access_get,
    access_on,
    active_memberships,
    audience_of,
    cases_for,
    looking_as,
    may,
    readable_by,
    require,
)
from horses.models import Case, Membership, Note, Person, Role
from horses.models.base import ID_ALPHABET, ID_LENGTH, new_public_id
from tests import build
from tests.cast import Cast
from tests.rights import ASKS_AGAIN, HOLDERS, RIGHTS, allowed

pytestmark = pytest.mark.django_db
ON_THE_CASE = ("owner", "vet", "farrier", "stand_in", "carer")
NOT_ON_IT = (
    "removed",
    "invited",
    "stranger",
    "staff",
    "other_owner",
    "other_vet",
    "other_farrier",
)


def test_the_policy_says_what_was_written_down_apart_from_it() -> None:
    said = {
        action: (frozenset(map(str, rule.roles)), not rule.open_case_only)
        for action, rule in POLICY.items()
    }
    assert said == RIGHTS
    assert {action for action, rule in POLICY.items() if rule.asks_again} == ASKS_AGAIN
    assert {action for action, rule in POLICY.items() if rule.holder} == HOLDERS


@pytest.mark.parametrize("role", list(Role))
@pytest.mark.parametrize("closed", [False, True])
def test_may_and_require_agree_with_the_policy(
    role: Role, closed: bool, cast: Cast, now: datetime
) -> None:
    who = getattr(cast, role.value)
    if closed:
        Case.objects.filter(pk=cast.case.pk).update(closed_at=now)
    access = cast.access(who)
    for action in POLICY:
        expected = allowed(action, role, closed=closed)
        assert may(access, action) is expected, action
        assert _requires(access, action) is expected, action


def _requires(access: CaseAccess, action: str) -> bool:
    try:
        require(access, action)
    except PermissionDenied:
        return False
    return True


@pytest.mark.parametrize("name", ON_THE_CASE)
def test_a_member_stands_on_the_case_in_their_role(name: str, cast: Cast) -> None:
    access = access_get(getattr(cast, name), cast.case.public_id)
    expected = {"stand_in": "farrier"}.get(name, name)
    assert (access.role, access.stand_in) == (expected, name == "stand_in")


@pytest.mark.parametrize("name", NOT_ON_IT)
def test_everybody_else_is_told_that_there_is_no_such_case(name: str, cast: Cast) -> None:
    person = getattr(cast, name)
    with pytest.raises(Http404) as there:
        access_get(person, cast.case.public_id)
    with pytest.raises(Http404) as nowhere:
        access_get(person, new_public_id())
    assert str(there.value) == str(nowhere.value)
    assert access_on(person, cast.case) is None
    assert cast.case not in cases_for(person)


def test_somebody_not_signed_in_is_on_no_case(cast: Cast) -> None:
    nobody: Person = AnonymousUser()  # type: ignore[assignment]
    assert not active_memberships(nobody).exists()
    with pytest.raises(Http404):
        access_get(nobody, cast.case.public_id)


def test_a_closed_account_is_on_no_case(cast: Cast) -> None:
    cast.owner.is_active = False
    with pytest.raises(Http404):
        access_get(cast.owner, cast.case.public_id)


def test_an_all_powerful_account_sees_no_case_by_it(cast: Cast) -> None:
    boss = Person.objects.create_superuser("boss@example.test", "Boss")
    with pytest.raises(Http404):
        access_get(boss, cast.case.public_id)


def test_being_on_one_case_of_a_horse_opens_no_other(cast: Cast, now: datetime) -> None:
    Membership.objects.filter(case=cast.concern, person=cast.farrier).update(left_at=now)
    with pytest.raises(Http404):
        access_get(cast.farrier, cast.concern.public_id)
    assert list(cases_for(cast.farrier)) == [cast.case]


def test_an_access_from_before_a_change_of_role_is_worth_nothing(cast: Cast) -> None:
    held = cast.access(cast.vet)
    Membership.objects.filter(case=cast.case, person=cast.vet).update(role=Role.CARER)
    with pytest.raises(PermissionDenied):
        require(held, "case.see")


def test_an_access_from_before_the_closing_is_worth_what_a_closed_case_allows(
    cast: Cast, now: datetime
) -> None:
    held = cast.access(cast.vet)
    Case.objects.filter(pk=cast.case.pk).update(closed_at=now)
    assert [action for action in POLICY if _requires(held, action)] == [
        action for action in POLICY if allowed(action, "vet", closed=True)
    ]


def test_refusals_say_whose_right_it_is(cast: Cast) -> None:
    with pytest.raises(PermissionDenied, match="for the owner or vet of this case"):
        require(cast.access(cast.farrier), "case.close")


@pytest.mark.parametrize("role", list(Role))
def test_the_readers_of_a_row_are_exactly_its_roles(role: Role, cast: Cast, now: datetime) -> None:
    for roles in ({"vet"}, {"vet", "farrier"}, {"vet", "owner"}, {"vet", "carer"}):
        build.note(cast.access(cast.vet), now, ",".join(sorted(roles)), roles)
    access = cast.access(getattr(cast, role.value))
    seen = Note.objects.filter(readable_by(access)).values_list("body", flat=True)
    assert set(seen) == {
        body for body in Note.objects.values_list("body", flat=True) if role in body.split(",")
    }


def test_an_audience_is_stored_in_one_order() -> None:
    assert audience_of({"vet", "owner"}) == audience_of({"owner", "vet"}) == ",owner,vet,"
    assert audience_of({"carer", "vet", "farrier", "owner"}) == TEAM_AUDIENCE


def test_who_looks_as_another_role_may_do_nothing_of_it(cast: Cast) -> None:
    looking = looking_as(cast.access(cast.owner), Role.VET)
    for action in POLICY:
        assert not may(looking, action), action
        with pytest.raises(PermissionDenied, match="looking as another role"):
            require(looking, action)


def test_what_is_careful_needs_a_fresh_sign_in_and_its_page_does_not(cast: Cast) -> None:
    aged = access_get(cast.owner, cast.case.public_id)
    require(aged, "team.invite", only_look=True)
    with pytest.raises(NotFresh):
        require(aged, "team.invite")
    require(aged, "horse.edit")


def test_public_ids_cannot_be_guessed() -> None:
    assert len(ID_ALPHABET) ** ID_LENGTH > 2**78
    assert len({new_public_id() for _ in range(1000)}) == 1000


def test_a_note_is_corrected_only_while_ones_role_reads_it(cast: Cast, now: datetime) -> None:
    from horses.services.notes import note_write

    note = build.note(cast.access(cast.vet), now, "Among vets.", {"vet"})
    Membership.objects.filter(case=cast.case, person=cast.vet).update(role="owner")
    with pytest.raises(Http404):
        note_write(
            access=cast.access(cast.vet),
            body="As an owner.",
            audience=build.TEAM,
            corrects_id=note.public_id,
            now=now,
        )

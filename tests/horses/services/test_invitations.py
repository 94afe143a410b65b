"""Invitations: one way in, for one address, once."""

from datetime import datetime, timedelta

import pytest
from django.core import mail
from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.models import Case, Invitation, Membership
from horses.services.deed import DeedRefused
from horses.services.invitations import (
    LIFETIME,
    invitation_accept,
    invitation_create,
    invitation_find,
    invitation_mail,
    invitation_resend,
    invitation_revoke,
    token_for,
)
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def invited(cast: Cast, now: datetime) -> Invitation:
    return invitation_create(
        access=cast.access(cast.owner), email=cast.invited.email.upper(), role="vet", now=now
    )


def test_the_token_is_stored_only_as_its_hash(invited: Invitation) -> None:
    token = token_for(invited.public_id)
    assert len(token) * 4 >= 128
    assert token not in " ".join(map(str, Invitation.objects.values_list().get()))


def test_it_is_accepted_once_in_its_role_by_its_address(
    invited: Invitation, cast: Cast, now: datetime
) -> None:
    token = token_for(invited.public_id)
    member = invitation_accept(person=cast.invited, token=token, now=now)
    assert (member.case, member.role) == (cast.case, "vet")
    with pytest.raises(Http404):
        invitation_accept(person=cast.invited, token=token, now=now)


def test_another_address_is_refused_and_leaves_it_unused(
    invited: Invitation, cast: Cast, now: datetime
) -> None:
    with pytest.raises(PermissionDenied):
        invitation_accept(person=cast.stranger, token=token_for(invited.public_id), now=now)
    assert invitation_find(token=token_for(invited.public_id), now=now) == invited


def test_looking_at_it_a_thousand_times_leaves_it_unused(
    invited: Invitation, cast: Cast, now: datetime
) -> None:
    before = Membership.objects.count()
    for _ in range(1000):
        invitation_find(token=token_for(invited.public_id), now=now)
    assert Membership.objects.count() == before


def test_it_is_good_for_seven_days(invited: Invitation, cast: Cast, now: datetime) -> None:
    assert timedelta(days=7) == LIFETIME
    with pytest.raises(Http404):
        invitation_accept(
            person=cast.invited, token=token_for(invited.public_id), now=now + LIFETIME
        )


def test_taken_back_it_opens_nothing_and_is_not_mailed(
    invited: Invitation, cast: Cast, now: datetime
) -> None:
    invitation_revoke(access=cast.access(cast.owner), public_id=invited.public_id, now=now)
    with pytest.raises(Http404):
        invitation_accept(person=cast.invited, token=token_for(invited.public_id), now=now)
    invitation_mail(invited.public_id, now)
    assert mail.outbox == []


def test_an_invitation_of_another_case_is_not_taken_back_from_here(
    invited: Invitation, cast: Cast, now: datetime
) -> None:
    with pytest.raises(Http404):
        invitation_revoke(
            access=cast.access(cast.other_owner, cast.other_case),
            public_id=invited.public_id,
            now=now,
        )


def test_inviting_again_makes_the_first_way_in_worthless(
    invited: Invitation, cast: Cast, now: datetime
) -> None:
    again = invitation_create(
        access=cast.access(cast.owner), email=cast.invited.email, role="carer", now=now
    )
    with pytest.raises(Http404):
        invitation_find(token=token_for(invited.public_id), now=now)
    assert invitation_find(token=token_for(again.public_id), now=now) == again


def test_somebody_on_the_team_is_not_invited(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        invitation_create(
            access=cast.access(cast.owner), email=cast.vet.email.upper(), role="vet", now=now
        )


def test_only_a_farrier_stands_in(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        invitation_create(
            access=cast.access(cast.owner),
            email="a@example.test",
            role="vet",
            stand_in=True,
            now=now,
        )


def test_somebody_who_is_on_the_team_by_now_does_not_join_twice(
    invited: Invitation, cast: Cast, now: datetime
) -> None:
    Membership.objects.create(case=cast.case, person=cast.invited, role="carer", joined_at=now)
    with pytest.raises(DeedRefused):
        invitation_accept(person=cast.invited, token=token_for(invited.public_id), now=now)
    assert Invitation.objects.get().accepted_at is None


def test_the_mail_carries_the_way_in_to_the_invited_address(
    invited: Invitation, now: datetime
) -> None:
    invitation_mail(invited.public_id, now)
    [sent] = mail.outbox
    assert sent.to == [invited.email]
    assert token_for(invited.public_id) in sent.body


def test_sending_again_gives_a_new_link_and_seven_new_days(cast: Cast, now: datetime) -> None:
    owner = cast.access(cast.owner)
    first = invitation_create(access=owner, email="new@example.test", role="vet", now=now)
    later = now + timedelta(days=9)  # the first has run out
    second = invitation_resend(access=owner, public_id=first.public_id, now=later)
    assert (second.email, second.role) == (first.email, first.role)
    assert second.expires_at == later + timedelta(days=7)
    with pytest.raises(Http404):
        invitation_find(token=token_for(first.public_id), now=later)
    assert invitation_find(token=token_for(second.public_id), now=later) == second


def test_what_was_taken_or_taken_back_is_not_sent_again(cast: Cast, now: datetime) -> None:
    owner = cast.access(cast.owner)
    made = invitation_create(access=owner, email="new@example.test", role="vet", now=now)
    invitation_revoke(access=owner, public_id=made.public_id, now=now)
    with pytest.raises(Http404):
        invitation_resend(access=owner, public_id=made.public_id, now=now)


def test_an_invitation_to_a_case_that_was_closed_since_opens_nothing(
    cast: Cast, now: datetime
) -> None:
    asked = invitation_create(
        access=cast.access(cast.owner), email=cast.stranger.email, role="vet", now=now
    )
    token = token_for(asked.public_id)
    assert invitation_find(token=token, now=now) == asked
    Case.objects.filter(pk=cast.case.pk).update(closed_at=now)
    with pytest.raises(Http404):
        invitation_find(token=token, now=now)

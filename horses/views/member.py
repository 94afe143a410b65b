"""One member of a team, and what somebody does about them."""

from datetime import datetime
from typing import Protocol

from django.http import Http404

from caseboard.lib import clock
from horses.access import CaseAccess
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access
from horses.models import Membership
from horses.queries.board import team_for
from horses.views.attempt import attempt_button


class MemberDeed(Protocol):
    def __call__(self, *, access: CaseAccess, membership_id: str, now: datetime) -> object: ...


def member_get(access: CaseAccess, membership_id: str) -> Membership:
    for member in team_for(access):
        if member.public_id == membership_id:
            return member
    raise Http404("no such member")


def refusal_of(
    deed: MemberDeed,
    request: SignedInRequest,
    access: CaseAccess,
    membership_id: str,
) -> str:
    """Does it; why the service would not, or nothing."""
    fresh = fresh_access(request, access)
    _, refusal = attempt_button(
        lambda: deed(access=fresh, membership_id=membership_id, now=clock.now())
    )
    return refusal

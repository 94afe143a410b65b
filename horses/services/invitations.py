"""Invitations: the way in is derived, mailed once, and only its hash is kept."""

import hashlib
import hmac
from datetime import datetime, timedelta

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.core.mail import EmailMessage
from django.db import transaction
from django.http import Http404
from django.urls import reverse

from horses.access import CaseAccess
from horses.domain.wording import sentence_case
from horses.jobs.outbox import enqueue, job_handler
from horses.models import Invitation, Membership, Person, Role, Sale
from horses.models.base import new_public_id
from horses.notices.link_mail import link_mail_send
from horses.notices.messages import make_msgid_for
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.held import holder_may_ask, taken_over
from horses.services.sale_end import buyer_joined

LIFETIME = timedelta(days=7)  # house default


def token_for(public_id: str) -> str:
    """The way in: 256 bits from the server's secret, so that the database alone opens nothing."""
    key = settings.SECRET_KEY.encode()
    return hmac.new(key, f"invitation:{public_id}".encode(), hashlib.sha256).hexdigest()


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def invitation_create(
    *,
    access: CaseAccess,
    email: str,
    role: str,
    stand_in: bool = False,
    sale: Sale | None = None,
    now: datetime,
) -> Invitation:
    """Asks an address to join in a role. Inviting the same address again replaces the first."""
    with deed(access, "team.invite", now=now) as act:
        holder_may_ask(access, role)
        if stand_in and role != Role.FARRIER:
            raise DeedRefused("Only a farrier can be a stand-in.", field="stand_in")
        address = email.strip()
        if Membership.objects.filter(
            case=access.case, person__email__iexact=address, left_at__isnull=True
        ).exists():
            raise DeedRefused(f"{address} is on the team already.", field="email")
        open_ones = Invitation.objects.filter(
            case=access.case, email__iexact=address, accepted_at=None, revoked_at=None
        )
        open_ones.update(revoked_at=now)
        public_id = new_public_id()
        invitation = Invitation.objects.create(
            public_id=public_id,
            case=access.case,
            role=Role(role),
            stand_in=stand_in,
            sale=sale,
            email=address,
            token_hash=_hash(token_for(public_id)),
            invited_by=access.person,
            invited_at=now,
            expires_at=now + LIFETIME,
        )
        after = {"email": address, "role": role, "stand_in": stand_in}
        act.line("team.invited", invitation, after=after)
        enqueue("invitation.mail", public_id, now=now)
        return invitation


def invitation_resend(*, access: CaseAccess, public_id: str, now: datetime) -> Invitation:
    """Asks once more: a new link, good for seven days from now; the old one opens nothing."""
    with deed(access, "team.invite", now=now):
        old = Invitation.objects.filter(
            case=access.case, public_id=public_id, accepted_at=None, revoked_at=None
        ).first()
        if old is None:
            raise Http404("no such open invitation")
        return invitation_create(
            access=access,
            email=old.email,
            role=old.role,
            stand_in=old.stand_in,
            sale=old.sale,
            now=now,
        )


def invitation_revoke(*, access: CaseAccess, public_id: str, now: datetime) -> None:
    with deed(access, "team.uninvite", now=now) as act:
        invitation = (
            Invitation.objects.select_for_update(no_key=True)
            .filter(case=access.case, public_id=public_id, accepted_at=None, revoked_at=None)
            .first()
        )
        if invitation is None:
            raise Http404("no such open invitation")
        invitation.revoked_at = now
        invitation.save(update_fields=["revoked_at"])
        act.line("team.invite_revoked", invitation, after={"email": invitation.email})


def invitation_find(*, token: str, now: datetime) -> Invitation:
    """The open invitation of this token; Http404 for unknown, used, revoked and old ones alike."""
    invitation = (
        Invitation.objects.filter(
            token_hash=_hash(token),
            accepted_at=None,
            revoked_at=None,
            expires_at__gt=now,
            case__closed_at=None,
        )
        .select_related("case__horse", "invited_by")
        .first()
    )
    if invitation is None:
        raise Http404("no such invitation")
    return invitation


def invitation_taken(*, person: Person, token: str) -> Membership | None:
    """The membership that this person got by it: a button is pressed twice, a page opened again."""
    taken = Invitation.objects.filter(token_hash=_hash(token), accepted_by=person).first()
    if taken is None:
        return None
    return (
        Membership.objects.filter(case=taken.case, person=person, left_at__isnull=True)
        .select_related("case__horse")
        .first()
    )


@transaction.atomic
def invitation_accept(*, person: Person, token: str, now: datetime) -> Membership:
    """Joins the team. Only the address that was invited can, and only once."""
    found = invitation_find(token=token, now=now)
    invitation = Invitation.objects.select_for_update(no_key=True).get(pk=found.pk)
    if invitation.accepted_at or invitation.revoked_at:
        raise Http404("no such invitation")
    if invitation.email.casefold() != person.email.casefold():
        raise PermissionDenied(
            "This invitation was sent to another address. Sign in with that one, or ask for a "
            "new invitation."
        )
    case = invitation.case
    if Membership.objects.filter(case=case, person=person, left_at__isnull=True).exists():
        raise DeedRefused("You are on this team already.")
    invitation.accepted_at, invitation.accepted_by = now, person
    invitation.save(update_fields=["accepted_at", "accepted_by"])
    membership = Membership.objects.create(
        case=case,
        person=person,
        role=invitation.role,
        stand_in=invitation.stand_in,
        joined_at=now,
        invited_by=invitation.invited_by,
    )
    access = CaseAccess(person, case, Role(membership.role), membership.stand_in)
    act = Deed(access, "", now)  # the right to this deed is the invitation
    after = {"role": invitation.role, "stand_in": invitation.stand_in}
    act.line("team.joined", person, after=after)
    taken_over(act, membership)
    subject = f"{case.horse.name}: {person} joined the team as {access.role.label}"
    body = f"{sentence_case(words)}." if (words := membership.new_here_words) else ""
    act.tell("team.joined", membership, subject, body=body)
    if invitation.sale is not None:
        buyer_joined(invitation.sale, case, now=now)
    return membership


@job_handler("invitation.mail")
def invitation_mail(key: str, now: datetime) -> None:
    invitation = Invitation.objects.select_related("case__horse", "invited_by").get(public_id=key)
    if invitation.accepted_at or invitation.revoked_at or invitation.expires_at <= now:
        return
    link_mail_send(invitation_message(invitation), Invitation.objects.filter(pk=invitation.pk))


def invitation_message(invitation: Invitation) -> EmailMessage:
    horse, role = invitation.case.horse, Role(invitation.role).label
    address = settings.SITE_URL + reverse("invitation", args=[token_for(invitation.public_id)])
    domain = settings.SITE_URL.split("//")[-1].split(":")[0]
    horse_name = " ".join(horse.name.split())
    return EmailMessage(
        subject=f"{invitation.invited_by} asks you to join the team of {horse_name}",
        body=(
            f"{invitation.invited_by} asks you to join the case board of the horse {horse_name} "
            f"as {role}{' (stand-in)' if invitation.stand_in else ''}.\n\n"
            f"Look and decide here (good for 7 days, for {invitation.email} only):\n{address}\n\n"
            "If this means nothing to you, do nothing: nobody joins by opening a page."
        ),
        to=[invitation.email],
        headers={"Message-ID": make_msgid_for(invitation.public_id, domain)},
    )

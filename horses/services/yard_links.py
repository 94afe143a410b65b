"""The links of a yard: one for a role, by mail, by text message, or shown on the inviter's screen.

The way in is 128 bits derived from the server's secret; the database keeps only a hash. A link is
good for seven days, is seen on the yard's page, and can be ended. Opening it changes nothing.
"""

import hashlib
import hmac
from datetime import datetime

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.http import Http404
from django.urls import reverse

from horses.access_yard import YardAccess
from horses.jobs.outbox import enqueue, job_handler
from horses.models import Person, Yard, YardInvitation, YardMember, YardRole
from horses.models.base import new_public_id
from horses.notices.link_mail import link_mail_send
from horses.notices.messages import make_msgid_for
from horses.queries.reopened import coming
from horses.services.deed import DeedRefused
from horses.services.invitations import LIFETIME
from horses.services.yard_people import joins_everywhere
from horses.services.yards import yard_deed

TOKEN_LETTERS = 32  # of hexadecimal: 128 bits
MOST_LINKS = 20  # open at a time; house default: every role several times over
MOST_WAITING = 30  # people who followed links and wait for a yes; house default: a big yard


def yard_token(public_id: str) -> str:
    key = settings.SECRET_KEY.encode()
    text = f"yard invitation:{public_id}".encode()
    return hmac.new(key, text, hashlib.sha256).hexdigest()[:TOKEN_LETTERS]


def yard_link_url(public_id: str) -> str:
    return f"{settings.SITE_URL}{reverse('yard_invitation', args=[yard_token(public_id)])}"


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def yard_link_make(
    *, access: YardAccess, role: str, email: str = "", now: datetime
) -> YardInvitation:
    """A link for this role; with an address it goes there by mail, and is for that address only."""
    with yard_deed(access, "yard.invite", now=now) as yard:
        open_ones = YardInvitation.objects.filter(
            yard=yard, used_at=None, ended_at=None, expires_at__gt=now
        )
        if open_ones.count() >= MOST_LINKS:
            raise DeedRefused("So many links are open already. End some of them first.")
        people = YardMember.objects.filter(yard=yard, ended_at=None)
        if email and people.filter(person__email__iexact=email).exists():
            raise DeedRefused(f"{email} has a place at this yard already.", field="email")
        public_id = new_public_id()
        made = YardInvitation.objects.create(
            public_id=public_id,
            yard=yard,
            role=YardRole(role),
            email=email.strip(),
            token_hash=_hash(yard_token(public_id)),
            invited_by=access.person,
            invited_at=now,
            expires_at=now + LIFETIME,
        )
        if made.email:
            enqueue("yard.invitation.mail", public_id, now=now)
        return made


def yard_link_end(*, access: YardAccess, public_id: str, now: datetime) -> None:
    with yard_deed(access, "yard.end_link", now=now) as yard:
        links = YardInvitation.objects.filter(yard=yard, ended_at=None, used_at=None)
        if not links.filter(public_id=public_id).update(ended_at=now):
            raise Http404("no such open link")


def yard_link_find(*, token: str, now: datetime) -> YardInvitation:
    """The open link of this token; Http404 for unknown, used, ended and old ones alike."""
    link = (
        YardInvitation.objects.filter(
            token_hash=_hash(token), used_at=None, ended_at=None, expires_at__gt=now
        )
        .select_related("yard", "invited_by")
        .first()
    )
    if link is None or not _inviter_manages(link):
        raise Http404("no such link")
    return link


def _inviter_manages(link: YardInvitation) -> bool:
    """A link made by somebody who has left opens nothing."""
    places = YardMember.objects.in_force().filter(yard=link.yard_id, person=link.invited_by_id)
    return places.filter(role=YardRole.MANAGER).exists()


def yard_link_taken(*, person: Person, token: str) -> YardMember | None:
    """The place that this person got or asked for by it: a button is pressed twice."""
    mine = YardMember.objects.filter(
        invitation__token_hash=_hash(token), person=person, ended_at=None
    )
    return mine.select_related("yard", "invited_by").first()


@transaction.atomic
def yard_link_take(*, person: Person, token: str, now: datetime) -> YardMember:
    """Whoever followed the link has a place from now on, or waits for a manager's yes.

    An address that was typed by the manager and proved by the mail needs no yes; but for joining
    that would open agreed items again, which a manager reads first.
    """
    found = yard_link_find(token=token, now=now)
    Yard.objects.select_for_update(no_key=True).get(pk=found.yard_id)  # as the yard's deeds do
    locked = YardInvitation.objects.select_for_update(no_key=True).get(pk=found.pk)
    if locked.used_at or locked.ended_at:
        raise Http404("no such link")
    if locked.email and locked.email.casefold() != person.email.casefold():
        raise DeedRefused(
            "This link was mailed to another address. Sign in with that one, or ask for a link."
        )
    people = YardMember.objects.filter(yard=locked.yard_id, ended_at=None)
    if people.filter(person=person).exists():
        raise DeedRefused("You have a place at this yard already, or wait for one.")
    if people.filter(confirmed_at=None).count() >= MOST_WAITING:
        raise DeedRefused("Many people wait for an answer here. Ask again in a day or two.")
    if locked.is_used_once:
        locked.used_at = now
        locked.save(update_fields=["used_at"])
    member = YardMember.objects.create(
        yard=locked.yard,
        person=person,
        role=locked.role,
        asked_at=now,
        invited_by=locked.invited_by,
        invitation=locked,
    )
    if locked.email and not coming(locked.yard_id, locked.role, member=member).reopened:
        member.confirmed_by, member.confirmed_at = locked.invited_by, now
        member.save(update_fields=["confirmed_by", "confirmed_at"])
        joins_everywhere(member, by=locked.invited_by, now=now)
    return member


@job_handler("yard.invitation.mail")
def yard_link_mail(key: str, now: datetime) -> None:
    link = YardInvitation.objects.select_related("yard", "invited_by").get(public_id=key)
    if link.used_at or link.ended_at or link.expires_at <= now:
        return
    link_mail_send(yard_link_message(link), YardInvitation.objects.filter(pk=link.pk))


def yard_link_message(link: YardInvitation) -> EmailMessage:
    role, yard = YardRole(link.role).label, " ".join(link.yard.name.split())
    domain = settings.SITE_URL.split("//")[-1].split(":")[0]
    return EmailMessage(
        subject=f"{link.invited_by} asks you to join the yard {yard}",
        body=(
            f"{link.invited_by} asks you to join the yard {yard} on the hoof case board as "
            f"{role}.\n\nLook and decide here (good for 7 days, for {link.email} only):\n"
            f"{yard_link_url(link.public_id)}\n\n"
            "If this means nothing to you, do nothing: nobody joins by opening a page."
        ),
        to=[link.email],
        headers={"Message-ID": make_msgid_for(link.public_id, domain)},
    )

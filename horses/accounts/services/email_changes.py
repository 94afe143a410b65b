"""Changing the address somebody signs in with: both addresses are told, and the old one gets a way back.

A new address is taken over only after a code sent there came back. Whether it belongs to somebody
else already is never said on the page, only to its owner by mail.
"""

import hashlib
import hmac
from datetime import datetime, timedelta

from allauth.account.models import EmailAddress
from django.conf import settings
from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction
from django.http import Http404
from django.urls import reverse

from caseboard.lib.spans import days_words
from caseboard.lib.words import date_words
from horses.jobs.outbox import enqueue, job_handler
from horses.models import EmailChange, Passkey, Person, SignIn
from horses.models.base import new_public_id
from horses.notices.messages import make_msgid_for

WAY_BACK = timedelta(days=7)  # house default: a week away from one's mail


class AddressTaken(Exception):
    """Another account has it. The page does not say so."""


def address_is_taken(*, person: Person, address: str) -> bool:
    others = Person.objects.exclude(pk=person.pk).filter(email__iexact=address)
    theirs = EmailAddress.objects.exclude(user=person).filter(email__iexact=address)
    return others.exists() or theirs.exists()


@transaction.atomic
def address_change(*, person: Person, new: str, now: datetime) -> EmailChange:
    """From now on the person signs in with `new`. The mail to the old address goes with it."""
    row = Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    change = EmailChange.objects.create(
        person=row, public_id=new_public_id(), old=row.email, new=new.strip(), changed_at=now
    )
    _address_set(row, change.new)
    person.email = row.email
    enqueue("address.changed", change.public_id, now=now)
    return change


def _address_set(person: Person, address: str) -> None:
    if address_is_taken(person=person, address=address):
        raise AddressTaken
    # What would not go to the old address says nothing about the new one.
    person.email, person.mail_trouble, person.mail_trouble_at = address, "", None
    try:
        with transaction.atomic():
            person.save(update_fields=["email", "mail_trouble", "mail_trouble_at"])
    except IntegrityError:  # somebody else was quicker
        raise AddressTaken from None
    EmailAddress.objects.filter(user=person).delete()
    EmailAddress.objects.create(user=person, email=address, verified=True, primary=True)


def way_back_token(public_id: str) -> str:
    """From the server's secret, so that the database alone opens nothing."""
    text = f"address:{public_id}".encode()
    return hmac.new(settings.SECRET_KEY.encode(), text, hashlib.sha256).hexdigest()[:40]


def way_back_find(*, public_id: str, token: str, now: datetime) -> EmailChange:
    """The change that this link takes back; Http404 for a wrong, used or old one alike."""
    change = (
        EmailChange.objects.filter(
            public_id=public_id, undone_at=None, changed_at__gt=now - WAY_BACK
        )
        .select_related("person")
        .first()
    )
    if change is None or not hmac.compare_digest(way_back_token(public_id), token):
        raise Http404("no such way back")
    return change


@transaction.atomic
def address_put_back(*, public_id: str, token: str, now: datetime) -> EmailChange:
    """The old address signs in again. Whoever is signed in is signed out, everywhere, and passkeys
    added since the change are taken away: they may be somebody else's."""
    found = way_back_find(public_id=public_id, token=token, now=now)
    Person.objects.select_for_update(no_key=True).get(pk=found.person_id)
    change = EmailChange.objects.select_related("person").get(pk=found.pk)
    if change.undone_at is not None:
        raise Http404("no such way back")
    _address_set(change.person, change.old)
    # Changes made since are taken back with it.
    EmailChange.objects.filter(
        person=change.person, changed_at__gte=change.changed_at, undone_at=None
    ).update(undone_at=now)
    SignIn.objects.filter(person=change.person).delete()
    Passkey.objects.filter(person=change.person, added_at__gte=change.changed_at).delete()
    return change


@job_handler("address.changed")
def address_changed_mail(key: str, now: datetime) -> None:
    change = EmailChange.objects.select_related("person").get(public_id=key)
    path = reverse("address_back", args=[change.public_id, way_back_token(change.public_id)])
    domain = settings.SITE_URL.split("//")[-1].split(":")[0]
    EmailMessage(
        subject="Your sign-in address was changed",
        body=(
            f"Hello {change.person.name or 'there'},\n\n"
            f"since {date_words(change.changed_at)} you sign in to the hoof case board with "
            f"{change.new}, and no longer with this address.\n\n"
            "If that was you, there is nothing to do.\n\n"
            "If it was not, open this page and press the button. It puts this address back and "
            f"signs everybody out. It works for {days_words(WAY_BACK.days)}:\n"
            f"{settings.SITE_URL}{path}\n"
        ),
        to=[change.old],
        headers={"Message-ID": make_msgid_for(f"address-{change.public_id}", domain)},
    ).send()

"""A person's passkeys: added, used and taken away. The person is told by mail."""

from datetime import datetime

from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction
from django.http import Http404

from horses.accounts.passkey_protocol import NewKey, PasskeyWrong
from horses.jobs.outbox import enqueue, job_handler
from horses.models import Passkey, Person
from horses.models.base import new_public_id

MOST = 10  # a person; house default: every phone and computer of a yard


@transaction.atomic
def passkey_add(*, person: Person, key: NewKey, name: str, now: datetime) -> Passkey:
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    if person.passkeys.count() >= MOST:
        raise PasskeyWrong("too many")
    try:
        with transaction.atomic():
            passkey = Passkey.objects.create(
                person=person,
                public_id=new_public_id(),
                name=name,
                added_at=now,
                credential_hash=key.credential_hash,
                public_key=key.public_key,
                sign_count=key.sign_count,
            )
    except IntegrityError:
        raise PasskeyWrong("this key is known already") from None
    enqueue("passkey.added", passkey.public_id, now=now)
    return passkey


def passkey_find(credential_hash: str) -> Passkey | None:
    rows = Passkey.objects.select_related("person")
    return rows.filter(credential_hash=credential_hash).first()


@transaction.atomic
def passkey_used(*, passkey: Passkey, sign_count: int, now: datetime) -> None:
    """Notes the counter. Of two sign-ins with the same counter only one gets in."""
    row = Passkey.objects.select_for_update(no_key=True).filter(pk=passkey.pk).first()
    if row is None or (sign_count <= row.sign_count and (sign_count or row.sign_count)):
        raise PasskeyWrong("used meanwhile")
    row.sign_count, row.used_at = sign_count, now
    row.save(update_fields=["sign_count", "used_at"])


@transaction.atomic
def passkey_remove(*, person: Person, public_id: str) -> str:
    """It opens nothing any more; its name comes back. Http404 for any that is not theirs."""
    row = Passkey.objects.filter(person=person, public_id=public_id).first()
    if row is None:
        raise Http404("no such passkey")
    row.delete()
    return row.name


@job_handler("passkey.added")
def passkey_added_mail(key: str, now: datetime) -> None:
    passkey = Passkey.objects.select_related("person").filter(public_id=key).first()
    if passkey is None:  # taken away again meanwhile
        return
    EmailMessage(
        subject="A passkey was added",
        body=(
            f"Hello {passkey.person.name or 'there'},\n\n"
            f"the passkey “{passkey.name}” signs you in to the hoof case board from now on, beside "
            "the codes we send you.\n\n"
            "If it was not you who added it, sign in, open Me and then “How and where you sign "
            "in”, take it away and end what is not yours.\n"
        ),
        to=[passkey.person.email],
    ).send()

"""Somebody who followed a link to a yard: the account of an address that has been proved."""

from datetime import datetime

from allauth.account.models import EmailAddress
from django.db import IntegrityError, transaction

from caseboard.lib.address_key import address_spelled
from horses.accounts.services.people import name_confirm
from horses.models import Person


def is_known_address(address: str) -> bool:
    """Whether somebody signs in with it already; an account that nobody proved is nobody's."""
    return Person.objects.filter(email__iexact=address, name_unsure=False).exists()


@transaction.atomic
def person_proved(*, address: str, name: str, now: datetime) -> Person:
    """The person of this address, which was just proved; made with this name if there is none. A
    name of somebody's own stays as it is."""
    spelled = address_spelled(address)
    person = Person.objects.filter(email__iexact=spelled).first() or _made(spelled, name)
    if person.name_unsure:
        person = name_confirm(person=person, name=name)
    EmailAddress.objects.update_or_create(
        user=person, email=person.email, defaults={"verified": True, "primary": True}
    )
    return person


def _made(address: str, name: str) -> Person:
    try:
        with transaction.atomic():
            return Person.objects.create_user(address, name)
    except IntegrityError:  # the same button pressed twice
        return Person.objects.get(email__iexact=address)

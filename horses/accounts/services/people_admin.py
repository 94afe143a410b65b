"""What who runs the installation does for people: makes the first account, locks one, erases one.

Not for pages: nobody signs in to do this, and nothing here opens a case to anybody.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from allauth.account.models import EmailAddress
from django.db import IntegrityError, transaction
from django.db.models import Q

from horses.access import TEAM_AUDIENCE, team_lock
from horses.ledger.append import history_append
from horses.models import (
    CalendarFeed,
    Case,
    EmailChange,
    Invitation,
    Membership,
    Passkey,
    Person,
    Picture,
    Role,
    Sale,
    SignIn,
    YardInvitation,
    YardMember,
)
from horses.models.picture import OF_ONE
from horses.services.held import contacts_let_go
from horses.services.pictures import picture_audience, picture_empty

ERASED_HOST = "erased.invalid"  # a name that never resolves (RFC 2606)
WHY_BLANKED = "the person who added it asked for their data to be erased"


class AccountCommandError(Exception):
    """It cannot be done, with the reason in words."""


@dataclass(frozen=True)
class Erased:
    """What went, for who asked."""

    name: str
    boards_left: int
    photos: int
    without_owner: tuple[str, ...]


def person_find(address: str) -> Person:
    person = Person.objects.filter(email__iexact=address.strip()).first()
    if person is None:
        raise AccountCommandError(f"Nobody has the address {address.strip()}.")
    return person


@transaction.atomic
def person_make(*, email: str, name: str) -> Person:
    """An account that signs in by a code sent to this address, which is the proof that it is theirs."""
    try:
        with transaction.atomic():
            person = Person.objects.create_user(email, name)
    except IntegrityError:
        raise AccountCommandError(f"Somebody has the address {email} already.") from None
    EmailAddress.objects.create(user=person, email=person.email, verified=True, primary=True)
    return person


@transaction.atomic
def person_lock(*, person: Person) -> int:
    """Nobody signs in to it until it is unlocked; returns how many sign-ins it ended."""
    Person.objects.filter(pk=person.pk).update(is_active=False)
    return sign_ins_end(person=person)


@transaction.atomic
def person_unlock(*, person: Person) -> None:
    if person.email.endswith(f"@{ERASED_HOST}"):
        raise AccountCommandError("This account was erased: there is no address to send a code to.")
    Person.objects.filter(pk=person.pk).update(is_active=True)


@transaction.atomic
def person_know(*, person: Person, now: datetime) -> None:
    """Whoever runs the installation answers for it that this account is this person's: no team
    shows them as new, and their word about others counts."""
    Person.objects.filter(pk=person.pk, known_at=None).update(known_at=now)


@transaction.atomic
def person_know_not(*, person: Person) -> None:
    Person.objects.filter(pk=person.pk).update(known_at=None)


def sign_ins_end(*, person: Person) -> int:
    return SignIn.objects.filter(person=person).delete()[0]


def only_owner_of(person: Person) -> list[Case]:
    """The open cases that would be left without an owner, or anybody who holds the horse for one."""
    like_owners = Membership.objects.filter(Q(role=Role.OWNER) | Q(holds=True), left_at=None)
    mine, others = like_owners.filter(person=person), like_owners.exclude(person=person)
    cases = Case.objects.filter(closed_at=None, pk__in=mine.values("case_id"))
    alone = cases.exclude(pk__in=others.values("case_id"))
    return list(alone.select_related("horse").order_by("pk"))


@transaction.atomic
def person_erase(*, person: Person, now: datetime, though_last_owner: bool = False) -> Erased:
    """Takes away address, phone, photos, ways in and memberships.

    The name stays where the person agreed, wrote and measured: others rely on those words, and the
    chain of each history covers them.
    """
    row = Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    if row.email.endswith(f"@{ERASED_HOST}"):
        raise AccountCommandError("This account was erased already.")
    alone = only_owner_of(row)
    if alone and not though_last_owner:
        names = ", ".join(f"{case.horse.name} ({case.title})" for case in alone)
        raise AccountCommandError(
            f"{row} is the only owner of {names}, or alone holds them for an owner. Let them be "
            "handed over or their care be ended first, or say --though-last-owner: nobody could "
            "then invite or remove people there."
        )
    left = _boards_leave(row, now)
    YardMember.objects.filter(person=row, ended_at=None).update(ended_at=now)
    contacts_let_go(row, now)
    photos = _photos_blank(row, now)
    _ways_in_away(row)
    old = row.email
    row.email, row.phone = f"{row.public_id}@{ERASED_HOST}", ""
    row.mail_trouble, row.mail_trouble_at, row.is_active = "", None, False
    row.version += 1
    row.save()
    for asked in (Invitation, YardInvitation, Sale):
        asked.objects.filter(email__iexact=old).update(email=f"invited@{ERASED_HOST}")
    return Erased(str(row), left, photos, tuple(case.horse.name for case in alone))


def _boards_leave(person: Person, now: datetime) -> int:
    rows = Membership.objects.filter(person=person, left_at=None).select_related("case")
    count = 0
    for member in rows.order_by("case_id"):
        team_lock(member.case)
        member.left_at = now
        member.save(update_fields=["left_at"])
        history_append(
            case=member.case,
            actor=None,
            role="",
            verb="team.removed",
            subject=person.public_id,
            after={"name": str(person), "role": member.role},
            now=now,
        )
        count += 1
    return count


def _photos_blank(person: Person, now: datetime) -> int:
    pictures = Picture.objects.filter(added_by=person, redacted_at=None)
    rows = list(pictures.select_related("case", *OF_ONE).order_by("case_id", "pk"))
    for picture in rows:
        team_lock(picture.case)
        picture_empty(picture, now)
        told: dict[str, Any] = {
            "case": picture.case,
            "actor": None,
            "role": "",
            "after": {"photo": picture.public_id, "reason": WHY_BLANKED},
            "now": now,
        }
        if picture.flag:
            flag, audience = picture.flag.public_id, TEAM_AUDIENCE
            history_append(verb="flag.photo_blanked", subject=flag, audience=audience, **told)
        else:
            own, audience = picture.public_id, picture_audience(picture)
            history_append(verb="picture.blanked", subject=own, audience=audience, **told)
    return len(rows)


def _ways_in_away(person: Person) -> None:
    SignIn.objects.filter(person=person).delete()
    Passkey.objects.filter(person=person).delete()
    CalendarFeed.objects.filter(person=person).delete()
    EmailChange.objects.filter(person=person).delete()
    EmailAddress.objects.filter(user=person).delete()

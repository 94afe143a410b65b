"""A horse held for an owner who has no account: what is kept of them, and how they take it over.

Decided 2026-11: whoever holds a horse has the owner's rights only where nobody else could use them
(`Rule.holder`): writing down what the horse is, pausing it, asking its owner to join. They never agree
for the owner, and an item is not agreed without one.
"""

from datetime import datetime

from django.core.exceptions import PermissionDenied

from horses.access import CaseAccess
from horses.models import Case, Horse, Membership, OwnerContact, Person, Role
from horses.services.deed import Deed, deed

ONLY_THE_OWNER = (
    "This horse is held for its owner: the owner decides who else is on it. Ask the owner to join."
)


def contact_keep(horse: Horse, by: Person, *, name: str, phone: str, now: datetime) -> OwnerContact:
    """Written once, when the horse is added."""
    return OwnerContact.objects.create(horse=horse, name=name, phone=phone, kept_by=by, kept_at=now)


def contact_show(*, access: CaseAccess, now: datetime) -> OwnerContact | None:
    """The owner asked what is kept of them and was told: a line that does not repeat it."""
    with deed(access, "owner.contact", now=now) as act:
        contact = _contact(access.horse)
        if contact is not None and contact.is_kept:
            act.line("owner.told", access.horse)
        return contact


def contact_erase(*, access: CaseAccess, now: datetime) -> OwnerContact | None:
    """The owner asked for it: name and phone go, and the line does not repeat them."""
    with deed(access, "owner.contact", now=now) as act:
        contact = _contact(access.horse)
        if contact is not None and contact.is_kept:
            _empty(contact, now)
            act.line("owner.erased", access.horse)
        return contact


def contacts_let_go(holder: Person, now: datetime) -> None:
    """The holder is gone for good: what is kept of an owner whose horse nobody holds any more is
    erased, because nobody could show it to them or erase it."""
    held = Membership.objects.filter(holds=True)
    still = held.filter(left_at=None).values("case__horse")
    kept = OwnerContact.objects.select_for_update(no_key=True).filter(erased_at=None)
    theirs = kept.filter(horse__in=held.filter(person=holder).values("case__horse"))
    for contact in theirs.exclude(horse__in=still):
        _empty(contact, now)


def _contact(horse: Horse) -> OwnerContact | None:
    return OwnerContact.objects.select_for_update(no_key=True).filter(horse=horse).first()


def _empty(contact: OwnerContact, now: datetime) -> None:
    contact.name, contact.phone, contact.erased_at = "", "", now
    contact.save(update_fields=["name", "phone", "erased_at"])


def holder_may_ask(access: CaseAccess, role: str) -> None:
    """Whoever holds the horse asks its owner to join, and nobody else."""
    if access.role != Role.OWNER and role != Role.OWNER:
        raise PermissionDenied(ONLY_THE_OWNER)


def taken_over(act: Deed, owner: Membership) -> None:
    """The owner has joined: nobody holds the horse any more, on none of its boards. What was held
    for them they find on every board that was; the phone number is theirs, and not kept twice."""
    holders = Membership.objects.filter(case__horse=act.access.horse, holds=True, left_at=None)
    held = list(holders.select_for_update(no_key=True).order_by("pk"))
    if owner.role != Role.OWNER or not held:
        return
    for case in Case.objects.filter(pk__in={member.case_id for member in held}).order_by("pk"):
        _join_too(act, owner, case)
    holders.update(holds=False)
    contact = _contact(act.access.horse)
    if contact is not None and contact.is_kept:
        if contact.phone and not owner.person.phone:
            Person.objects.filter(pk=owner.person_id).update(phone=contact.phone)
        _empty(contact, act.now)
    act.line("owner.took_over", act.access.horse)


def _join_too(act: Deed, owner: Membership, case: Case) -> None:
    there = Membership.objects.filter(case=case, person=owner.person, left_at=None)
    if there.exists():
        return
    Membership.objects.create(
        case=case,
        person=owner.person,
        role=Role.OWNER,
        joined_at=act.now,
        invited_by=owner.invited_by,
    )
    here = CaseAccess(owner.person, case, Role.OWNER)
    act.on(here).line("team.joined", owner.person, after={"role": Role.OWNER, "stand_in": False})

"""Notes: text with an audience that always holds the writer's own role."""

from datetime import datetime

from django.db import transaction
from django.http import Http404

from horses.access import CaseAccess, audience_of, readable_by, require
from horses.ledger.append import history_append
from horses.models import Flag, Note, Role
from horses.notices.create import notify
from horses.services.idempotency import idempotent


class AudienceRefused(Exception):
    """The set of readers cannot stand, with the reason in words."""


def audience_checked(access: CaseAccess, roles: frozenset[str]) -> str:
    """The stored audience. The writer's own role is always in it: nobody writes into the dark."""
    unknown = roles - set(Role.values)
    if unknown or not roles:
        raise AudienceRefused("Choose who may read it.")
    if access.role not in roles:
        raise AudienceRefused(f"Your own side ({access.role.label}) always reads what you write.")
    return audience_of(roles)


def note_make(
    access: CaseAccess,
    *,
    body: str,
    audience: frozenset[str],
    now: datetime,
    flag: Flag | None = None,
    corrects: Note | None = None,
    tell: bool = True,
) -> Note:
    """Writes the row, its history line and the notices; the caller has asked for the right.

    `tell` False: the caller's own notice carries the words already.
    """
    stored = audience_checked(access, audience)
    note = Note.objects.create(
        case=access.case, author=access.person, author_role=access.role, audience=stored,
        body=body, written_at=now, flag=flag, corrects=corrects,
    )  # fmt: skip
    verb = "note.corrected" if corrects else "note.written"
    history_append(
        case=access.case, actor=access.person, role=access.role, verb=verb,
        subject=note.public_id, audience=stored, after={"body": body}, now=now, rows=[note],
    )  # fmt: skip
    if tell:
        notify(
            event=f"{verb}:{note.public_id}", case=access.case, verb=verb,
            subject=f"{access.horse.name}: {access.person} wrote a note",
            body=body, audience=stored, actor=access.person, now=now,
        )  # fmt: skip
    return note


@transaction.atomic
def note_write(
    *,
    access: CaseAccess,
    body: str,
    audience: frozenset[str],
    corrects_id: str = "",
    client_key: str = "",
    now: datetime,
) -> Note:
    """Writes a note, or a later note that corrects one's own earlier one."""
    require(access, "note.write")
    audience_checked(access, audience)
    corrects = None
    if corrects_id:
        corrects = Note.objects.filter(
            readable_by(access), case=access.case, public_id=corrects_id,
            author=access.person,
        ).first()  # fmt: skip
        if corrects is None:
            raise Http404("no such note")
        if not set(corrects.audience_roles) <= audience:
            raise AudienceRefused(
                "A correction goes to at least the same readers: those who have read the old words "
                "must not be left with them."
            )
    payload = {
        "case": access.case.public_id, "body": body, "audience": sorted(audience),
        "corrects": corrects_id,
    }  # fmt: skip
    return idempotent(
        access.person, client_key, payload, now=now, model=Note,
        make=lambda: note_make(
            access, body=body, audience=audience, corrects=corrects, now=now,
            flag=corrects.flag if corrects else None,  # it stays with the flag that it answers
        ),
    )  # fmt: skip

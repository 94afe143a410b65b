"""Notes: text with an audience that always holds the writer's own role."""

from datetime import datetime

from django.db import transaction
from django.http import Http404

from horses.access import Standing, audience_of, readable_by, require
from horses.ledger.append import history_append
from horses.models import Flag, Note, Role
from horses.notices.create import notice_event
from horses.services.idempotency import once


class AudienceRefused(Exception):
    """The set of readers cannot stand, with the reason in words."""


def audience_checked(standing: Standing, roles: frozenset[str]) -> str:
    """The stored audience. The writer's own role is always in it: nobody writes into the dark."""
    unknown = roles - set(Role.values)
    if unknown or not roles:
        raise AudienceRefused("Choose who may read it.")
    if standing.role not in roles:
        raise AudienceRefused(f"Your own side ({standing.role.label}) always reads what you write.")
    return audience_of(roles)


def note_make(
    standing: Standing,
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
    stored = audience_checked(standing, audience)
    note = Note.objects.create(
        case=standing.case, author=standing.person, author_role=standing.role, audience=stored,
        body=body, written_at=now, flag=flag, corrects=corrects,
    )  # fmt: skip
    verb = "note.corrected" if corrects else "note.written"
    history_append(
        case=standing.case, actor=standing.person, role=standing.role, verb=verb,
        subject=note.public_id, audience=stored, after={"body": body}, now=now, rows=[note],
    )  # fmt: skip
    if tell:
        notice_event(
            event=f"{verb}:{note.public_id}", case=standing.case, verb=verb,
            subject=f"{standing.horse.name}: {standing.person} wrote a note",
            body=body, audience=stored, actor=standing.person, now=now,
        )  # fmt: skip
    return note


@transaction.atomic
def note_write(
    *,
    standing: Standing,
    body: str,
    audience: frozenset[str],
    corrects_id: str = "",
    client_key: str = "",
    now: datetime,
) -> Note:
    """Writes a note, or a later note that corrects one's own earlier one."""
    require(standing, "note.write")
    audience_checked(standing, audience)
    corrects = None
    if corrects_id:
        corrects = Note.objects.filter(
            readable_by(standing), case=standing.case, public_id=corrects_id,
            author=standing.person,
        ).first()  # fmt: skip
        if corrects is None:
            raise Http404("no such note")
        if not set(corrects.audience_roles) <= audience:
            raise AudienceRefused(
                "A correction goes to at least the same readers: those who have read the old words "
                "must not be left with them."
            )
    payload = {
        "case": standing.case.public_id, "body": body, "audience": sorted(audience),
        "corrects": corrects_id,
    }  # fmt: skip
    return once(
        standing.person, client_key, payload, now=now, model=Note,
        make=lambda: note_make(
            standing, body=body, audience=audience, corrects=corrects, now=now,
            flag=corrects.flag if corrects else None,  # it stays with the flag that it answers
        ),
    )  # fmt: skip

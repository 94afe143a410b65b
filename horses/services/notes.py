"""Notes: text with an audience that always holds the writer's own role."""

from datetime import datetime

from django.http import Http404

from horses.access import EVERYONE, CaseAccess, audience_of, readable_by
from horses.models import Flag, Note, Role
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.pictures import NO_PICTURES, Taken, pictures_attach


def audience_checked(access: CaseAccess, roles: frozenset[str]) -> str:
    """The stored audience. The writer's own role is always in it: nobody writes into the dark."""
    unknown = roles - set(Role.values)
    if unknown or not roles:
        raise DeedRefused("Choose who may read it.", field="audience")
    if access.role not in roles:
        words = f"Your own side ({access.role.label}) always reads what you write."
        raise DeedRefused(words, field="audience")
    if access.role == Role.CARER and roles != EVERYONE:
        raise DeedRefused("A carer writes to the whole team.", field="audience")
    return audience_of(roles)


def note_make(
    act: Deed,
    *,
    body: str,
    audience: frozenset[str],
    flag: Flag | None = None,
    corrects: Note | None = None,
    tell: bool = True,
) -> Note:
    """Writes the row, its line and the notices, within a deed that has asked for the right.

    `tell` False: the caller's own notice carries the words already.
    """
    access = act.access
    stored = audience_checked(access, audience)
    note = act.row(
        Note.objects.create(
            case=access.case,
            author=access.person,
            author_role=access.role,
            audience=stored,
            body=body,
            written_at=act.now,
            flag=flag,
            corrects=corrects,
        )
    )
    verb = "note.corrected" if corrects else "note.written"
    act.line(verb, note, after={"body": body}, audience=stored)
    if tell:
        subject = f"{access.horse.name}: {access.person} wrote a note"
        act.tell(verb, note, subject, body=body, audience=stored)
    return note


def note_write(
    *,
    access: CaseAccess,
    body: str,
    audience: frozenset[str],
    corrects_id: str = "",
    taken: Taken = NO_PICTURES,
    client_key: str = "",
    now: datetime,
) -> Note:
    """Writes a note, with its pictures, or a later note that corrects one's own earlier one."""
    with deed(access, "note.write", now=now, key=client_key) as act:
        audience_checked(access, audience)
        corrects = _to_correct(access, corrects_id, audience) if corrects_id else None
        payload = {
            "case": access.case.public_id,
            "body": body,
            "audience": sorted(audience),
            "corrects": corrects_id,
            **taken.payload,
        }
        if earlier := act.made_before(Note, payload):
            return earlier
        flag = corrects.flag if corrects else None  # it stays with the flag that it answers
        note = note_make(act, body=body, audience=audience, corrects=corrects, flag=flag)
        pictures_attach(act, taken, note)
        return act.made(note)


def _to_correct(access: CaseAccess, note_id: str, audience: frozenset[str]) -> Note:
    own = Note.objects.filter(readable_by(access), case=access.case, author=access.person)
    note = own.filter(public_id=note_id).first()
    if note is None:
        raise Http404("no such note")
    if not set(note.audience_roles) <= audience:
        raise DeedRefused(
            "A correction goes to at least the same readers: those who have read the old words "
            "must not be left with them.",
            field="audience",
        )
    return note

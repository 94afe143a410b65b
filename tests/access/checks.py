"""Quick forms of the access tests, for the seeded faults: each yields what it finds wrong."""

from collections.abc import Callable, Iterator
from datetime import datetime

from django.core import mail
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404
from django.urls import reverse

from horses.access import POLICY, access_get
from horses.models import Membership, Note, Notice, Picture
from horses.notices.send import notice_mail
from horses.queries.board import history_for, notes_for
from horses.queries.pictures import pictures_for
from horses.services.deed import DeedRefused
from horses.services.notes import note_write
from horses.services.pictures import Taken, picture_blank
from tests import build
from tests.access.people import MEMBERS, People
from tests.access.table import CASE_ROWS, address, outcome
from tests.deed import Deed
from tests.deeds import DEEDS
from tests.rights import ASKS_AGAIN, HOLDERS, RIGHTS, allowed
from tests.stage import Stage, photo

Wrong = Iterator[str]
Check = Callable[[Stage, People, datetime], Wrong]
KNOCKERS = ("anonymous", "removed", "other_owner")


def the_policy(stage: Stage, people: People, now: datetime) -> Wrong:
    for action, (roles, closed_too) in RIGHTS.items():
        rule = POLICY[action]
        wrong_roles = set(rule.roles) != set(roles) or rule.open_case_only is closed_too
        marks = (rule.asks_again, rule.holder)
        if wrong_roles or marks != (action in ASKS_AGAIN, action in HOLDERS):
            yield action


def the_pages(stage: Stage, people: People, now: datetime) -> Wrong:
    for name, row in CASE_ROWS.items():
        if "GET" not in row.methods.split() or name in ("sheet_pdf", "sheet_issue", "blank_pdf"):
            continue
        for who in KNOCKERS:
            response = people.client(who).get(address(name, stage, who))
            if outcome(response) != row.expected("GET", who):
                yield f"{name} for {who}"


def _did(deed: Deed, stage: Stage, role: str, now: datetime, *, access: object = None) -> bool:
    sid = transaction.savepoint()
    try:
        deed(stage, access or stage.access(role), now)  # type: ignore[arg-type]
    except (PermissionDenied, Http404):
        return False
    finally:
        transaction.savepoint_rollback(sid)
    return True


def the_services(stage: Stage, people: People, now: datetime) -> Wrong:
    for deed in DEEDS:
        for role in dict.fromkeys(MEMBERS.values()):
            if not allowed(deed.action, role) and _did(deed, stage, role, now):
                yield f"{deed.name} by the {role}"


def old_standings(stage: Stage, people: People, now: datetime) -> Wrong:
    held = {role: stage.access(role) for role in ("owner", "vet")}
    sid = transaction.savepoint()
    Membership.objects.filter(case=stage.cast.concern, person=stage.cast.vet).update(left_at=now)
    Membership.objects.filter(case=stage.cast.concern, person=stage.cast.owner).update(role="carer")
    for deed in DEEDS:
        for role, access in held.items():
            if allowed(deed.action, role) and _did(deed, stage, role, now, access=access):
                yield f"{deed.name} by who was {role}"
    transaction.savepoint_rollback(sid)


def the_readers(stage: Stage, people: People, now: datetime) -> Wrong:
    newest = max(Notice.objects.values_list("pk", flat=True), default=0)
    note = note_write(
        access=stage.access("vet"),
        body="For two.",
        audience=frozenset({"vet", "farrier"}),
        now=now,
    )
    for who, role in MEMBERS.items():
        access = stage.access(who)
        reads = notes_for(access).filter(pk=note.pk).exists()
        line = history_for(access).filter(subject=note.public_id).exists()
        if (reads, line) != (role in ("vet", "farrier"),) * 2:
            yield f"{role} reads it: {reads}, {line}"
    told = Notice.objects.filter(pk__gt=newest).values_list("person__name", flat=True)
    if set(told) != {"Finn Farrier", "Stina Standin"}:
        yield f"told: {sorted(set(told))}"


def the_writers(stage: Stage, people: People, now: datetime) -> Wrong:
    """Nobody writes for others only, and nobody corrects what they can read no more."""
    try:
        build.note(stage.access("vet"), now, "Into the dark.", {"owner"})
        yield "a note without its writer's role"
    except DeedRefused as refused:
        if refused.field != "audience":
            yield f"refused for another reason: {refused}"
    note = build.note(stage.access("vet"), now, "As a vet.", {"vet"})
    Membership.objects.filter(case=stage.cast.concern, person=stage.cast.vet).update(role="owner")
    access = access_get(stage.cast.vet, stage.cast.concern.public_id)
    try:
        note_write(
            access=access,
            body="As an owner.",
            audience=build.TEAM,
            corrects_id=note.public_id,
            now=now,
        )
        yield "a correction of a note that one's role does not read"
    except Http404:
        pass
    except DeedRefused as refused:
        if refused.field != "audience":
            yield f"refused for another reason: {refused}"
    Membership.objects.filter(case=stage.cast.concern, person=stage.cast.vet).update(role="vet")


def the_pictures(stage: Stage, people: People, now: datetime) -> Wrong:
    """A note's picture is its readers'. Who is no owner blanks out only what they added themselves."""
    note = note_write(
        access=stage.access("vet"),
        body="For two.",
        audience=frozenset({"vet", "farrier"}),
        taken=Taken([photo()]),
        now=now,
    )
    picture = Picture.objects.get(note=note)
    for who, role in MEMBERS.items():
        sees = pictures_for(stage.access(who)).filter(pk=picture.pk).exists()
        if sees != (role in ("vet", "farrier")):
            yield f"{role} sees it: {sees}"
    of_the_owner = stage.photo.public_id
    path = reverse("picture_blank", args=[stage.cast.concern.public_id, of_the_owner])
    for who in ("farrier", "carer"):
        if people.client(who).get(path).status_code != 403:
            yield f"{who} is asked to blank out the owner's"
        if _blanked(stage, who, of_the_owner, now):
            yield f"{who} blanked out the owner's"


def _blanked(stage: Stage, who: str, picture_id: str, now: datetime) -> bool:
    sid = transaction.savepoint()
    try:
        picture_blank(access=stage.access(who), picture_id=picture_id, reason="A face", now=now)
    except PermissionDenied:
        return False
    finally:
        transaction.savepoint_rollback(sid)
    return True


def who_left(stage: Stage, people: People, now: datetime) -> Wrong:
    """Mail that waits and notices that lie there, of somebody who leaves."""
    build.note(stage.access("owner"), now, "Still waiting.")
    waiting = Notice.objects.get(
        person=stage.cast.vet,
        channel="mail",
        subject__contains="wrote a note",
        body="Still waiting.",
    )
    Membership.objects.filter(person=stage.cast.vet).update(left_at=now)
    notice_mail(waiting.public_id, now)
    if any("Still waiting." in sent.body for sent in mail.outbox):
        yield "mail to who left"
    if b"Still waiting." in people.client("vet").get("/notices/").content:
        yield "notices of who left"
    if Note.objects.filter(body="Still waiting.").count() != 1:
        yield "the note itself is gone"


CHECKS: tuple[Check, ...] = (
    the_policy,
    the_readers,
    the_writers,
    the_pictures,
    the_services,
    old_standings,
    the_pages,
    who_left,
)


def first_wrong(stage: Stage, people: People, now: datetime) -> str:
    """The first thing found wrong, or nothing; whatever the checks did is undone."""
    for who in (*KNOCKERS, *MEMBERS):
        people.client(
            who
        )  # signed in here: undone with a check, the sign-in would look like a fault
    for check in CHECKS:
        sid = transaction.savepoint()
        try:
            for wrong in check(stage, people, now):
                return f"{check.__name__}: {wrong}"
        finally:
            transaction.savepoint_rollback(sid)
            mail.outbox.clear()
    return ""

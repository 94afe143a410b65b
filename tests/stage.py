"""One of everything on a case, made through the services: what the deeds and the pages act on."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from caseboard.lib.photo import Photo
from horses.access import CaseAccess
from horses.models import (
    Alert,
    Exam,
    Flag,
    Invitation,
    Look,
    Membership,
    Note,
    Person,
    Picture,
    PlanItem,
    PlanSheet,
    Role,
    Stay,
    Visit,
    Yard,
)
from horses.rules.engine import Finding
from horses.services.exams import FootFound, Grade, exam_record
from horses.services.flags import flag_answer
from horses.services.held import contact_keep
from horses.services.invitations import invitation_create
from horses.services.looks import look_mark
from horses.services.photos import flag_raise_with_photos
from horses.services.plan import latest_version, plan_item_decide
from horses.services.visit_planning import visit_plan
from horses.services.visit_word import visit_report
from measurements.models import Reading
from tests import build
from tests.cast import Cast, person

# The smallest file that browsers take for a JPEG; nothing here decodes it.
JPEG = bytes.fromhex("ffd8ffe000104a46494600010100000100010000ffd9")


@dataclass
class Stage:
    cast: Cast
    flag: Flag
    photo: Picture
    lost_shoe: Flag
    note: Note
    exam: Exam
    item: PlanItem  # proposed by the vet, not therapeutic, the owner's job
    items_of: dict[str, PlanItem]  # the same, the job of another role
    therapeutic: PlanItem  # proposed by the vet
    asked: PlanItem  # the carer's job; the farrier asks for a change to it
    alert: Alert
    invitation: Invitation
    planned: Visit
    kept: Visit  # the farrier wrote it up
    reports: dict[str, Visit]  # by role: a farrier's visit of long ago that each reported
    reported_of: dict[str, Visit]  # by role: a report of its work that waits for its word
    asked_about: Visit  # a vet visit whose day has passed without a word
    sheet: PlanSheet
    readings: dict[str, Reading]  # by role: one that each recorded
    looks: dict[str, Look]  # by role: one that each may still take back
    seen_seq: int = 0  # the state of the board that a sheet was issued from

    def person(self, role: str) -> Person:
        found: Person = getattr(self.cast, role)
        return found

    def access(self, role: str) -> CaseAccess:
        return self.cast.access(self.person(role), self.cast.concern)

    def member(self, role: str) -> Membership:
        return Membership.objects.get(
            case=self.cast.concern, person=self.person(role), left_at=None
        )


def photo(content: bytes = JPEG) -> Photo:
    return Photo(content, 8, 8, hashlib.sha256(content).hexdigest())


def set_stage(cast: Cast, now: datetime) -> Stage:
    """Everything hangs on the concern: it has the whole team and can be closed."""
    at = now - timedelta(days=3)
    looks = _looks(cast, now - timedelta(minutes=5))  # before a flag is open
    owner, vet, farrier = (
        cast.access(who, cast.concern) for who in (cast.owner, cast.vet, cast.farrier)
    )
    flag = flag_raise_with_photos(
        access=owner,
        signs=["short_stride"],
        feet=["LF"],
        since_on=None,
        words="Short on stones",
        photos=[photo()],
        now=at,
    )
    exam = exam_record(
        access=vet,
        examined_at=at,
        feet=[FootFound("LF", pulse=1)],
        grade=Grade("aaep", 2),
        words="Mild in front.",
        now=at,
    )
    readings = {
        role: build.reading(who, at, foot, "toe_angle", 51, at.date())
        for role, who, foot in (
            ("owner", owner, "LH"),
            ("vet", vet, "RF"),
            ("farrier", farrier, "LF"),
        )
    }
    talk = Finding("test.rule", "LF", "A test alert", "A thing to talk about.", case=cast.concern)
    build.alert(cast.horse, talk, at)
    item = build.plan_item(vet, at, text="Soft ground only.")
    items_of = {
        role: build.plan_item(vet, at, text=f"For the {role}.", who_does=role)
        for role in ("farrier", "vet")
    }
    kept = build.visit(farrier, at, at.date(), words="All four.")
    planned = visit_plan(access=farrier, on=(now + timedelta(days=9)).date(), now=at)
    contact_keep(cast.horse, cast.farrier, name="Orla Kept", phone="0100 200 399", now=at)
    reports = _reports(cast, at)
    of_vet = visit_report(
        access=owner, on=at.date() - timedelta(days=90), kind=Visit.Kind.VET, now=at
    )
    asked_about = visit_plan(access=vet, on=at.date(), kind=Visit.Kind.VET, now=at)
    note = build.note(vet, at, "For the whole team.")
    lost_shoe = build.flag(owner, at, "lost_shoe", feet=["RH"])
    asked = _asked_about(vet, farrier, at)
    # the stand-in is new on this board: an owner who is no longer there brought them
    former = person("Olga Former")
    stand_in = Membership.objects.filter(case=cast.concern, person=cast.stand_in, left_at=None)
    stand_in.update(invited_by=former)
    # as planned before it was written down by whom: every role may confirm it
    Visit.objects.filter(pk=planned.pk).update(planned_by_role="")
    yard = Yard.objects.create(name="Stage yard", time_zone="UTC", created_at=at, created_by=former)
    Stay.objects.create(horse=cast.horse, yard=yard, from_at=at)  # nobody came on it through that
    return Stage(
        cast=cast,
        flag=flag,
        photo=flag.pictures.get(),
        lost_shoe=lost_shoe,
        note=note,
        exam=exam,
        item=item,
        items_of=items_of,
        therapeutic=build.plan_item(vet, at, text="Wedges in front.", therapeutic=True),
        asked=asked,
        alert=Alert.objects.get(rule="test.rule"),
        invitation=invitation_create(access=owner, email=cast.invited.email, role=Role.VET, now=at),
        planned=planned,
        kept=kept,
        reports=reports,
        reported_of={"farrier": reports["owner"], "vet": of_vet},
        asked_about=asked_about,
        sheet=build.sheet(owner, at),
        readings=readings,
        looks=looks,
    )


def _reports(cast: Cast, at: datetime) -> dict[str, Visit]:
    made = {}
    for number, role in enumerate(("owner", "carer", "vet", "farrier"), start=1):
        access = cast.access(getattr(cast, role), cast.concern)
        on = at.date() - timedelta(days=90 * number)
        made[role] = visit_report(access=access, on=on, now=at)
    return made


def _looks(cast: Cast, at: datetime) -> dict[str, Look]:
    whose = {"owner": cast.owner, "farrier": cast.farrier, "vet": cast.vet, "carer": cast.carer}
    return {
        role: look_mark(access=cast.access(who, cast.concern), now=at)
        for role, who in whose.items()
    }


def _asked_about(vet: CaseAccess, farrier: CaseAccess, at: datetime) -> PlanItem:
    item = build.plan_item(vet, at, text="Hose daily.", who_does="carer")
    plan_item_decide(
        access=farrier,
        item_id=item.public_id,
        seen_hash=latest_version(item).content_hash,
        decision="ask",
        reason="For how long?",
        now=at,
    )
    return item


def urgent_flag(stage: Stage, now: datetime) -> Flag:
    return build.flag(stage.access("owner"), now, "in_sole")


def answer(stage: Stage, role: str, flag: Flag, now: datetime, words: str = "Seen.") -> None:
    flag_answer(access=stage.access(role), flag_id=flag.public_id, words=words, now=now)

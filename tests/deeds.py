"""Every deed of the services once, with the right it needs, so that what holds for all of them is
tested on all of them.

A deed is done by an access, with a client key where it has one, and `twist` makes the same deed
with another content.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from horses.access import CaseAccess
from horses.models import Case, FlagAnswer
from horses.services.alerts import alert_answer, alert_see
from horses.services.cases import case_close, case_open
from horses.services.exam_correct import exam_correct, exam_void
from horses.services.exams import FootFound, Grade, exam_record
from horses.services.exports import case_export_note
from horses.services.flags import flag_answer, flag_raise
from horses.services.handover import hand_over
from horses.services.horses import horse_edit, horse_set_state, weight_record
from horses.services.interval import IntervalWish, interval_set
from horses.services.invitations import (
    invitation_create,
    invitation_resend,
    invitation_revoke,
)
from horses.services.notes import note_write
from horses.services.photos import flag_photos_add, flag_raise_with_photos, photo_blank
from horses.services.plan import (
    latest_version,
    plan_item_decide,
    plan_item_propose,
    plan_item_revise,
)
from horses.services.plan_end import plan_item_finish
from horses.services.plan_words import plan_item_reply
from horses.services.sheets import sheet_issue
from horses.services.shoes import shoe_back
from horses.services.team import member_confirm, member_remove
from horses.services.toe_direction import stance_note
from horses.services.visit_planning import visit_cancel, visit_confirm, visit_plan
from horses.services.visits import WorkDone, visit_record
from measurements.services.readings import reading_correct, readings_record
from measurements.services.targets import target_set
from measurements.services.visit_correct import visit_put_right
from measurements.services.visit_record import visit_write_up
from measurements.services.visit_void import visit_take_back
from tests import build
from tests.stage import JPEG, Stage, photo

Do = Callable[[Stage, CaseAccess, dict[str, Any], bool], Any]


@dataclass(frozen=True)
class Deed:
    name: str
    action: str  # the row of the policy it asks for
    verb: str  # the history line it leaves
    do: Do
    keyed: bool = False
    tells: bool = False  # whether the others get a notice

    def __call__(
        self,
        stage: Stage,
        access: CaseAccess,
        now: datetime,
        *,
        key: str = "",
        twist: bool = False,
    ) -> Any:
        shared: dict[str, Any] = {"access": access, "now": now}
        if self.keyed:
            shared["client_key"] = key
        return self.do(stage, access, shared, twist)


def _today(shared: dict[str, Any]) -> Any:
    return shared["now"].date()


def _work() -> list[WorkDone]:
    return [WorkDone(foot=foot, trimmed=True, shoeing_left="shod") for foot in ("LF", "RF")]


def _decide(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    return plan_item_decide(
        item_id=stage.item.public_id,
        seen_hash=latest_version(stage.item).content_hash,
        decision="agree",
        **shared,
    )


def _finish(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    """Each role finishes what is its own job; the stage's item is the owner's."""
    item = stage.item if access.role not in ("farrier", "vet") else stage.items_of[access.role]
    return plan_item_finish(item_id=item.public_id, status="done", reason="", **shared)


def _revise(therapeutic: bool) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        content = build.content("Softer ground still.", therapeutic=therapeutic)
        return plan_item_revise(
            item_id=stage.item.public_id, seen_version=1, content=content, **shared
        )

    return do


def _propose(therapeutic: bool) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        text = "Walk less." if twist else "Walk in hand daily."
        return plan_item_propose(content=build.content(text, therapeutic=therapeutic), **shared)

    return do


def _set_alone(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    text = "Box rest today." if twist else "Box rest from now."
    content = build.content(text, therapeutic=True, emergency=True, reason="It cannot wait.")
    return plan_item_propose(content=content, **shared)


def _reply(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    words = "Not before Friday." if twist else "Two weeks are enough."
    return plan_item_reply(item_id=stage.asked.public_id, words=words, **shared)


def _target(therapeutic: bool) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        high = Decimal(55 if twist else 54)
        return target_set(band=build.band(therapeutic=therapeutic, high=high), **shared)

    return do


def _issue(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    """What it says does not matter here; `twist` is another state of the board."""
    seen = Case.objects.get(pk=access.case.pk).last_seq
    stage.seen_seq = seen if not stage.seen_seq or twist else stage.seen_seq
    return sheet_issue(content={"of": "a test"}, seen_seq=stage.seen_seq, **shared)


def _answer(kind: str) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        words = "I come tomorrow." if twist else "I come today."
        return flag_answer(flag_id=stage.flag.public_id, words=words, kind=kind, **shared)

    return do


def _readings(source: str) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        value = 52 if twist else 50
        rows = [build.taken("LF", "toe_angle", value), build.taken("RF", "toe_angle", 51)]
        return readings_record(taken_on=_today(shared), readings=rows, source=source, **shared)[0]

    return do


def _correct(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    own = stage.readings.get(str(access.role), stage.readings["owner"])
    taken = replace(build.taken(own.foot, "toe_angle", 49))
    return reading_correct(reading_id=own.public_id, taken=taken, reason="Slipped.", **shared)


def _edit(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    return horse_edit(version=access.horse.version, fields={"yard": "Upper yard"}, **shared)


def _write_up(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    rows = [build.taken("LF", "toe_angle", 53 if twist else 52)]
    return visit_write_up(kept_on=_today(shared), work=_work(), readings=rows, **shared)


ANSWERED, PHONED = FlagAnswer.Kind.ANSWERED, FlagAnswer.Kind.VET_PHONED

DEEDS: tuple[Deed, ...] = (
    Deed(
        "see an alert",
        "alert.see",
        "alert.seen",
        lambda st, s, k, t: alert_see(alert_id=st.alert.public_id, **k),
    ),
    Deed(
        "answer an alert",
        "alert.answer",
        "alert.answered",
        lambda st, s, k, t: alert_answer(
            alert_id=st.alert.public_id, words="No." if t else "Yes.", **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "open a case",
        "case.open",
        "case.opened",
        lambda st, s, k, t: case_open(title="Right hind" if t else "Left hind", why="Hot.", **k),
        keyed=True,
        tells=True,
    ),
    Deed(
        "close a case",
        "case.close",
        "case.closed",
        lambda st, s, k, t: case_close(outcome="met", words="Sound again.", **k),
        tells=True,
    ),
    Deed(
        "take a copy of the case",
        "case.export",
        "case.exported",
        lambda st, s, k, t: case_export_note(**k),
    ),
    Deed(
        "record an examination",
        "exam.record",
        "exam.recorded",
        lambda st, s, k, t: exam_record(
            examined_at=k["now"],
            feet=[FootFound("LF", pulse=2)],
            grade=Grade("aaep", 1),
            words="Worse" if t else "Better",
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "raise a flag",
        "flag.raise",
        "flag.raised",
        lambda st, s, k, t: flag_raise(
            signs=["crack"], feet=["RH"], since_on=None, words="new" if t else "old", **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "raise a flag with a photo",
        "flag.raise",
        "flag.photo_added",
        lambda st, s, k, t: flag_raise_with_photos(
            signs=["crack"],
            feet=["RH"],
            since_on=None,
            words="new" if t else "old",
            photos=[photo()],
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "add a photo to a flag",
        "flag.photo",
        "flag.photo_added",
        lambda st, s, k, t: flag_photos_add(
            flag_id=st.flag.public_id, photos=[photo(JPEG + b"2" if t else JPEG)], **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "answer a flag", "flag.answer", "flag.answered", _answer(ANSWERED), keyed=True, tells=True
    ),
    Deed(
        "write down what the vet said",
        "flag.vet_phoned",
        "flag.answered",
        _answer(PHONED),
        keyed=True,
        tells=True,
    ),
    Deed(
        "say that a lost shoe is back",
        "shoe.back",
        "shoe.back",
        lambda st, s, k, t: shoe_back(
            flag_id=st.lost_shoe.public_id,
            kind="new" if t else "back",
            feet=["RH"],
            on=_today(k),
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "blank out a photo",
        "flag.redact",
        "flag.photo_blanked",
        lambda st, s, k, t: photo_blank(
            flag_id=st.flag.public_id, photo_id=st.photo.public_id, reason="A person", **k
        ),
    ),
    Deed("edit the horse", "horse.edit", "horse.edited", _edit),
    Deed(
        "pause the horse",
        "horse.pause",
        "horse.paused",
        lambda st, s, k, t: horse_set_state(state="paused", reason="Winter", **k),
        tells=True,
    ),
    Deed(
        "weigh the horse",
        "horse.weigh",
        "horse.weighed",
        lambda st, s, k, t: weight_record(
            weight_kg=Decimal(510 if t else 500),
            entered_value=Decimal(510 if t else 500),
            entered_unit="kg",
            method="tape",
            weighed_on=_today(k),
            **k,
        ),
        keyed=True,
    ),
    Deed(
        "invite somebody",
        "team.invite",
        "team.invited",
        lambda st, s, k, t: invitation_create(email="new@example.test", role="vet", **k),
    ),
    Deed(
        "hand over to another farrier",
        "team.hand_over",
        "team.hand_over",
        lambda st, s, k, t: hand_over(
            membership_id=st.member("stand_in").public_id,
            email="new@example.test",
            board_ids=[st.cast.concern.public_id],
            leaves_now=False,
            **k,
        ),
    ),
    Deed(
        "send an invitation again",
        "team.invite",
        "team.invited",
        lambda st, s, k, t: invitation_resend(public_id=st.invitation.public_id, **k),
    ),
    Deed(
        "take an invitation back",
        "team.uninvite",
        "team.invite_revoked",
        lambda st, s, k, t: invitation_revoke(public_id=st.invitation.public_id, **k),
    ),
    Deed(
        "confirm a newcomer",
        "team.confirm",
        "team.confirmed",
        lambda st, s, k, t: member_confirm(membership_id=st.member("stand_in").public_id, **k),
        tells=True,
    ),
    Deed("issue a plan sheet", "sheet.issue", "sheet.issued", _issue, keyed=True, tells=True),
    Deed(
        "write a note",
        "note.write",
        "note.written",
        lambda st, s, k, t: note_write(body="Two." if t else "One.", audience=build.TEAM, **k),
        keyed=True,
        tells=True,
    ),
    Deed(
        "propose a plan item",
        "plan.propose",
        "plan.item.proposed",
        _propose(False),
        keyed=True,
        tells=True,
    ),
    Deed(
        "propose a therapeutic item",
        "plan.therapeutic",
        "plan.item.proposed",
        _propose(True),
        keyed=True,
        tells=True,
    ),
    Deed("change a plan item", "plan.propose", "plan.item.changed", _revise(False), tells=True),
    Deed(
        "make a plan item therapeutic",
        "plan.therapeutic",
        "plan.item.changed",
        _revise(True),
        tells=True,
    ),
    Deed(
        "set an item alone",
        "plan.emergency",
        "plan.item.proposed",
        _set_alone,
        keyed=True,
        tells=True,
    ),
    Deed(
        "reply about a plan item", "plan.reply", "plan.item.replied", _reply, keyed=True, tells=True
    ),
    Deed("agree to a plan item", "plan.agree", "plan.item.agreed", _decide, tells=True),
    Deed(
        "agree to a therapeutic item",
        "plan.agree_therapeutic",
        "plan.item.agreed",
        lambda st, s, k, t: plan_item_decide(
            item_id=st.therapeutic.public_id,
            seen_hash=latest_version(st.therapeutic).content_hash,
            decision="agree",
            reason="Until May." if t else "Good.",
            **k,
        ),
        tells=True,
    ),
    Deed("finish a plan item", "plan.finish", "plan.item.done", _finish, tells=True),
    Deed(
        "remove somebody",
        "team.remove",
        "team.removed",
        lambda st, s, k, t: member_remove(membership_id=st.member("stand_in").public_id, **k),
        tells=True,
    ),
    Deed(
        "record the work on the feet",
        "work.record",
        "visit.kept",
        lambda st, s, k, t: visit_record(
            kept_on=_today(k), work=_work(), words="two" if t else "one", **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed("write up a visit", "work.record", "readings.recorded", _write_up, keyed=True, tells=True),
    Deed(
        "plan a visit",
        "visit.plan",
        "visit.moved",
        lambda st, s, k, t: visit_plan(on=_today(k) + timedelta(days=4), **k),
        tells=True,
    ),
    Deed(
        "confirm a visit",
        "visit.confirm",
        "visit.confirmed",
        lambda st, s, k, t: visit_confirm(public_id=st.planned.public_id, **k),
        tells=True,
    ),
    Deed(
        "set the time between trims",
        "interval.set",
        "interval.set",
        lambda st, s, k, t: interval_set(wish=IntervalWish("team", 35, why="Long toes."), **k),
        tells=True,
    ),
    Deed(
        "note how the feet point",
        "stance.note",
        "stance.noted",
        lambda st, s, k, t: stance_note(
            seen_on=_today(k), stances={"LF": 1 if t else -1, "RF": 0}, **k
        ),
        keyed=True,
    ),
    Deed(
        "cancel a visit",
        "visit.plan",
        "visit.cancelled",
        lambda st, s, k, t: visit_cancel(public_id=st.planned.public_id, reason="Ill", **k),
        tells=True,
    ),
    Deed(
        "correct a visit",
        "visit.correct",
        "visit.corrected",
        lambda st, s, k, t: visit_put_right(
            public_id=st.kept.public_id,
            kept_on=st.kept.kept_on or _today(k),
            work=[],
            readings=[],
            words="Two shoes." if t else "Four shoes.",
            outcomes=[],
            reason="No.",
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "correct an examination",
        "exam.correct",
        "exam.corrected",
        lambda st, s, k, t: exam_correct(
            exam_id=st.exam.public_id,
            examined_at=k["now"],
            feet=[FootFound("RF", pulse=2)],
            grade=Grade("aaep", 3),
            words="Other." if t else "Sound.",
            reason="No.",
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "take back an examination",
        "exam.correct",
        "exam.voided",
        lambda st, s, k, t: exam_void(exam_id=st.exam.public_id, reason="No.", **k),
        tells=True,
    ),
    Deed(
        "take back a visit",
        "visit.void",
        "visit.voided",
        lambda st, s, k, t: visit_take_back(public_id=st.kept.public_id, reason="No.", **k),
        tells=True,
    ),
    Deed(
        "record measurements", "reading.record", "readings.recorded", _readings("form"), keyed=True
    ),
    Deed(
        "read in old measurements",
        "reading.import",
        "readings.recorded",
        _readings("import"),
        keyed=True,
    ),
    Deed("correct a measurement", "reading.correct", "reading.corrected", _correct),
    Deed(
        "set a routine aim", "target.routine", "target.set", _target(False), keyed=True, tells=True
    ),
    Deed(
        "set a therapeutic target",
        "target.therapeutic",
        "target.set",
        _target(True),
        keyed=True,
        tells=True,
    ),
)
BY_NAME = {deed.name: deed for deed in DEEDS}

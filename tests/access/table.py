"""What each address answers to whom, address by address, from the rights of the policy.

`Row.see` is the right that looking needs and `Row.do` the one that sending needs; the rights
themselves are in the policy (and once more in tests/rights.py).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.http.response import HttpResponseBase
from django.shortcuts import resolve_url
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from horses.services.feeds import feed_make, feed_token
from horses.services.invitations import token_for
from tests.access.people import MEMBERS
from tests.rights import allowed
from tests.stage import Stage
from tests.stage_pictures import points_of, side_of

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE")
SIGN_IN, NOT_FOUND, FORBIDDEN, IN, NO_METHOD = (
    "sign in",
    "not found",
    "not allowed",
    "in",
    "no such method",
)
Fill = Callable[[Stage, str], dict[str, Any]]


@dataclass(frozen=True)
class Row:
    """One address of a case: its methods, the rights, and its ids beside the case's."""

    methods: str
    see: str = ""
    do: str = ""
    more: Fill = lambda stage, who: {}
    data: tuple[tuple[str, str], ...] = ()
    own: tuple[tuple[str, str], ...] = ()  # who gets another answer, because of what is their own

    def expected(self, method: str, who: str, *, closed: bool = False) -> str:
        if who == "anonymous":
            return SIGN_IN
        if method not in self.methods.split():
            return NO_METHOD
        if who not in MEMBERS:
            return NOT_FOUND
        if who in dict(self.own):
            return dict(self.own)[who]
        right = self.do if method == "POST" else self.see
        return IN if allowed(right, MEMBERS[who], closed=closed) else FORBIDDEN


def _own_reading(stage: Stage, who: str) -> dict[str, Any]:
    own = stage.readings.get(who, stage.readings["owner"])
    return {"reading_id": own.public_id}


def _another_role(stage: Stage, who: str) -> dict[str, Any]:
    return {"role": "farrier" if who == "vet" else "vet"}


def _flag(stage: Stage, who: str) -> dict[str, Any]:
    return {"flag_id": stage.flag.public_id}


def _picture(stage: Stage, who: str) -> dict[str, Any]:
    return {"picture_id": stage.photo.public_id}


def _item(stage: Stage, who: str) -> dict[str, Any]:
    return {"item_id": stage.item.public_id}


def _sheet(stage: Stage, who: str) -> dict[str, Any]:
    return {"number": stage.sheet.number}


def _side(stage: Stage, who: str) -> dict[str, Any]:
    return {"picture_id": side_of(stage).public_id}


def _points(stage: Stage, who: str) -> dict[str, Any]:
    row = points_of(stage, who if who in MEMBERS else "farrier")
    return {"picture_id": row.picture.public_id, "points_id": row.public_id}


NOT_THE_OWNERS = [who for who, role in MEMBERS.items() if role != "owner"]
FORM, LOOK, ONLY_GET = "GET POST", "GET HEAD", "GET"

CASE_ROWS: dict[str, Row] = {
    "board": Row(ONLY_GET, "case.see"),
    "board_now": Row(ONLY_GET, "case.see"),
    "look_as": Row(LOOK, "case.look_as", more=_another_role),
    "sheet": Row(ONLY_GET, "case.see"),
    "sheet_pdf": Row(ONLY_GET, "case.see"),
    "blank_pdf": Row(ONLY_GET, "case.see"),
    "door_pdf": Row(ONLY_GET, "case.see"),
    "both_pdf": Row(ONLY_GET, "case.see"),
    "sheet_issue": Row(FORM, "sheet.issue", "sheet.issue"),
    "sheet_issued": Row(FORM, "case.see", "sheet.issue", _sheet),
    "sheet_progress": Row(ONLY_GET, "case.see", more=_sheet),
    "sheet_issued_pdf": Row(ONLY_GET, "case.see", more=lambda s, w: {"number": 1, "paper": "a4"}),
    "history": Row(LOOK, "case.see"),
    "team": Row(LOOK, "case.see"),
    "series": Row(LOOK, "case.see", more=lambda s, w: {"foot": "LF", "quantity": "toe_angle"}),
    "foot": Row(LOOK, "case.see", more=lambda s, w: {"foot": "LF"}),
    "case_export": Row(FORM, "case.export", "case.export"),
    "horse_edit": Row(FORM, "horse.edit", "horse.edit"),
    "horse_move": Row(FORM, "horse.move", "horse.move"),
    "yard_asks": Row("POST", "", "team.yard"),
    "horse_sell": Row(FORM, "horse.sell", "horse.sell"),
    "horse_sell_undo": Row("POST", "", "horse.sell"),
    "horse_end_undo": Row("POST", "", "horse.pause"),
    "horse_state": Row(FORM, "horse.pause", "horse.pause"),
    "owner_contact": Row(FORM, "owner.contact", "owner.contact", data=(("act", "told"),)),
    "weight_new": Row(FORM, "horse.weigh", "horse.weigh"),
    "case_open": Row(FORM, "case.open", "case.open"),
    "case_close": Row(FORM, "case.close", "case.close"),
    "invite": Row(FORM, "team.invite", "team.invite"),
    "member_remove": Row(
        FORM,
        "team.remove",
        "team.remove",
        lambda s, w: {"membership_id": s.member("stand_in").public_id},
        own=(("stand_in", IN),),  # who may leave
    ),
    "invitation_revoke": Row(
        "POST", "", "team.uninvite", lambda s, w: {"invitation_id": s.invitation.public_id}
    ),
    "member_confirm": Row(
        FORM,
        "team.confirm",
        "team.confirm",
        lambda s, w: {"membership_id": s.member("stand_in").public_id},
    ),
    "hand_over": Row(
        FORM,
        "team.hand_over",
        "team.hand_over",
        lambda s, w: {"membership_id": s.member("stand_in").public_id},
    ),
    "invitation_resend": Row(
        "POST", "", "team.invite", lambda s, w: {"invitation_id": s.invitation.public_id}
    ),
    "flag_new": Row(FORM, "flag.raise", "flag.raise"),
    "flag": Row(FORM, "case.see", "flag.answer", _flag),
    "flag_photos": Row("POST", "", "flag.photo", _flag),
    "worksheet": Row(FORM, "case.see", "plan.propose"),
    "show_check": Row(LOOK, "case.see"),
    "lost_shoe": Row(FORM, "flag.raise", "flag.raise"),
    "shoe_back": Row(
        FORM, "shoe.back", "shoe.back", lambda s, w: {"flag_id": s.lost_shoe.public_id}
    ),
    "pictures": Row(LOOK, "case.see"),
    "picture_new": Row(FORM, "picture.add", "picture.add"),
    "picture": Row(LOOK, "case.see", more=_picture),
    "picture_file": Row(LOOK, "case.see", more=_picture),
    "picture_small": Row(LOOK, "case.see", more=_picture),
    "picture_blank": Row(
        FORM,
        "picture.redact",
        "picture.redact",
        _picture,
        own=tuple((who, FORBIDDEN) for who in NOT_THE_OWNERS),  # an owner added it
    ),
    "then_and_now": Row(LOOK, "case.see"),
    "note_new": Row(FORM, "note.write", "note.write"),
    "exam_new": Row(FORM, "exam.record", "exam.record"),
    "exam": Row(LOOK, "case.see", more=lambda s, w: {"exam_id": s.exam.public_id}),
    "exam_correct": Row(
        FORM, "exam.correct", "exam.correct", lambda s, w: {"exam_id": s.exam.public_id}
    ),
    "exam_void": Row(
        FORM, "exam.correct", "exam.correct", lambda s, w: {"exam_id": s.exam.public_id}
    ),
    "plan_new": Row(FORM, "plan.propose", "plan.propose"),
    "plan_item": Row(FORM, "case.see", "plan.agree", _item),
    "plan_change": Row(FORM, "plan.propose", "plan.propose", _item),
    "plan_reply": Row("POST", "", "plan.reply", _item),
    "plan_finish": Row(FORM, "plan.finish", "plan.finish", _item),
    "visits": Row(LOOK, "case.see"),
    "interval": Row(FORM, "interval.set", "interval.set"),
    "young": Row(LOOK, "case.see"),
    "stance_new": Row(FORM, "stance.note", "stance.note"),
    "visit_confirm": Row(
        "POST", "", "visit.confirm", lambda s, w: {"visit_id": s.planned.public_id}
    ),
    "visit_plan": Row(FORM, "visit.plan", "visit.plan"),
    "visit_cancel": Row(
        FORM, "visit.plan", "visit.plan", lambda s, w: {"visit_id": s.planned.public_id}
    ),
    "visit_void": Row(
        FORM,
        "visit.void",
        "visit.void",
        lambda s, w: {"visit_id": s.kept.public_id},
        own=(("stand_in", FORBIDDEN),),  # the farrier wrote it up
    ),
    "visit_correct": Row(
        FORM,
        "visit.correct",
        "visit.correct",
        lambda s, w: {"visit_id": s.kept.public_id},
        own=(("stand_in", FORBIDDEN),),  # the farrier wrote it up
    ),
    "was_here": Row(FORM, "visit.report", "visit.report"),
    "visit_asked": Row(
        "POST",
        "",
        "visit.report",
        lambda s, w: {"visit_id": s.asked_about.public_id},
        (("said", "no"),),
    ),
    "report_confirm": Row(
        "POST",
        "",
        "visit.vouch",
        lambda s, w: {"visit_id": s.reported_of.get(w, s.reported_of["farrier"]).public_id},
        (("left", "shod"),),
    ),
    "report_back": Row(
        FORM,
        "visit.report",
        "visit.report",
        lambda s, w: {"visit_id": s.reports.get(w, s.reports["owner"]).public_id},
    ),
    "farrier_help": Row(LOOK, "case.see"),
    "shapes": Row(LOOK, "case.see"),
    "visit_as_last": Row("POST", "", "work.record"),
    "visit_new": Row(FORM, "work.record", "work.record"),
    "alert": Row(
        FORM,
        "case.see",
        "alert.answer",
        lambda s, w: {"alert_id": s.alert.public_id},
        (("kind", "answered"), ("words", "I will look on Friday.")),
    ),
    "picture_points": Row(FORM, "points.place", "points.place", _side),
    "card_asked": Row("POST", "", "picture.add"),
    "picture_typed": Row(FORM, "reading.record", "reading.record", _side),
    "points_card": Row(LOOK, "points.place", more=_side),
    "points_values": Row(LOOK, "points.place", more=_side),
    "points_shown": Row(FORM, "case.see", "reading.record", _points),
    "readings_new": Row(FORM, "reading.record", "reading.record"),
    "reading_correct": Row(FORM, "reading.correct", "reading.correct", _own_reading),
    "target_new": Row(FORM, "target.routine", "target.routine"),
    "steps": Row(FORM, "target.routine", "target.routine", lambda s, w: {"foot": "LF"}),
}

# A yard's addresses: methods, the yard's right to look, and the one to send. Who knocks there is in
# tests/horses/yards/test_matrix.py, with `yard_let_in`, an address of a case at a yard.
YARD_ROWS: dict[str, tuple[str, str, str]] = {
    "yard": (LOOK, "yard.see", ""),
    "yard_edit": (FORM, "yard.edit", "yard.edit"),
    "yard_horses_add": (FORM, "yard.add_horses", "yard.add_horses"),
    "yard_trims": (FORM, "yard.add_horses", "yard.add_horses"),
    "yard_bring": (LOOK, "yard.bring", ""),
    "yard_invite": (FORM, "yard.invite", "yard.invite"),
    "yard_link": (LOOK, "yard.invite", ""),
    "yard_link_end": ("POST", "", "yard.end_link"),
    "yard_confirm": (FORM, "yard.confirm", "yard.confirm"),
    "yard_member_end": (FORM, "yard.remove", "yard.remove"),
}
YARD_CASE_ROWS = {"yard_let_in": "team.yard"}
# Whoever holds a yard's link.
YARD_LINKS = {"yard_invitation", "yard_invitation_code"}

# Pages of one person's own, whoever it is; and pages for all. No case hangs on them.
OWN_ROWS = {
    "horses": LOOK,
    "herd_view": "POST",
    "horse_new": FORM,
    "yard_new": FORM,
    "daily_look": FORM,
    "day_stop": FORM,
    "notices": FORM,
    "notice_choices": FORM,
    "visit_setup": FORM,
    "me": FORM,
    "my_name": FORM,
    "sign_ins": LOOK,
    "sign_ins_end_others": "POST",
    "address": FORM,
    "address_confirm": FORM,
    "passkey_add": FORM,
    "former_cases": LOOK,
    "my_calendar": FORM,
    "round": LOOK,
    "round_pdf": "GET",
    "picture_card_pdf": "GET",
    "form_saved": LOOK,
    "waiting": LOOK,
    "draft_sender": LOOK,
    "shelf": LOOK,
}
# Things of one person's own, by their ids: for anybody else they are not there.
OWN_THINGS = {"sign_in_end": "POST", "passkey_remove": "POST", "former_copy": "POST"}
OPEN_ROWS = {
    "home": LOOK,
    "urgent": LOOK,
    "policy": LOOK,
    "worker": LOOK,
    "livez": LOOK,
    "readyz": LOOK,
    "unsubscribe": FORM,
    "sheet_check": LOOK,
    "account_login": "GET",
    "account_request_login_code": FORM,
    "account_confirm_login_code": FORM,
    "account_logout": FORM,
    "account_signup": FORM,
    "account_email_verification_sent": FORM,
    "account_inactive": "GET",
    "account_email": "GET",
    "passkey_sign_in": FORM,
}
NOTICE = "notice"  # leads to what it tells of, for the one person who got it
FEED = "calendar_feed"  # whoever holds the secret address reads it, signed in or not
INVITATION = "invitation"  # whoever holds the link may look; who was invited may take it
VERIFY = "sheet_verify"  # whoever holds the paper
WAY_BACK = "address_back"  # whoever holds the link from the mail to the old address
ONLY_IN_THE_DEMO = {"mailbox", "mail", "looks"}


def names_of_all_addresses() -> set[str]:
    return {str(pattern.name) for pattern in _walk(get_resolver())}


def _walk(resolver: URLResolver) -> Iterator[URLPattern]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from _walk(entry)
        else:
            yield entry


def address(name: str, stage: Stage, who: str = "owner", **other: Any) -> str:
    """The address of a page of the stage's case; `other` puts another id in its place."""
    kwargs = {"case_id": stage.cast.concern.public_id, **CASE_ROWS[name].more(stage, who), **other}
    return reverse(name, kwargs=kwargs)


def feed_address(stage: Stage, now: datetime) -> str:
    feed = feed_make(person=stage.cast.farrier, fresh=True, now=now)
    return reverse(FEED, args=[feed_token(feed.public_id)])


def invitation_address(stage: Stage) -> str:
    return reverse(INVITATION, args=[token_for(stage.invitation.public_id)])


def outcome(response: HttpResponseBase) -> str:
    """What the answer comes to; anything unforeseen comes back as its number."""
    status = response.status_code
    to_sign_in = response.get("Location", "").startswith(resolve_url(settings.LOGIN_URL))
    if status == 302 and to_sign_in:
        return SIGN_IN
    if status in (200, 302, 409, 422, 503):  # 503: readyz, of an installation without a worker
        return IN
    return {404: NOT_FOUND, 403: FORBIDDEN, 405: NO_METHOD}.get(status, str(status))

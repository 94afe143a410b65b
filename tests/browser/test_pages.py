"""Every page, by the people who may see it, on a phone and at a desk, in the light and in the dark:
no accessibility rule broken, every control large enough for a finger, nothing sticking out."""

from collections.abc import Iterator
from datetime import datetime

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from horses.access import may
from tests.browser.conftest import Open
from tests.browser.shown import Shown, show_everything
from tests.cast import Cast

# Pages by what they need: nobody signed in, somebody signed in, or an action of the policy.
OPEN_PAGES = (
    "home",
    "urgent",
    "policy",
    "account_request_login_code",
    "account_signup",
    "account_inactive",
    "invitation",
    "unsubscribe",
    "sheet_check",
    "sheet_verify",
    "address_back",
)
OWN_PAGES = (
    "horses",
    "daily_look",
    "horse_new",
    "notices",
    "notice_choices",
    "visit_setup",
    "me",
    "waiting",
    "my_name",
    "sign_ins",
    "address",
    "passkey_add",
    "former_cases",
    "my_calendar",
    "round",
    "account_logout",
)
CASE_PAGES = {
    "board": "case.see",
    "look_as": "case.look_as",
    "sheet": "case.see",
    "sheet_issue": "sheet.issue",
    "sheet_issued": "case.see",
    "history": "case.see",
    "team": "case.see",
    "flag": "case.see",
    "alert": "case.see",
    "plan_item": "case.see",
    "series": "case.see",
    "foot": "case.see",
    "pictures": "case.see",
    "picture": "case.see",
    "picture_new": "picture.add",
    "then_and_now": "case.see",
    "steps": "target.routine",
    "exam": "case.see",
    "case_export": "case.export",
    "horse_edit": "horse.edit",
    "horse_state": "horse.pause",
    "weight_new": "horse.weigh",
    "case_open": "case.open",
    "case_close": "case.close",
    "invite": "team.invite",
    "member_remove": "team.remove",
    "hand_over": "team.hand_over",
    "flag_new": "flag.raise",
    "picture_blank": "picture.redact",
    "note_new": "note.write",
    "exam_new": "exam.record",
    "plan_new": "plan.propose",
    "plan_change": "plan.propose",
    "plan_finish": "plan.finish",
    "visits": "case.see",
    "interval": "interval.set",
    "young": "case.see",
    "stance_new": "stance.note",
    "visit_plan": "visit.plan",
    "visit_cancel": "visit.plan",
    "visit_void": "visit.void",
    "visit_correct": "visit.correct",
    "exam_correct": "exam.correct",
    "exam_void": "exam.correct",
    "readings_new": "reading.record",
    "reading_correct": "reading.correct",
    "visit_new": "work.record",
    "target_new": "target.routine",
    "lost_shoe": "flag.raise",
    "worksheet": "case.see",
    "show_check": "case.see",
    "farrier_help": "case.see",
    "shapes": "case.see",
    "was_here": "visit.report",
    "shoe_back": "shoe.back",
}
NO_PAGES = {
    "member_confirm": "asked of somebody new only: tests/horses/services/test_newcomers.py looks at it",
    "worker": "a script",
    "herd_view": "only a button",
    "visit_as_last": "only a button",
    "day_stop": "asked for by its horses: tests/browser/test_yard_day.py looks at it",
    "form_saved": "for a script",
    "draft_sender": "for a script",
    "shelf": "for the worker",
    "calendar_feed": "for calendars",
    "livez": "for machines",
    "readyz": "for machines",
    "sheet_pdf": "a PDF",
    "sheet_issued_pdf": "a PDF",
    "blank_pdf": "a PDF",
    "door_pdf": "a PDF",
    "both_pdf": "a PDF",
    "round_pdf": "a PDF",
    "picture_card_pdf": "a PDF",
    "sheet_progress": "a part of the sheet's page",
    "picture_file": "a picture",
    "picture_small": "a picture",
    "picture_points": "tests/browser/test_points.py looks at it",
    "points_shown": "tests/browser/test_points.py looks at it",
    "picture_typed": "tests/browser/test_points.py looks at it",
    "points_values": "a part of the editor",
    "points_card": "for a script",
    "flag_photos": "a part of the flag's page",
    "notice": "leads to another page",
    "board_now": "a part of the board",
    "account_login": "leads to another page",
    "account_email": "leads to another page",
    "account_confirm_login_code": "only on the way in: the journey looks at it",
    "account_email_verification_sent": "only on the way in: the journey looks at it",
    "yard": "tests/browser/test_yard.py looks at it",
    "yard_edit": "tests/browser/test_yard.py looks at it",
    "yard_new": "tests/browser/test_yard.py looks at it",
    "yard_horses_add": "tests/browser/test_yard.py looks at it",
    "yard_bring": "tests/browser/test_yard.py looks at it",
    "yard_trims": "tests/browser/test_yard.py looks at it",
    "yard_invite": "tests/browser/test_yard.py looks at it",
    "yard_link": "tests/browser/test_yard.py looks at it",
    "yard_confirm": "tests/browser/test_yard.py looks at it",
    "yard_member_end": "tests/browser/test_yard.py looks at it",
    "yard_invitation": "tests/browser/test_yard.py looks at it",
    "horse_move": "tests/browser/test_yard.py looks at it",
    "horse_sell": "tests/browser/test_yard.py looks at it",
    "yard_invitation_code": "only on the way in: tests/browser/test_yard.py goes through it",
    "yard_link_end": "only a button",
    "yard_asks": "only a button",
    "yard_let_in": "only a button",
    "horse_end_undo": "only a button",
    "horse_sell_undo": "only a button",
    "invitation_revoke": "only a button",
    "invitation_resend": "only a button",
    "visit_confirm": "only a button",
    "visit_asked": "only buttons",
    "report_back": "of a report: tests/horses/views/test_visit_word_pages.py looks at it",
    "report_confirm": "only a button",
    "owner_contact": "of a held horse: tests/horses/views/test_held_pages.py looks at it",
    "sign_in_end": "only a button",
    "sign_ins_end_others": "only a button",
    "passkey_remove": "only a button",
    "passkey_sign_in": "for a script",
    "former_copy": "a file",
    "plan_reply": "a part of the item's page",
    "card_asked": "a part of the form of pictures: tests/browser/test_card.py looks at it",
    "address_confirm": "only with a code: its own test looks at it",
    "mailbox": "only in the demo",
    "mail": "only in the demo",
    "looks": "only while developing",
}


def names_of(patterns: list[URLPattern | URLResolver]) -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from names_of(pattern.url_patterns)
        else:
            yield pattern.name or str(pattern.pattern)


@pytest.fixture
def shown(site: str, cast: Cast, now: datetime, clock_stands: datetime) -> Shown:
    return show_everything(cast, now)


def address(name: str, shown: Shown) -> str:
    """The page of that name, about the things of this case."""
    wanted = next(iter(get_resolver().reverse_dict.getlist(name)))[0][0][1]
    things = (
        {**shown.names, "visit_id": shown.names["kept_id"]}
        if name in ("visit_void", "visit_correct")
        else shown.names
    )
    return reverse(name, kwargs={part: things[part] for part in wanted})


def test_every_page_of_the_site_is_on_the_tour() -> None:
    known = {*OPEN_PAGES, *OWN_PAGES, *CASE_PAGES, *NO_PAGES}
    assert set(names_of(get_resolver().url_patterns)) - known == set()


def test_pages_without_sign_in_break_no_rule(enter: Open, visitor: Open, shown: Shown) -> None:
    anybody = visitor()
    for name in OPEN_PAGES:
        anybody.go(address(name, shown))
    anybody.go("/no-such-page/", status=404)


@pytest.mark.parametrize("role", ["owner", "vet", "farrier"])
def test_no_page_of_a_role_breaks_a_rule(role: str, enter: Open, shown: Shown) -> None:
    access = shown.access(role)
    person = enter(access.person)
    for name in OWN_PAGES:
        person.go(address(name, shown))
    forbidden = 0
    for name, action in CASE_PAGES.items():
        # Whose that of the stage is.
        whose = {"reading_correct": "farrier", "picture_blank": "owner"}
        own = role == whose.get(name, role)
        as_oneself = name == "look_as" and shown.names["role"] == role  # anybody's own
        if (may(access, action) and own) or as_oneself:
            person.go(address(name, shown))
        elif not forbidden:
            forbidden += 1
            person.go(address(name, shown), status=403)
    person.go(reverse("flag", args=[shown.case_id, shown.urgent.public_id]))
    person.look_over()


def test_a_carer_sees_pages_that_break_no_rule(enter: Open, shown: Shown) -> None:
    carer = enter(shown.cast.carer)
    for name in ("board", "flag", "alert", "plan_item"):
        carer.go(address(name, shown))

"""Which pages a phone may keep, and whose each answer is said to be."""

from datetime import date
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from caseboard.kept.pages import KEEP_HEADER, KEPT, NOBODY, PERSON_HEADER
from caseboard.kept.worker_script import PARTS, worker_script
from tests.access.table import names_of_all_addresses
from tests.cast import Cast

pytestmark = pytest.mark.django_db

# Each with its reason. A new address stands here, or among those that are kept.
WAYS_IN = set(
    """
    account_login account_request_login_code account_confirm_login_code account_logout account_signup
    account_email_verification_sent account_inactive account_email address address_confirm address_back
    passkey_add passkey_remove passkey_sign_in sign_ins sign_in_end sign_ins_end_others my_calendar
    calendar_feed invitation invitation_resend invitation_revoke invite yard_invitation
    yard_invitation_code yard_invite yard_link yard_link_end unsubscribe
    """.split()  # noqa: SIM905  (a list of names reads better so)
)
COPIES_AND_PAPERS = set(
    """
    case_export former_cases former_copy sheet sheet_pdf sheet_issue sheet_issued sheet_progress
    sheet_issued_pdf picture_card_pdf door_pdf both_pdf blank_pdf round_pdf sheet_check sheet_verify
    """.split()  # noqa: SIM905  (a list of names reads better so)
)
FOR_ANYBODY = ["home", "urgent", "policy", "worker", "livez", "readyz", "looks"]
PARTS_AND_ANSWERS = [
    "board_now",
    "steps",
    "form_saved",
    "draft_sender",
    "shelf",
    "notice",
    "card_asked",
    "points_card",
    "points_values",
]

ONLY_WITH_A_CONNECTION = set(
    """
    me my_name notice_choices horse_new herd_view horse_edit horse_state horse_end_undo horse_sell
    horse_sell_undo horse_move owner_contact case_open case_close look_as member_remove member_confirm
    hand_over yard_new yard_edit yard_horses_add yard_bring yard_trims yard_confirm yard_member_end
    yard_asks yard_let_in plan_finish plan_reply interval picture_blank picture_points picture_typed visit_setup flag_photos exam_correct exam_void
    visit_confirm visit_cancel visit_asked report_confirm visit_as_last visit_correct report_back
    visit_void
    """.split()  # noqa: SIM905  (a list of names reads better so)
)
NOT_KEPT = {
    *WAYS_IN,
    *COPIES_AND_PAPERS,
    *FOR_ANYBODY,
    *PARTS_AND_ANSWERS,
    *ONLY_WITH_A_CONNECTION,
}
MAILBOX = {"mailbox", "mail"}  # only in the demo


def signed_in(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.owner)
    return client


def test_of_every_address_it_is_said_whether_phones_keep_it() -> None:
    named = KEPT | NOT_KEPT
    assert names_of_all_addresses() - MAILBOX - named == set()
    assert named - names_of_all_addresses() - {"looks"} == set()
    assert not KEPT & NOT_KEPT


def test_an_answer_says_whose_it_is_and_whether_it_may_be_kept(cast: Cast) -> None:
    answer = signed_in(cast).get("/horses/")
    assert answer[PERSON_HEADER] == cast.owner.public_id
    assert date.fromisoformat(answer[KEEP_HEADER])
    assert answer["Cache-Control"] == "private, no-store"


def test_what_opens_a_way_in_may_not_be_kept(cast: Cast) -> None:
    for path in ("/me/sign-in/", "/me/calendar/", "/me/shelf/"):
        assert KEEP_HEADER not in signed_in(cast).get(path), path


def test_a_part_an_error_and_a_sent_form_may_not_be_kept(cast: Cast) -> None:
    client = signed_in(cast)
    board = f"/cases/{cast.case.public_id}/"
    assert KEEP_HEADER not in client.get("/horses/", headers={"HX-Request": "true"})
    assert KEEP_HEADER not in client.get("/cases/none/")
    assert KEEP_HEADER not in client.post(f"{board}flags/new/", {})


def test_an_answer_to_nobody_says_so(client: Client) -> None:
    for path in ("/", "/urgent/", "/livez", "/horses/", "/nowhere/"):
        answer = client.get(path)
        assert answer[PERSON_HEADER] == NOBODY, path
        assert KEEP_HEADER not in answer


def test_every_part_of_the_worker_is_in_its_script() -> None:
    folder = Path(settings.BASE_DIR) / "caseboard/static/js/worker"
    assert {file.stem for file in folder.iterdir()} == set(PARTS)
    script = worker_script()
    assert script.startswith('"use strict";')
    for part in PARTS:
        assert (folder / f"{part}.js").read_text() in script


def test_a_page_that_phones_may_not_keep_is_not_opened_for_them(cast: Cast) -> None:
    """The page that adds a passkey makes a new challenge each time it is opened."""
    client = signed_in(cast)
    client.get("/me/passkeys/add/")
    challenge = dict(client.session.items())
    answer = client.get("/me/passkeys/add/", headers={"X-Fetched-Ahead": "1"})
    assert (answer.status_code, answer.content) == (204, b"")
    assert dict(client.session.items()) == challenge
    assert client.get("/horses/", headers={"X-Fetched-Ahead": "1"}).status_code == 200

"""The main job from "not quite right" to the printed plan, by three people at their own browsers."""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

from playwright.sync_api import expect
from pypdf import PdfReader

from caseboard.lib import clock
from tests.browser import farrier_does, owner_does, team_does, vet_does
from tests.browser.conftest import Open
from tests.browser.team_does import plan_line
from tests.browser.visitor import DESKTOP, PHONE, Visitor

SECRET = "Between us: sole bruising is likely, tell nobody yet."


@contextmanager
def step(words: str) -> Iterator[None]:
    """Names the step in which the story broke off."""
    try:
        yield
    except Exception as error:
        error.add_note(f"in the step: {words}")
        raise


def test_three_people_come_from_not_quite_right_to_a_printed_plan(visitor: Open) -> None:
    owner = visitor("Ola Owner", "ola@example.test", size=PHONE)
    farrier = visitor("Finn Farrier", "finn@example.test", size=PHONE, seen=owner.seen)
    vet = visitor("Vera Vet", "vera@example.test", size=DESKTOP, seen=owner.seen)

    with step("the owner signs up, adds a horse and asks the others to join"):
        case_id = owner_does.signs_up_and_adds_a_horse(owner)
        owner_does.signs_in_again_and_finds_the_board(owner)
        owner_does.asks_to_join(owner, case_id, farrier.email, "farrier")
        owner_does.asks_to_join(owner, case_id, vet.email, "vet")
    with step("farrier and vet open the mailed link and join"):
        team_does.joins_by_the_mailed_link(farrier)
        team_does.joins_by_the_mailed_link(vet)
    with step("the owner flags"):
        owner_does.flags_a_short_stride(owner, case_id)
        owner_does.flags_a_nail_in_the_sole(owner, case_id)
        owner_does.writes_down_what_the_vet_said(owner)
    with step("the farrier records two visits"):
        seven_weeks_ago = clock.now().date() - timedelta(days=49)
        farrier_does.records_the_first_visit(farrier, case_id, seven_weeks_ago)
        farrier_does.records_the_second_visit(farrier, case_id)
    with step("the vet answers, examines, sets a band and proposes"):
        vet_does.answers_the_flag(vet, case_id, SECRET)
        vet_does.records_an_examination(vet, case_id)
        vet_does.sets_a_band(vet, case_id)
        vet_does.proposes(vet, case_id, "trim", "farrier", "Shorten the toe of the left fore.")
        vet_does.proposes(vet, case_id, "home", "owner", "Walk in hand twice a day.")
        owner_does.reads_that_the_vet_answered_but_not_the_words(owner, case_id, SECRET)
        vet_does.answers_everyone(vet, case_id, "I have looked at it; the plan says what we do.")
    with step("the numbers speak"):
        vet_does.reads_the_alert_and_its_numbers(vet, case_id)
    with step("all three agree or decline, and an edit asks everybody again"):
        team_does.agrees(owner, case_id, 1, 2, 3)
        team_does.agrees(farrier, case_id, 1, 3)
        team_does.declines(farrier, case_id, 2, "Not more than 3 mm at once.")
        vet_does.changes_an_item(vet, case_id, 2, "Shorten the toe of the left fore by 3 mm.")
        the_board_says_who_is_missing(owner, case_id)
        team_does.agrees(owner, case_id, 2)
        team_does.agrees(farrier, case_id, 2)
    with step("the plan sheet is on the screen and on paper"):
        the_sheet_shows_the_plan(owner, case_id)
        the_printed_sheet_is_one_page(owner, case_id)
    with step("the history tells it in order"):
        the_history_tells_it_in_order(owner, case_id)


def the_board_says_who_is_missing(owner: Visitor, case_id: str) -> None:
    owner.go(f"/cases/{case_id}/")
    expect(plan_line(owner, 2)).to_contain_text(
        re.compile(r"Not agreed yet: (owner and farrier|farrier and owner) missing")
    )
    for number in (1, 3):
        expect(plan_line(owner, number)).not_to_contain_text("Not agreed yet")


def the_sheet_shows_the_plan(owner: Visitor, case_id: str) -> None:
    owner.go(f"/cases/{case_id}/")
    owner.press("The plan sheet")
    owner.sees("Juniper", "Shorten the toe of the left fore by 3 mm.", owner_does.EMERGENCY)
    expect(owner.page.locator(".sheet")).not_to_contain_text("Not agreed yet")


def the_printed_sheet_is_one_page(owner: Visitor, case_id: str) -> None:
    for paper in ("a4", "letter"):
        address = f"{owner.base}/cases/{case_id}/sheet.pdf?paper={paper}"
        answer = owner.context.request.get(address, timeout=60_000)
        while answer.status == 202:  # a busy machine: the page asks again by itself
            answer = owner.context.request.get(address, timeout=60_000)
        assert answer.headers["content-type"] == "application/pdf"
        pages = PdfReader(io.BytesIO(answer.body())).pages
        assert len(pages) == 1
        text = " ".join(pages[0].extract_text().split())
        for wanted in (
            "Juniper",
            "Ola Owner",
            "Finn Farrier",
            "Vera Vet",
            owner_does.EMERGENCY,
            "44.5",
            "50 to 54",
            "by 3 mm",
            "Walk in hand",
            "Next visit",
        ):
            assert wanted in text, wanted


def the_history_tells_it_in_order(owner: Visitor, case_id: str) -> None:
    owner.go(f"/cases/{case_id}/history/")
    lines = owner.page.locator("ol.history > li").all_inner_texts()
    told = " ".join(reversed(lines))
    happened = [
        "joined the team as farrier",
        "joined the team as vet",
        "Short on the left fore since",
        "Leave it in",
        "Both fores shod",
        "came back lower",
        "examin",
        "50 to 54",
        "Walk in hand",
        "Not more than 3 mm",
        "by 3 mm",
    ]
    places = [told.find(words) for words in happened]
    assert -1 not in places, dict(zip(happened, places, strict=True))
    assert places == sorted(places)

"""The board: what it shows whom, and a number of queries that does not grow with the case."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from caseboard.board import Board, board_for
from caseboard.case_reading import CaseReading
from caseboard.case_words import age_words, feet_needing, horse_words
from horses.access import POLICY
from horses.models import Alert, Case, Flag, Horse, Person
from horses.rules.engine import Finding
from horses.services.alerts import alert_see
from horses.services.cases import case_mark_seen
from horses.services.exams import Grade, exam_record
from horses.services.looks import look_mark
from horses.services.plan import latest_version, plan_item_decide
from horses.services.plan_end import plan_item_finish
from horses.services.visit_planning import visit_plan
from measurements.hoof.quantities import QUANTITIES
from measurements.models import Reading
from tests import build
from tests.cast import Cast
from tests.rights import allowed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
MOST_QUERIES = 25
SERIES = [(foot, q) for foot in ("LF", "RF", "LH", "RH") for q in ("toe_angle", "toe_length")]


def _board(cast: Cast, person: Person, now: datetime, *, seen_seq: int = 0) -> Board:
    return board_for(CaseReading(cast.access(person), now), seen_seq=seen_seq)


def test_a_look_of_today_stands_beside_the_name_while_nothing_newer_does(
    cast: Cast, now: datetime
) -> None:
    look_mark(access=cast.access(cast.carer), now=now)
    assert _board(cast, cast.carer, now).looked_words == "Looked at 9:00, you"
    assert "Looked at 9:00, Cara Carer</small>" in _page(cast.owner, cast)
    assert _board(cast, cast.owner, now + timedelta(days=1)).looked_words == ""
    build.flag(cast.access(cast.owner), now)
    assert _board(cast, cast.owner, now).looked_words == ""


def _page(person: Person, cast: Cast) -> str:
    client = Client()
    client.force_login(person)
    return client.get(reverse("board", args=[cast.case.public_id])).content.decode()


def _readings(cast: Cast, each: int, now: datetime) -> None:
    """Eight series of this many readings; written at once, as only tests may."""
    days = [now.date() - timedelta(days=25 * n) for n in range(each)]
    Reading.objects.bulk_create(
        Reading(
            horse=cast.horse,
            foot=foot,
            quantity=quantity,
            value=Decimal(51 + n % 3),
            entered_value=Decimal(51 + n % 3),
            entered_text="51",
            entered_unit=QUANTITIES[quantity].unit,
            method="gauge" if quantity == "toe_angle" else "tape",
            trim_state=("after", "before")[n % 2],
            shoeing="shod",
            taken_on=day,
            taken_by=cast.farrier,
            taken_by_name="Finn Farrier",
            recorded_by=cast.farrier,
            recorded_at=now,
        )
        for foot, quantity in SERIES
        for n, day in enumerate(days)
    )


def _fill(cast: Cast, size: int, now: datetime, *, start: int = 0) -> None:
    """`size` of everything that hangs on a case, through the services where that is quick."""
    owner, vet, farrier = (cast.access(w) for w in (cast.owner, cast.vet, cast.farrier))
    _readings(cast, 2 * size, now)
    for n in range(start, start + size):
        item = build.plan_item(vet, now, text=f"Item {n}")
        plan_item_decide(
            access=owner,
            item_id=item.public_id,
            decision="agree",
            now=now,
            seen_hash=latest_version(item).content_hash,
        )
        build.note(vet, now, f"Note {n}")
        build.flag(owner, now, words=f"Flag {n}")
        build.alert(cast.horse, Finding("test.rule", f"LF:{n}", "A title", "A sentence."), now)
    for n in range(start, start + min(size, 6)):
        build.visit(farrier, now, now.date() - timedelta(days=50 * n))
        exam_record(access=vet, examined_at=now, feet=[], grade=Grade("aaep", 1), words="", now=now)
    for alert in Alert.objects.all()[: size // 2]:
        alert_see(access=owner, alert_id=alert.public_id, now=now)
    if not start:
        build.target(vet, now)


def _queries(cast: Cast, person: Person, now: datetime) -> int:
    """What reading the board costs somebody who has been here before."""
    access = cast.access(person)
    seen_seq = case_mark_seen(access=access, now=now)
    with CaptureQueriesContext(connection) as caught:
        board_for(CaseReading(access, now), seen_seq=seen_seq or access.case.last_seq)
    return len(caught)


def test_a_board_takes_at_most_25_queries_whatever_its_size(cast: Cast, now: datetime) -> None:
    _fill(cast, 1, now)
    small = _queries(cast, cast.owner, now)
    _fill(cast, 30, now, start=1)
    counting_many_new_lines = 1
    assert _queries(cast, cast.owner, now) <= min(small + counting_many_new_lines, MOST_QUERIES)
    assert Reading.objects.count() > 60 * len(SERIES)


@pytest.mark.parametrize("page", ["board", "board_now"])
def test_the_page_itself_asks_for_nothing_that_grows(
    page: str, cast: Cast, client: Client, now: datetime
) -> None:
    path = reverse(page, args=[cast.case.public_id])
    client.force_login(cast.owner)
    _fill(cast, 2, now)
    counting_many_new_lines = 1
    counts = []
    for start in (2, 6):
        client.get(path)  # the first look writes how far one has read
        with CaptureQueriesContext(connection) as caught:
            assert client.get(path).status_code == 200
        counts.append(len(caught))
        _fill(cast, 4, now, start=start)
    assert counts[1] <= counts[0]
    assert counts[0] <= MOST_QUERIES + counting_many_new_lines


@pytest.mark.parametrize("who", ["owner", "vet", "farrier", "carer"])
def test_what_a_role_may_do_is_offered_and_nothing_else(
    who: str, cast: Cast, now: datetime
) -> None:
    board = _board(cast, getattr(cast, who), now)
    assert board.can == {action for action in POLICY if allowed(action, who)}


def test_a_closed_case_offers_only_what_stays_open(cast: Cast, now: datetime) -> None:
    Case.objects.filter(pk=cast.case.pk).update(closed_at=now)
    board = _board(cast, cast.vet, now)
    assert board.can == {a for a in POLICY if allowed(a, "vet", closed=True)}
    assert board.waiting == []


@pytest.mark.parametrize(
    ("who", "waits"), [("owner", True), ("farrier", True), ("vet", False), ("carer", False)]
)
def test_an_item_waits_for_who_has_not_said_their_word(
    who: str, waits: bool, cast: Cast, now: datetime
) -> None:
    build.plan_item(cast.access(cast.vet), now)
    assert bool(_board(cast, getattr(cast, who), now).waiting) is waits


def test_a_role_that_agreed_by_another_person_is_not_asked_again(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.farrier), now)
    assert _board(cast, cast.stand_in, now).waiting == []


def test_it_says_who_is_missing_and_which_role_nobody_holds(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.vet), now, therapeutic=True)
    cast.case.memberships.filter(role="vet").update(left_at=now)
    [card] = _board(cast, cast.owner, now).plan
    assert card.line.state.missing == ("owner", "farrier")
    build.plan_item(cast.access(cast.owner), now + timedelta(days=1))
    board = _board(cast, cast.owner, now + timedelta(days=1))
    assert board.missing_roles == ("vet",)
    assert {mark.role for mark in board.plan[1].marks} == {"owner", "farrier"}
    assert item.number == 1


def test_a_finished_item_is_no_longer_on_the_plan(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.owner), now)
    plan_item_finish(
        access=cast.access(cast.owner),
        item_id=item.public_id,
        status="done",
        reason="",
        now=now,
    )
    board = _board(cast, cast.vet, now)
    assert (board.plan, [c.line.item for c in board.finished]) == ([], [item])
    assert board.waiting == []


def test_notes_and_history_are_those_of_the_readers_role(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now, "Between us.", {"vet", "farrier"})
    for who, sees in (("vet", True), ("farrier", True), ("owner", False), ("carer", False)):
        board = _board(cast, getattr(cast, who), now)
        assert bool(board.notes) is sees, who
        assert any("Between us." in told.words for told in board.history) is sees, who


def test_lines_for_others_do_not_count_as_news(cast: Cast, now: datetime) -> None:
    seen = cast.access(cast.owner).case.last_seq
    build.note(cast.access(cast.vet), now, "Between us.", {"vet"})
    assert _board(cast, cast.owner, now, seen_seq=seen).new_count == 0
    build.note(cast.access(cast.vet), now, "For all.")
    board = _board(cast, cast.owner, now, seen_seq=seen)
    assert (board.new_count, [told.is_new for told in board.history][:2]) == (1, [True, False])


def test_flags_come_most_urgent_first_and_alerts_before_remarks(cast: Cast, now: datetime) -> None:
    for sign in ("crack", "in_sole", "lost_shoe"):
        build.flag(cast.access(cast.owner), now, sign)
    for weight in ("remark", "alert"):
        build.alert(
            cast.horse, Finding("test.rule", weight, "A title", "A sentence.", weight=weight), now
        )
    board = _board(cast, cast.vet, now)
    assert [flag.urgency for flag in board.flags] == ["now", "today", "next_visit"]
    assert ([a.subject for a in board.alerts], [a.subject for a in board.remarks]) == (
        ["alert"],
        ["remark"],
    )
    assert board.needs_count == 4


def test_an_alert_of_another_board_of_the_horse_stays_off_this_one(
    cast: Cast, now: datetime
) -> None:
    finding = Finding("test.rule", "LF", "A title", "A sentence.", case=cast.concern)
    build.alert(cast.horse, finding, now)
    assert _board(cast, cast.vet, now).alerts == []


def test_other_boards_are_those_one_is_on(cast: Cast, now: datetime) -> None:
    assert _board(cast, cast.vet, now).other_cases == [cast.concern]
    cast.concern.memberships.filter(person=cast.vet).update(left_at=now)
    assert _board(cast, cast.vet, now).other_cases == []


def test_the_next_visit_is_counted_in_days(cast: Cast, now: datetime) -> None:
    visit_plan(access=cast.access(cast.owner), on=now.date() + timedelta(days=9), now=now)
    assert _board(cast, cast.vet, now).days_to_visit == 9


def test_the_feet_that_need_someone_are_those_of_flags_and_alerts() -> None:
    flags = [Flag(feet=["LH"]), Flag(feet=[])]
    alerts = [Alert(subject="LF:toe_angle:after"), Alert(subject="LF-RF"), Alert(subject="farrier")]
    assert feet_needing(flags, alerts) == {"LH", "LF", "RF"}


def test_the_board_never_reassures(cast: Cast, client: Client, now: datetime) -> None:
    client.force_login(cast.owner)
    build.reading(cast.access(cast.vet), now, "LF", "toe_angle", 51, now.date())
    page = client.get(reverse("board", args=[cast.case.public_id])).content.decode()
    assert "Numbers do not see pain" in page


@pytest.mark.parametrize(
    ("born", "words"),
    [
        (date(2026, 10, 2), "1 month"),
        (date(2026, 10, 3), "0 months"),
        (date(2024, 11, 3), "23 months"),
        (date(2024, 11, 2), "2 years"),
        (date(2015, 1, 1), "11 years"),
    ],
)
def test_young_horses_are_counted_in_months(born: date, words: str) -> None:
    assert age_words(born, date(2026, 11, 2)) == words


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, ""),
        ({"sex": "mare", "born_on": date(2015, 1, 1)}, "Mare, 11 years."),
        (
            {"use": "school", "footing": "hard", "turnout": "group"},
            "Riding school, hard or stony footing, turned out in a group.",
        ),
        ({"turnout": "stabled"}, "Mostly stabled."),
    ],
)
def test_a_horse_in_words(fields: dict[str, Any], words: str) -> None:
    assert horse_words(Horse(**fields), date(2026, 11, 2)) == words

"""For whom an answer quiets an alert, how long, and what brings it back."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from horses.models import Alert, AlertResponse, AlertTold, Horse, HorseClock, Notice
from horses.queries.alert_quiet import QUIET_FOR
from horses.queries.herd import NEEDS_SOMEONE, herd_for
from horses.rules import engine
from horses.rules.engine import Finding, evaluate, evaluate_due
from horses.services.alerts import alert_see
from horses.services.horses import horse_set_state
from horses.services.visit_planning import visit_plan
from tests import build
from tests.cast import Cast
from tests.horses.rules.alert_doors import DAY, DRIFT, ROLES, SOLE, answer, cards, open_for, told

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> list[Finding]:
    findings = [DRIFT]
    monkeypatch.setattr(engine, "_rules", [lambda horse, at: findings])
    monkeypatch.setattr(engine, "_followers", {})
    return findings


@pytest.mark.parametrize(
    ("who", "left"),
    [
        ("owner", {"vet", "farrier", "stand_in"}),  # the carer stands with the owner
        ("vet", {"owner", "farrier", "stand_in", "carer"}),
        ("farrier", {"owner", "vet", "carer"}),
        ("stand_in", {"owner", "vet", "farrier", "carer"}),  # theirs alone
    ],
)
def test_an_answer_quiets_it_for_the_role_that_gave_it(
    who: str, left: set[str], found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    assert open_for(cast, now) == set(ROLES)
    answer(cast, who, now)
    assert open_for(cast, now) == left


def test_it_counts_for_its_writer_on_the_horses_other_board_and_for_no_one_else_there(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    answer(cast, "farrier", now)
    assert cards(cast, "farrier", now, concern=True) == []
    assert len(cards(cast, "stand_in", now, concern=True)) == 1


def test_a_carer_empties_it_by_having_seen_it(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    alert = Alert.objects.get()
    alert_see(access=cast.access(cast.carer), alert_id=alert.public_id, now=now)
    assert open_for(cast, now) == set(ROLES) - {"carer"}


def test_it_comes_back_when_its_day_has_passed_without_anybody_saving(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    until = now.date() + 10 * DAY
    answer(cast, "vet", now, until)
    evaluate(cast.horse, now=now)
    due = HorseClock.objects.get(horse=cast.horse).due_at
    while due is not None and due.date() <= until:
        assert "vet" not in open_for(cast, due)
        evaluate_due(now=due)
        evaluate(cast.horse, now=due)
        due = HorseClock.objects.get(horse=cast.horse).due_at
    assert due is not None
    assert due.date() == until + DAY
    for _ in range(2):
        evaluate(cast.horse, now=due)
    assert "vet" in open_for(cast, due)
    assert told("alert.back") == ["Vera Vet"]


def test_it_comes_back_when_it_is_worse_by_more_than_the_error(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    """Two levels of SD 0.5 differ by 1.39 by error alone."""
    evaluate(cast.horse, now=now)
    answer(cast, "farrier", now, now.date() + 90 * DAY)
    for severity, is_open in ((4.38, False), (2.0, False), (4.4, True)):
        found[:] = [replace(DRIFT, severity=severity)]
        evaluate(cast.horse, now=now + DAY)
        assert ("farrier" in open_for(cast, now + DAY)) is is_open
    # The others were told at 3.0 too, and their card never left: one notice each.
    assert told("alert.worse").count("Finn Farrier") == 1
    assert [m.state for m in cards(cast, "farrier", now + DAY)] == [
        "Answered by Finn Farrier (farrier) on 2 Nov 2026, and clearly worse since."
    ]


def test_an_answer_to_a_worse_day_does_not_cover_a_return_after_it_got_better(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    for hours, severity in ((0, 6.0), (1, 0.5)):
        found[:] = [replace(DRIFT, severity=severity)]
        evaluate(cast.horse, now=now + timedelta(hours=hours))
        answer(cast, "vet", now + timedelta(hours=hours))
    assert "vet" not in open_for(cast, now)
    found[:] = [replace(DRIFT, severity=5.5)]
    evaluate(cast.horse, now=now + timedelta(hours=2))
    assert "vet" in open_for(cast, now)
    assert "Vera Vet" in told("alert.worse")


def test_worse_counts_from_what_each_role_was_last_told(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    found[:] = [replace(DRIFT, severity=4.2)]
    evaluate(cast.horse, now=now + DAY)
    answer(cast, "vet", now + DAY, now.date() + 90 * DAY)
    found[:] = [replace(DRIFT, severity=5.0)]
    evaluate(cast.horse, now=now + 2 * DAY)
    assert "Vera Vet" not in told("alert.worse")  # told 4.2 as she answered
    assert "Finn Farrier" in told("alert.worse")  # told 3.0


def test_a_danger_stays_until_a_vet_has_answered(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    found[:] = [SOLE]
    evaluate(cast.horse, now=now)
    for who in ("owner", "farrier"):
        answer(cast, who, now, rule=SOLE.rule)
    assert open_for(cast, now) == set(ROLES)
    answer(cast, "vet", now, rule=SOLE.rule)
    assert open_for(cast, now) == set()


def test_a_vets_answer_to_a_danger_does_not_speak_for_the_others(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    found[:] = [SOLE]
    evaluate(cast.horse, now=now)
    answer(cast, "vet", now, rule=SOLE.rule)
    assert open_for(cast, now) == set(ROLES) - {"vet"}


def test_what_becomes_a_danger_is_told_and_open_again(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    found[:] = [replace(SOLE, danger=False)]
    evaluate(cast.horse, now=now)
    answer(cast, "owner", now, rule=SOLE.rule)
    found[:] = [SOLE]
    evaluate(cast.horse, now=now + DAY)
    assert "owner" in open_for(cast, now + DAY)
    assert "Ola Owner" in told("alert.worse")


@pytest.mark.parametrize(("planned", "until"), [(20, 20), (None, QUIET_FOR.days)])
def test_an_answer_that_names_no_day_holds_until_the_next_visit(
    planned: int | None, until: int, found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    if planned is not None:
        on = now.date() + planned * DAY
        visit_plan(access=cast.access(cast.owner), on=on, now=now)
    answer(cast, "vet", now)
    assert AlertResponse.objects.get().until_on == now.date() + until * DAY


@pytest.mark.parametrize(
    ("days_later", "quiet"), [(20, True), (21, False), (40, False)], ids=["visit", "after", "late"]
)
def test_an_answer_of_an_earlier_version_holds_for_its_role_until_the_visit_after_it(
    days_later: int, quiet: bool, found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    AlertTold.objects.all().delete()
    AlertResponse.objects.create(
        alert=Alert.objects.get(),
        case=cast.case,
        person=cast.owner,
        role="owner",
        kind="answered",
        words="She looks fine.",
        said_at=now,
    )
    visit_plan(access=cast.access(cast.owner), on=now.date() + 20 * DAY, now=now)
    at = now + days_later * DAY
    assert ("owner" not in open_for(cast, at)) is quiet
    assert "vet" in open_for(cast, at)


def test_an_answer_of_an_earlier_version_that_no_visit_follows_ends_aloud(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    AlertResponse.objects.create(
        alert=Alert.objects.get(),
        case=cast.case,
        person=cast.owner,
        role="owner",
        kind="answered",
        words="She looks fine.",
        said_at=now,
    )
    evaluate(cast.horse, now=now + QUIET_FOR)
    assert told("alert.back") == []
    evaluate(cast.horse, now=now + QUIET_FOR + DAY)
    assert told("alert.back") == ["Cara Carer", "Ola Owner"]


def test_two_findings_of_one_cause_are_one_card_one_notice_and_one_answer(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    found.append(Finding("forecast.near", "LF", "A date comes near", "Soon.", cause="LF:angles"))
    evaluate(cast.horse, now=now)
    [card] = cards(cast, "vet", now)
    assert (card.lead.rule, card.sentences) == ("foot.drift", ["It fell.", "Soon."])
    assert told("alert.raised").count("Vera Vet") == 1
    answer(cast, "vet", now)
    assert "vet" not in open_for(cast, now)


def test_answering_one_of_two_leaves_one(found: list[Finding], cast: Cast, now: datetime) -> None:
    found.append(replace(SOLE, danger=False))
    evaluate(cast.horse, now=now)
    answer(cast, "owner", now)
    [line] = herd_for(cast.owner, today=now.date())
    assert (line.alerts, line.needs_count) == (1, 1)


def test_a_slow_change_that_turns_out_to_be_at_one_trim_stays_the_same_alert(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    answer(cast, "vet", now)
    found[:] = [replace(DRIFT, rule="foot.step", title="A change at one trim")]
    evaluate(cast.horse, now=now + DAY)
    assert Alert.objects.get().title == "A change at one trim"
    assert "vet" not in open_for(cast, now + DAY)
    assert told("alert.raised").count("Vera Vet") == 1


def test_a_change_that_goes_the_other_way_is_another_alert(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    found[:] = [replace(DRIFT, way="falls")]
    evaluate(cast.horse, now=now)
    answer(cast, "vet", now)
    found[:] = [replace(DRIFT, way="rises")]
    evaluate(cast.horse, now=now + DAY)
    assert "vet" in open_for(cast, now + DAY)
    assert told("alert.raised").count("Vera Vet") == 2


def test_a_seen_card_is_a_line_until_it_is_worse(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    alert = Alert.objects.get()
    alert_see(access=cast.access(cast.vet), alert_id=alert.public_id, now=now)
    assert [card.seen for card in cards(cast, "vet", now)] == [True]
    found[:] = [replace(DRIFT, severity=6.0)]
    evaluate(cast.horse, now=now)
    assert [card.seen for card in cards(cast, "vet", now)] == [False]
    alert_see(access=cast.access(cast.vet), alert_id=alert.public_id, now=now)
    assert [card.seen for card in cards(cast, "vet", now)] == [True]


def test_a_sold_horse_needs_nobody_and_one_flagged_after_it_was_sold_does(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    build.flag(cast.access(cast.owner), now, "heat")
    build.plan_item(cast.access(cast.vet), now)
    horse_set_state(access=cast.access(cast.owner), state=Horse.State.ENDED, reason="sold", now=now)
    [line] = herd_for(cast.owner, today=now.date())
    assert (line.rank in NEEDS_SOMEONE, line.needs_count) == (False, 0)
    build.flag(cast.access(cast.owner), now + DAY, "heat")
    [line] = herd_for(cast.owner, today=now.date())
    assert (line.rank in NEEDS_SOMEONE, line.needs_count) == (True, 1)


def test_who_has_answered_has_no_unread_notice_of_it_and_the_others_have(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    answer(cast, "vet", now)
    unread = Notice.objects.filter(verb="alert.raised", channel="app", read_at=None)
    assert "Vera Vet" not in {str(notice.person) for notice in unread}
    assert "Finn Farrier" in {str(notice.person) for notice in unread}


def test_a_look_that_finds_nothing_new_reads_as_often_for_five_alerts_as_for_one(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    with CaptureQueriesContext(connection) as for_one:
        evaluate(cast.horse, now=now)
    found += [replace(SOLE, subject=foot, cause="") for foot in ("LF", "RF", "LH", "RH")]
    evaluate(cast.horse, now=now)
    with CaptureQueriesContext(connection) as for_five:
        evaluate(cast.horse, now=now)
    assert len(for_five) == len(for_one)
    assert not [q for q in for_five if "horses_membership" in q["sql"]]  # nobody is to be told

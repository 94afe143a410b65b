"""Who answered an alert on a board that they are not on any more still hears of it where they are."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Protocol

import pytest

from horses.models import Alert, AlertResponse, Case, Membership, Notice, Person, Role
from horses.queries.alerts import board_alerts
from horses.queries.herd import herd_for
from horses.rules import engine
from horses.rules.engine import Finding, evaluate
from horses.services.alerts import alert_answer
from tests.cast import Cast, join

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
DRIFT = Finding("foot.drift", "LF", "Slow change", "It fell.", severity=8.0, severity_sd=0.5)


class Look(Protocol):
    def __call__(self, degrees: float, at: datetime, *, danger: bool = False) -> None: ...


@pytest.fixture
def is_found(monkeypatch: pytest.MonkeyPatch, cast: Cast) -> Look:
    """A look that finds the change to be so many degrees."""
    findings = [DRIFT]
    monkeypatch.setattr(engine, "_rules", [lambda horse, at: findings])
    monkeypatch.setattr(engine, "_followers", {})

    def look(degrees: float, at: datetime, *, danger: bool = False) -> None:
        findings[:] = [replace(DRIFT, severity=degrees, danger=danger)]
        evaluate(cast.horse, now=at)

    return look


def answers(cast: Cast, case: Case, at: datetime, *, days: int, who: Person | None = None) -> None:
    alert = Alert.objects.get(cleared_at=None)
    access, until = cast.access(who or cast.farrier, case), at.date() + days * DAY
    alert_answer(access=access, alert_id=alert.public_id, words="Yes.", until_on=until, now=at)


def closes(case: Case, at: datetime) -> None:
    Case.objects.filter(pk=case.pk).update(closed_at=at)


def told(cast: Cast, *verbs: str) -> list[tuple[str, Case]]:
    rows = Notice.objects.filter(person=cast.farrier, channel="app", verb__in=verbs)
    return [(n.verb, n.case) for n in rows.order_by("pk").select_related("case")]


def needs(cast: Cast, case: Case, at: datetime) -> int:
    return len(board_alerts(cast.access(cast.farrier, case), today=at.date()).needs)


def test_who_answered_on_a_board_closed_since_is_told_once_when_it_is_worse(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    """The role was told of 8 degrees on the other board, and 6.7 is no worse than that."""
    is_found(8.0, now)
    is_found(3.0, now + DAY)
    answers(cast, cast.concern, now + DAY, days=60)
    closes(cast.concern, now + DAY)
    assert needs(cast, cast.case, now + DAY) == 0
    for days in (2, 3):
        is_found(6.7, now + days * DAY)
    assert needs(cast, cast.case, now + 3 * DAY) == 1
    assert told(cast, "alert.worse") == [("alert.worse", cast.case)]


def test_who_answered_on_a_board_they_have_left_is_told_when_it_is_worse(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    is_found(8.0, now)
    is_found(3.0, now + DAY)
    answers(cast, cast.concern, now + DAY, days=60)
    here = Membership.objects.filter(case=cast.concern, person=cast.farrier)
    here.update(left_at=now + DAY)
    is_found(6.7, now + 2 * DAY)
    assert needs(cast, cast.case, now + 2 * DAY) == 1
    assert told(cast, "alert.worse") == [("alert.worse", cast.case)]


def test_the_day_of_an_answer_on_a_board_closed_since_ends_aloud(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    is_found(8.0, now)
    answers(cast, cast.concern, now, days=10)
    closes(cast.concern, now)
    for days in (10, 11, 12):
        is_found(8.0, now + days * DAY)
    assert needs(cast, cast.case, now + 12 * DAY) == 1
    assert told(cast, "alert.back", "alert.worse") == [("alert.back", cast.case)]


def test_an_answer_on_a_closed_board_tells_nobody_who_did_not_give_it(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    is_found(8.0, now)
    is_found(3.0, now + DAY)
    answers(cast, cast.concern, now + DAY, days=60)
    closes(cast.concern, now + DAY)
    is_found(6.7, now + 2 * DAY)
    assert AlertResponse.objects.get().person == cast.farrier
    heard = Notice.objects.filter(verb="alert.worse", channel="app")
    assert {n.person for n in heard} == {cast.farrier}


def test_worse_on_one_board_and_back_on_the_other_is_one_notice(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    is_found(8.0, now)
    answers(cast, cast.concern, now, days=1)
    is_found(3.0, now + DAY)
    answers(cast, cast.case, now + DAY, days=60)
    is_found(6.7, now + 3 * DAY)
    assert [verb for verb, _ in told(cast, "alert.back", "alert.worse")] == ["alert.worse"]


def test_an_answer_that_still_holds_is_no_reason_to_tell_its_writer_elsewhere(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    """Another of their role answered a better day there, since which it is worse; they were told of as
    bad a day as this."""
    join(cast.concern, cast.stranger, Role.FARRIER, now)
    is_found(8.0, now, danger=True)
    answers(cast, cast.concern, now, days=60)
    is_found(3.0, now + DAY, danger=True)
    answers(cast, cast.concern, now + DAY, days=60, who=cast.stranger)
    here = Membership.objects.filter(case=cast.concern, person=cast.farrier)
    here.update(left_at=now + DAY)
    is_found(6.7, now + 2 * DAY, danger=True)
    assert needs(cast, cast.case, now + 2 * DAY) == 1  # no vet has answered
    assert Notice.objects.filter(verb="alert.worse", person=cast.stranger).exists()
    assert told(cast, "alert.worse") == []


def test_an_answer_in_one_role_is_no_reason_to_tell_its_writer_in_another(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    """As the vet of the other board they were told of 8 degrees, and it stands open there."""
    Membership.objects.filter(case=cast.case, person=cast.farrier).update(role=Role.VET)
    is_found(8.0, now)
    is_found(3.0, now + DAY)
    answers(cast, cast.concern, now + DAY, days=60)
    closes(cast.concern, now + DAY)
    is_found(6.7, now + 2 * DAY)
    assert needs(cast, cast.case, now + 2 * DAY) == 1
    assert told(cast, "alert.worse") == []


def test_an_alert_of_a_board_that_one_is_not_on_needs_nobody_elsewhere(
    cast: Cast, now: datetime
) -> None:
    """It stands on the concern alone; the carer is on the standing care alone."""
    cast.concern.memberships.filter(person=cast.carer).update(left_at=now)
    Alert.objects.create(
        horse=cast.horse,
        case=cast.concern,
        rule="plan.blocked",
        subject="1",
        weight=Alert.Weight.ALERT,
        title="A word is missing",
        sentence="Said on the concern.",
        evidence={},
        true_since=now,
        raised_at=now,
    )

    def alerts(person: Person) -> int:
        [line] = herd_for(person, today=now.date())
        return line.alerts

    assert (alerts(cast.owner), alerts(cast.carer)) == (1, 0)


def test_an_alert_of_another_horse_is_none_of_mine(
    is_found: Look, cast: Cast, now: datetime
) -> None:
    is_found(8.0, now)
    assert [line.alerts for line in herd_for(cast.other_owner, today=now.date())] == [0]

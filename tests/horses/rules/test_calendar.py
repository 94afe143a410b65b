"""The calendar and the silence: visit overdue, flag unanswered."""

from datetime import datetime, timedelta

import pytest

from horses.models import Case, Flag, Horse
from horses.rules.calendar import INTERVAL_GRACE, visit_overdue
from horses.rules.engine import Finding
from horses.rules.unanswered_flags import (
    ANSWER_WITHIN,
    SET_ALONE_WITHIN,
    flag_unanswered,
    set_alone_unanswered,
)
from horses.services.flags import flag_answer
from horses.services.plan import latest_version, plan_item_decide
from horses.services.visit_planning import visit_cancel, visit_plan
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)


def _silence(cast: Cast, at: datetime) -> list[Finding]:
    return list(flag_unanswered(cast.horse, at))


def _overdue(cast: Cast, at: datetime) -> list[Finding]:
    return list(visit_overdue(Horse.objects.get(pk=cast.horse.pk), at))


SIGN_OF = {"now": "in_sole", "today": "lost_shoe", "next_visit": "crack"}


@pytest.mark.parametrize("urgency", ["now", "today", "next_visit"])
def test_a_flag_may_wait_as_long_as_its_urgency_lets_it(
    urgency: str, cast: Cast, now: datetime
) -> None:
    flag = build.flag(cast.access(cast.owner), now, SIGN_OF[urgency])
    due = now + ANSWER_WITHIN[urgency]
    assert _silence(cast, due - MINUTE) == []
    [finding] = _silence(cast, due)
    assert (finding.subject, finding.case, finding.true_since) == (flag.public_id, cast.case, due)


@pytest.mark.parametrize("urgency", ["today", "next_visit"])
def test_an_answer_of_another_role_ends_the_silence(
    urgency: str, cast: Cast, now: datetime
) -> None:
    flag = build.flag(cast.access(cast.owner), now, SIGN_OF[urgency])
    _answer(cast, "farrier", flag, now)
    assert _silence(cast, now + 30 * DAY) == []


def _answer(cast: Cast, who: str, flag: Flag, now: datetime, kind: str = "answered") -> None:
    flag_answer(
        access=cast.access(getattr(cast, who)),
        flag_id=flag.public_id,
        words="Seen.",
        kind=kind,
        now=now,
    )


def test_a_now_flag_stays_silent_until_a_vet_has_spoken(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now, "in_sole")
    _answer(cast, "farrier", flag, now)
    [finding] = _silence(cast, now + 2 * DAY)
    assert "phone" in finding.sentence
    _answer(cast, "owner", flag, now, "vet_phoned")
    assert _silence(cast, now + 2 * DAY) == []


@pytest.mark.parametrize(
    ("minutes", "words"), [(61, "(1 hour)"), (125, "(2 hours)"), (24 * 60, "(1 day)")]
)
def test_the_silence_says_how_long_it_has_been(
    minutes: int, words: str, cast: Cast, now: datetime
) -> None:
    build.flag(cast.access(cast.owner), now, "in_sole")
    [finding] = _silence(cast, now + minutes * MINUTE)
    assert finding.sentence.endswith(f"phone {words}.")


def test_the_silence_names_those_who_can_end_it(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now, "crack")
    [finding] = _silence(cast, now + 8 * DAY)
    assert "has not been answered by the farrier or vet yet (8 days)." in finding.sentence
    cast.case.memberships.filter(role__in=("farrier", "vet")).update(left_at=now)
    [finding] = _silence(cast, now + 8 * DAY)
    assert "answered yet, and nobody else is on the team (8 days)." in finding.sentence


def test_an_answer_of_the_same_side_is_not_one(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now)
    _answer(cast, "owner", flag, now)
    [finding] = _silence(cast, now + 8 * DAY)
    assert finding.evidence["answered_by_same_side"] is True


def test_a_flag_of_a_closed_case_is_left_in_peace(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner, cast.concern), now)
    Case.objects.filter(pk=cast.concern.pk).update(closed_at=now)
    assert _silence(cast, now + 30 * DAY) == []


def test_a_planned_day_that_passed_without_a_word_is_not_held_against_anybody(
    cast: Cast, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.owner), on=now.date(), now=now)
    due = now + timedelta(days=cast.horse.interval_days) + INTERVAL_GRACE
    assert [_overdue(cast, at) for at in (now, now + DAY, now + 30 * DAY, due)] == [[]] * 4


def test_a_horse_is_overdue_once_it_would_be_even_if_that_visit_took_place(
    cast: Cast, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.owner), on=now.date(), now=now)
    due = now + timedelta(days=cast.horse.interval_days) + INTERVAL_GRACE
    [finding] = _overdue(cast, due + DAY)
    assert "nobody has said whether it took place. Even from that day" in finding.sentence
    assert finding.evidence["planned_on"] == str(now.date())


def test_without_a_plan_the_interval_runs_out_after_a_week_of_grace(
    cast: Cast, now: datetime
) -> None:
    build.visit(cast.access(cast.farrier), now, now.date())
    due = now + timedelta(days=cast.horse.interval_days) + INTERVAL_GRACE
    assert _overdue(cast, due) == []
    assert len(_overdue(cast, due + DAY)) == 1


def test_a_visit_planned_ahead_stands_above_the_interval(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, now.date(), next_on=now.date() + 90 * DAY)
    assert _overdue(cast, now + 80 * DAY) == []


def test_a_cancelled_visit_counts_no_more(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, now.date())
    planned = visit_plan(access=cast.access(cast.owner), on=now.date() + DAY, now=now)
    visit_cancel(access=cast.access(cast.owner), public_id=planned.public_id, reason="Ill", now=now)
    assert _overdue(cast, now + 3 * DAY) == []


def test_a_horse_never_trimmed_and_nothing_planned_is_not_overdue(
    cast: Cast, now: datetime
) -> None:
    assert _overdue(cast, now + 900 * DAY) == []


def test_the_horses_own_interval_counts(cast: Cast, now: datetime) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(interval_days=28)
    build.visit(cast.access(cast.farrier), now, now.date())
    assert len(_overdue(cast, now + 36 * DAY)) == 1


def test_an_item_set_alone_waits_a_day_for_the_others(cast: Cast, now: datetime) -> None:
    item = build.plan_item(
        cast.access(cast.vet), now, therapeutic=True, emergency=True, reason="It cannot wait."
    )
    due = now + SET_ALONE_WITHIN
    assert list(set_alone_unanswered(cast.horse, due - MINUTE)) == []
    [finding] = set_alone_unanswered(cast.horse, due)
    assert finding.subject == item.public_id
    assert "owner and farrier" in finding.sentence
    for person in (cast.owner, cast.farrier):
        plan_item_decide(
            access=cast.access(person),
            item_id=item.public_id,
            seen_hash=latest_version(item).content_hash,
            decision="agree",
            now=now,
        )
    assert list(set_alone_unanswered(cast.horse, due)) == []

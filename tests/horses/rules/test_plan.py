"""The plan by the calendar: items nobody said a word to, and re-checks that come near."""

from datetime import date, datetime, timedelta

import pytest

from horses.models import Alert
from horses.rules.engine import Finding, _next_moment, evaluate
from horses.rules.plan import plan_unconfirmed, recheck_near
from horses.services.plan import plan_item_decide
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
WEEK = 7 * DAY


def _found(cast: Cast, at: datetime) -> list[Finding]:
    return [*plan_unconfirmed(cast.horse, at), *recheck_near(cast.horse, at)]


def test_an_item_may_wait_a_week_for_a_word(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.owner), now)
    assert _found(cast, now + WEEK - timedelta(minutes=1)) == []
    [found] = _found(cast, now + WEEK + DAY)
    assert found.sentence == (
        "Plan item 1 has waited up to 8 days for an answer from the farrier and vet."
    )
    assert found.true_since == now + WEEK


def test_that_moment_is_foreseen(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.owner), now)
    evaluate(cast.horse, now=now)
    assert _next_moment(cast.horse, now) == (now + WEEK, True)
    evaluate(cast.horse, now=now + WEEK)
    assert Alert.objects.get(cleared_at=None).rule == "plan.unconfirmed"


def test_who_said_no_has_said_a_word(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.owner), now)
    for who, decision in ((cast.vet, "decline"), (cast.farrier, "agree")):
        plan_item_decide(
            access=cast.access(who),
            item_id=item.public_id,
            seen_hash=item.versions.get().content_hash,
            decision=decision,
            reason="No.",
            now=now,
        )
    assert _found(cast, now + 2 * WEEK) == []


@pytest.mark.parametrize(
    ("days", "says"),
    [(8, None), (7, "in 7 days"), (1, "in 1 day"), (0, "today"), (-2, "2 days ago")],
)
def test_a_re_check_is_said_a_week_ahead_and_until_it_is_done(
    days: int, says: str | None, cast: Cast, now: datetime
) -> None:
    until = date(2026, 12, 10)
    build.plan_item(cast.access(cast.owner), now, kind="recheck", until_on=until)
    at = datetime.combine(until, now.time(), tzinfo=now.tzinfo) - days * DAY
    found = list(recheck_near(cast.horse, at))
    assert (says is None) == (found == [])
    if says:
        assert f"is set for 10 Dec 2026 ({says})" in found[0].sentence


def test_an_item_with_a_day_that_is_no_re_check_says_nothing(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.owner), now, until_on=now.date())
    assert list(recheck_near(cast.horse, now)) == []

"""What the calendar alone can make true is found by the sweep at that very moment, nobody saving."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import pytest

from horses.domain.foals import CLOSING_DAYS, FETLOCK_DAYS
from horses.domain.lost_shoe_advice import FRESH
from horses.domain.trim_cycle import due_on
from horses.models import Alert, Horse, HorseClock, Visit
from horses.rules import engine
from horses.rules.calendar import INTERVAL_GRACE
from horses.rules.engine import Finding, evaluate, evaluate_due
from horses.rules.plan import AGREE_WITHIN, RECHECK_NEAR
from horses.rules.schedule import day_start
from horses.rules.unanswered_flags import ANSWER_WITHIN, SET_ALONE_WITHIN
from horses.services.toe_direction import stance_note
from horses.services.visit_planning import visit_plan
from horses.services.visit_word import visit_deny
from measurements.rules.schedule import FORECAST_NEAR, SILENT_AFTER
from tests import build
from tests.cast import Cast
from tests.horses.services.test_visits_kept import unheard

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
Drain = Callable[..., int]
# These speak when somebody has saved something, which has the horse judged at once.
BY_WHAT_IS_SAVED = {
    "shoe_lost_again": "counts losses that people wrote down",
    "hind_shoes_in_company": "shoes and turnout as written down",
    "lameness": "grades as written down; of its words only the age moves",
    "gross_jumps": "readings and trims as written down; time ends one, and never begins it",
    "squared_toe": "looks and flags; what the numbers said is asked for each day",
}


@dataclass(frozen=True)
class Row:
    """Sets the stage and says when the rule must speak; `rule` is the function, `key` its name."""

    rule: str
    key: str
    stage: Callable[[Cast, datetime], datetime]
    weight: str = "alert"


def _flag(sign: str, urgency: str) -> Callable[[Cast, datetime], datetime]:
    def stage(cast: Cast, now: datetime) -> datetime:
        build.flag(cast.access(cast.owner), now, sign)
        return now + ANSWER_WITHIN[urgency]

    return stage


def _set_alone(cast: Cast, now: datetime) -> datetime:
    vet = cast.access(cast.vet)
    build.plan_item(vet, now, therapeutic=True, emergency=True, reason="It cannot wait.")
    return now + SET_ALONE_WITHIN


def _unconfirmed(cast: Cast, now: datetime) -> datetime:
    build.plan_item(cast.access(cast.owner), now)
    return now + AGREE_WITHIN


def _recheck(cast: Cast, now: datetime) -> datetime:
    until = date(2026, 12, 20)
    build.plan_item(cast.access(cast.owner), now, kind="recheck", until_on=until)
    return day_start(until - RECHECK_NEAR, now)


def _planned(cast: Cast, now: datetime) -> datetime:
    on = now.date() + 10 * DAY
    visit_plan(access=cast.access(cast.owner), on=on, now=now)
    due = due_on(Horse.objects.get(pk=cast.horse.pk), on)  # as if it had taken place
    assert due is not None
    return day_start(due + INTERVAL_GRACE + DAY, now)


def _interval(cast: Cast, now: datetime) -> datetime:
    build.visit(cast.access(cast.farrier), now, now.date())
    due = due_on(Horse.objects.get(pk=cast.horse.pk), now.date())
    assert due is not None
    return day_start(due + INTERVAL_GRACE + DAY, now)


def _interval_beside_a_vet_visit(cast: Cast, now: datetime) -> datetime:
    """The vet's day lies behind it: it must not hide the farrier's."""
    owner = cast.access(cast.owner)
    visit_plan(access=owner, on=now.date() + 300 * DAY, kind=Visit.Kind.VET, now=now)
    return _interval(cast, now)


def _stand_in(cast: Cast, now: datetime) -> datetime:
    """What somebody says, not what time brings: at once."""
    for days_ago in (20, 5):
        visit = unheard(cast, now, days_ago=days_ago)
        visit_deny(access=cast.access(cast.owner), public_id=visit.public_id, now=now)
    return now


def _window(cast: Cast, now: datetime) -> datetime:
    born = now.date() - 60 * DAY
    Horse.objects.filter(pk=cast.horse.pk).update(born_on=born, use="young")
    farrier = cast.access(cast.farrier)
    stance_note(access=farrier, seen_on=now.date(), stances={"LF": -1}, now=now)
    return day_start(born + timedelta(days=FETLOCK_DAYS - CLOSING_DAYS), now)


def _lost_shoe(cast: Cast, now: datetime) -> datetime:
    farrier = cast.access(cast.farrier)
    build.visit(farrier, now, now.date() - 7 * DAY)
    build.flag(cast.access(cast.owner), now, "lost_shoe", feet=["LF"], since_on=now.date())
    return day_start(now.date() + FRESH, now)


def _silence(cast: Cast, now: datetime) -> datetime:
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, now.date())
    return day_start(now.date() + SILENT_AFTER, now)


def _forecast(cast: Cast, now: datetime) -> datetime:
    earliest = date(2026, 12, 20)

    def moving(horse: Horse, at: datetime) -> Iterable[Finding]:
        yield Finding(
            rule="band.moving",
            subject="LF:toe_angle:after",
            title="T",
            sentence="S.",
            evidence={"foot": "LF", "quantity": "toe_angle", "leaves_earliest_on": str(earliest)},
        )

    engine._rules.append(moving)  # the fixture takes it out again
    return day_start(earliest - FORECAST_NEAR, now)


def _band(cast: Cast, now: datetime) -> datetime:
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 60, now.date())
    begins = now.date() + 3 * DAY  # before the plan is asked about each day
    build.target(cast.access(cast.vet), now, from_on=begins)
    return day_start(begins, now)


ROWS = {
    "a now flag": Row("flag_unanswered", "flag.unanswered", _flag("in_sole", "now")),
    "a today flag": Row("flag_unanswered", "flag.unanswered", _flag("heat", "today")),
    "a next visit flag": Row("flag_unanswered", "flag.unanswered", _flag("crack", "next_visit")),
    "an item set alone": Row("set_alone_unanswered", "plan.set_alone", _set_alone),
    "an item without a word": Row("plan_unconfirmed", "plan.unconfirmed", _unconfirmed),
    "a re-check": Row("recheck_near", "plan.recheck", _recheck),
    "a planned day that nobody spoke of": Row("visit_overdue", "visit.overdue", _planned),
    "an interval": Row("visit_overdue", "visit.overdue", _interval),
    "an interval beside a vet visit": Row(
        "visit_overdue", "visit.overdue", _interval_beside_a_vet_visit
    ),
    "two days that were not kept": Row("stand_in_offered", "visit.stand_in", _stand_in),
    "a growing joint": Row("growth_window_closing", "young.window", _window),
    "a lost shoe": Row("shoes_incomplete", "shoes.incomplete", _lost_shoe),
    "ten weeks of silence": Row("silence", "readings.silence", _silence),
    "a forecast date": Row("forecast_near", "forecast.near", _forecast),
    "a band set ahead": Row("numbers_rules", "band.outside", _band, weight="remark"),
}


def _speaks(row: Row, horse: Horse) -> bool:
    found = Alert.objects.filter(horse=horse, rule=row.key, weight=row.weight, cleared_at=None)
    return found.exists()


@pytest.mark.parametrize("name", ROWS)
def test_the_sweep_finds_it_at_its_moment(
    name: str, cast: Cast, now: datetime, drain: Drain, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "_rules", [*engine._rules])
    monkeypatch.setattr(engine, "AT_LEAST_EVERY", timedelta(days=3650))  # no luck of the week
    row = ROWS[name]
    expected = row.stage(cast, now)
    evaluate(cast.horse, now=now)
    at = now
    while not _speaks(row, cast.horse):
        due = HorseClock.objects.get(horse=cast.horse).due_at
        assert due is not None, f"nothing foreseen after {at}"
        assert due <= expected, f"not found by {at}, and the next look is at {due}"
        at = due
        evaluate_due(now=at)
        evaluate(cast.horse, now=at)
    assert at == expected


def test_every_rule_is_in_one_of_the_two_lists() -> None:
    """A new rule says here when time alone can make it speak, or why it cannot."""
    by_time = {row.rule for row in ROWS.values()}
    rules = [*engine._rules, *engine._followers.values()]
    assert {rule.__name__ for rule in rules} == by_time | BY_WHAT_IS_SAVED.keys()
    assert not by_time & BY_WHAT_IS_SAVED.keys()

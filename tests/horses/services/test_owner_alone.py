"""A year with ten horses, one owner and no other account: every day the board says what is so."""

from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest

from horses.access import CaseAccess, access_get
from horses.models import Alert, Case, Horse, HorseClock, Notice, Person, Visit
from horses.queries.herd import ASKED, CALM, OVERDUE, HerdLine, herd_for
from horses.queries.visit_questions import asked_visits
from horses.rules.engine import evaluate
from horses.services.horses import horse_create
from horses.services.visit_planning import visit_plan
from horses.services.visit_word import report_take_back, visit_deny, visit_report
from tests.cast import person
from tests.horses.services.owner_alone import Act, Life, life

pytestmark = pytest.mark.django_db
FIRST = date(2026, 1, 5)
HORSES = 10
DAYS = 365


def at(day: date, hour: int) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def settle(owner: Person, number: int, interval: int) -> CaseAccess:
    fields = {"name": f"Horse {number}", "yard": "Home", "interval_days": interval}
    horse = horse_create(person=owner, fields=fields, now=at(FIRST, 6))
    return access_get(owner, Case.objects.get(horse=horse).public_id, fresh=True)


def do(access: CaseAccess, act: Act, now: datetime) -> None:
    match act:
        case Act("tell", on, next_on):
            visit_report(access=access, on=on or now.date(), next_on=next_on, now=now)
        case Act("slip", on):
            said = visit_report(access=access, on=on or now.date(), now=now)
            later = now + timedelta(minutes=3)
            report_take_back(access=access, public_id=said.public_id, now=later)
        case Act("plan", on) if on:
            visit_plan(access=access, on=on, now=now)
        case Act("moved", on) if on:
            visit_plan(access=access, on=on, moved_id=asked(access, now).public_id, now=now)
        case Act("yes", on) if on:
            visit_report(access=access, on=on, visit_id=asked(access, now).public_id, now=now)
        case Act("no"):
            visit_deny(access=access, public_id=asked(access, now).public_id, now=now)
        case _:
            raise AssertionError(act)


def asked(access: CaseAccess, now: datetime) -> Visit:
    found = asked_visits([access.case.horse_id], now.date())
    return found[access.case.horse_id, "farrier"]


def sweep(now: datetime) -> None:
    """What the clock finds due, and what deeds have asked for."""
    for clock in HorseClock.objects.exclude(due_at__gt=now).select_related("horse"):
        evaluate(clock.horse, now=now)


def check(line: HerdLine, lived: Life, today: date) -> None:
    """The board's due date, its state, its alert and its colour, against the second telling."""
    what, day = lived.says(today)
    due = line.due
    said = "planned" if due.planned else due.state if due.state in ("asked", "overdue") else ""
    assert (said or "by the interval", due.on) == (what, day), (today, line.horse)
    overdue = lived.is_overdue(today)
    alerts = set(
        Alert.objects.filter(horse=line.horse, cleared_at=None).values_list("rule", flat=True)
    )
    assert (alerts - {"visit.stand_in"}) == ({"visit.overdue"} if overdue else set()), (today, line)
    if not alerts:
        assert line.rank == (ASKED if lived.asked(today) else CALM), (today, line.horse)
    elif alerts == {"visit.overdue"}:
        assert line.rank == OVERDUE


@pytest.mark.parametrize("seed", [1])
def test_every_day_of_a_year_is_right_and_silence_is_held_against_nobody(seed: int) -> None:
    chance, owner = Random(seed), person("Ola Alone")
    end = FIRST + timedelta(days=DAYS)
    lives: dict[int, tuple[CaseAccess, Life]] = {}
    for number in range(HORSES):
        lived = life(chance, FIRST, end)
        access = settle(owner, number, lived.interval)
        lives[access.case.horse_id] = access, lived
    counts: dict[str, int] = {}
    for days in range(DAYS):
        today = FIRST + timedelta(days=days)
        sweep(at(today, 1))
        for access, lived in lives.values():
            for act in lived.acts.get(today, ()):
                do(access, act, at(today, 18))
                lived.did(act)
                counts[act.what] = counts.get(act.what, 0) + 1
            if today in lived.acts:
                evaluate(access.horse, now=at(today, 19))
        if days % 3 and not any(today in lived.acts for _, lived in lives.values()):
            continue  # nothing has been said: the day before or after is looked at
        for line in herd_for(owner, today=today):
            check(line, lives[line.horse.pk][1], today)
    assert all(counts[what] > 3 for what in ("tell", "plan", "yes", "no", "moved", "slip"))
    moved = counts["moved"]
    assert counts["no"] <= Visit.objects.denied().count() <= counts["no"] + moved
    assert Visit.objects.reported().count() == counts["tell"] + counts["yes"]
    for words in Notice.objects.values_list("subject", flat=True):
        assert "not written" not in words
        assert "did not come" not in words
    assert Horse.objects.count() == HORSES

"""All horses of a stop at once: each keeps its own line, and everybody reads one notice."""

from datetime import datetime, time, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from horses.access import CaseAccess
from horses.models import Case, Membership, Notice, Person, Role, Visit
from horses.queries.visit_questions import asked_visits
from horses.services.deed import DeedRefused
from horses.services.horses import horse_create
from horses.services.stops import stop_cancel, stop_confirm, stop_late, stop_move, stop_order
from horses.services.visit_planning import visit_plan
from tests.cast import Cast, join
from tests.horses.doors import last_line

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def cases(cast: Cast, now: datetime) -> list[Case]:
    """Three horses of the owner with the same farrier; the carer is on the first only."""
    made = [cast.case]
    for name in ("Acorn", "Clover"):
        horse = horse_create(person=cast.owner, fields={"name": name}, now=now)
        case = Case.objects.get(horse=horse)
        join(case, cast.farrier, Role.FARRIER, now)
        made.append(case)
    for case in made:
        visit_plan(
            access=cast.access(cast.farrier, case),
            on=now.date() + DAY,
            at=time(9),
            words="Fronts",
            now=now,
        )
    Notice.objects.all().delete()
    return made


def accesses(cast: Cast, who: Person, cases: list[Case]) -> list[CaseAccess]:
    return [cast.access(who, case) for case in cases]


def days(now: datetime) -> list[tuple[int, time | None, str]]:
    rows = Visit.objects.planned().order_by("horse__name")
    return [
        ((row.planned_on - now.date()).days, row.planned_time, row.status_reason)
        for row in rows
        if row.planned_on
    ]


def told(who: Person) -> list[str]:
    rows = Notice.objects.filter(person=who, channel=Notice.Channel.APP)
    return list(rows.values_list("subject", flat=True))


def test_all_are_moved_and_keep_what_was_not_said(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    stop_move(
        accesses=accesses(cast, cast.owner, cases), kind="farrier", on=now.date() + 3 * DAY, now=now
    )
    assert days(now) == [(3, time(9), "Fronts")] * 3
    assert last_line(cases[2], "visit.moved").actor == cast.owner


def test_a_day_that_passed_and_was_moved_is_asked_about_no_more(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    later = now + 9 * DAY
    here = accesses(cast, cast.farrier, cases)
    stop_move(accesses=here, kind="farrier", on=later.date() + DAY, now=later)
    assert asked_visits([case.horse_id for case in cases], later.date()) == {}
    assert Visit.objects.denied().count() == 3
    assert days(now) == [(10, time(9), "Fronts")] * 3


def test_one_notice_a_person_names_only_the_horses_they_are_on(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    stop_move(
        accesses=accesses(cast, cast.owner, cases),
        kind="farrier",
        on=now.date() + 3 * DAY,
        at=time(14, 30),
        now=now,
    )
    day = "planned for 5 Nov 2026 at 14:30"
    assert told(cast.farrier) == [f"Acorn, Clover and Juniper: {day}"]
    assert told(cast.carer) == [f"Juniper: {day}"]
    assert told(cast.owner) == []


def test_the_same_form_sent_twice_tells_once(cast: Cast, cases: list[Case], now: datetime) -> None:
    for _ in range(2):
        stop_move(
            accesses=accesses(cast, cast.owner, cases),
            kind="farrier",
            on=now.date() + 3 * DAY,
            client_key="one form",
            now=now,
        )
    assert len(told(cast.farrier)) == 1


def test_horses_without_a_day_are_planned_with_the_others(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    Visit.objects.filter(horse=cases[1].horse).delete()
    stop_move(
        accesses=accesses(cast, cast.farrier, cases),
        kind="farrier",
        on=now.date() + 2 * DAY,
        now=now,
    )
    assert [day for day, _, _ in days(now)] == [2, 2, 2]


def test_one_horse_that_may_not_be_moved_keeps_them_all(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    held = accesses(cast, cast.owner, cases)
    Membership.objects.filter(case=cases[2], person=cast.owner).update(left_at=now)
    with pytest.raises(PermissionDenied):
        stop_move(accesses=held, kind="farrier", on=now.date() + 3 * DAY, now=now)
    assert [day for day, _, _ in days(now)] == [1, 1, 1]


def test_a_carer_moves_nothing(cast: Cast, cases: list[Case], now: datetime) -> None:
    mine = accesses(cast, cast.carer, cases[:1])
    with pytest.raises(PermissionDenied):
        stop_move(accesses=mine, kind="farrier", on=now.date() + 3 * DAY, now=now)


def test_the_other_side_confirms_all_that_wait(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    mine = accesses(cast, cast.owner, cases)
    assert len(stop_confirm(accesses=mine, kind="farrier", now=now)) == 3
    assert told(cast.farrier) == ["Acorn, Clover and Juniper: the day is confirmed"]
    with pytest.raises(DeedRefused, match="waits for your side"):
        stop_confirm(accesses=mine, kind="farrier", now=now)


def test_the_side_that_planned_does_not_confirm(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    with pytest.raises(DeedRefused, match="waits for your side"):
        stop_confirm(accesses=accesses(cast, cast.farrier, cases), kind="farrier", now=now)


def test_all_are_cancelled_with_the_reason(cast: Cast, cases: list[Case], now: datetime) -> None:
    mine = accesses(cast, cast.owner, cases)
    stop_cancel(accesses=mine, kind="farrier", reason="Away.", now=now)
    assert days(now) == []
    assert last_line(cases[0], "visit.cancelled").after == {"on": "2026-11-03", "reason": "Away."}
    with pytest.raises(DeedRefused, match="None of these horses"):
        stop_cancel(accesses=mine, kind="farrier", reason="Away.", now=now)


def test_running_late_tells_the_yard_and_moves_nothing(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    stop_late(accesses=accesses(cast, cast.farrier, cases), kind="farrier", minutes=30, now=now)
    assert told(cast.owner) == ["Acorn, Clover and Juniper: Finn Farrier is about 30 minutes late"]
    assert days(now) == [(1, time(9), "Fronts")] * 3


def test_nobody_is_late_for_a_colleagues_visit(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    mine = accesses(cast, cast.stand_in, cases[:1])
    with pytest.raises(DeedRefused, match="None of these horses"):
        stop_late(accesses=mine, kind="farrier", minutes=30, now=now)


@pytest.mark.parametrize("minutes", [0, -5, 7, 10_000])
def test_only_what_is_offered_can_be_said(
    cast: Cast, cases: list[Case], now: datetime, minutes: int
) -> None:
    with pytest.raises(DeedRefused, match="how late"):
        stop_late(
            accesses=accesses(cast, cast.farrier, cases), kind="farrier", minutes=minutes, now=now
        )


def test_whoever_comes_sets_the_order_and_no_version_changes(
    cast: Cast, cases: list[Case], now: datetime
) -> None:
    before = list(Visit.objects.order_by("pk").values_list("version", flat=True))
    places = {case.public_id: 3 - number for number, case in enumerate(cases)}
    stop_order(accesses=accesses(cast, cast.farrier, cases), kind="farrier", places=places)
    ordered = Visit.objects.planned().order_by("day_order")
    assert list(ordered.values_list("horse__name", flat=True)) == ["Clover", "Acorn", "Juniper"]
    assert list(Visit.objects.order_by("pk").values_list("version", flat=True)) == before


@pytest.mark.parametrize("who", ["owner", "vet"])
def test_the_order_is_for_whoever_comes(
    cast: Cast, cases: list[Case], now: datetime, who: str
) -> None:
    mine = accesses(cast, cast.everyone[who], cases[:1])
    with pytest.raises(PermissionDenied):
        stop_order(accesses=mine, kind="farrier", places={cases[0].public_id: 1})


def test_a_change_of_zone_moves_no_visit(cast: Cast, cases: list[Case], settings: object) -> None:
    settings.TIME_ZONE = "America/Chicago"  # type: ignore[attr-defined]
    visit = Visit.objects.planned().filter(horse=cases[0].horse).get()
    assert (visit.planned_time, visit.planned_zone) == (time(9), "UTC")


def test_no_horses_are_refused(now: datetime) -> None:
    with pytest.raises(DeedRefused, match="No horse"):
        stop_move(accesses=[], kind="farrier", on=now.date(), now=now)

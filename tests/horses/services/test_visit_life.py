"""The life of a visit, walked: each status meets each deed, and becomes what its table says."""

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta
from typing import NamedTuple

import pytest
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.models import Horse, Role, Visit
from horses.models.visit_life import (
    LIFE,
    MEANING,
    NoSuchTurn,
    VisitChange,
    VisitStatus,
    status_after,
)
from horses.rules.missed_visits import UNHEARD_AFTER, visits_unheard
from horses.services.deed import DeedRefused
from horses.services.horses import horse_set_state
from horses.services.visit_correct import visit_correct
from horses.services.visit_planning import (
    vet_visit_follow,
    vet_visit_keep,
    visit_cancel,
    visit_confirm,
    visit_plan,
)
from horses.services.visit_void import visit_void
from horses.services.visit_vouch import report_confirm
from horses.services.visit_word import report_take_back, visit_deny, visit_report
from horses.services.visits import visit_record
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
REFUSED = (DeedRefused, Conflict, Http404)


def _move(cast: Cast, visit: Visit, now: datetime) -> None:
    visit_plan(access=cast.access(cast.owner), on=now.date() + 9 * DAY, now=now)


def _confirm(cast: Cast, visit: Visit, now: datetime) -> None:
    visit_confirm(access=cast.access(cast.owner), public_id=visit.public_id, now=now)


def _cancel(cast: Cast, visit: Visit, now: datetime) -> None:
    owner = cast.access(cast.owner)
    visit_cancel(access=owner, public_id=visit.public_id, reason="Ill.", now=now)


def _pause(cast: Cast, visit: Visit, now: datetime) -> None:
    owner = cast.access(cast.owner)
    horse_set_state(access=owner, state=Horse.State.PAUSED, reason="Away.", version=None, now=now)


def _nothing_heard(cast: Cast, visit: Visit, now: datetime) -> None:
    Visit.objects.filter(pk=visit.pk).update(planned_on=(now - UNHEARD_AFTER - DAY).date())
    visits_unheard(cast.horse, now)


def _write_up(cast: Cast, visit: Visit, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    visit_record(access=farrier, kept_on=now.date(), work=[], planned_id=visit.public_id, now=now)


def _correct(cast: Cast, visit: Visit, now: datetime) -> None:
    visit_correct(
        access=cast.access(cast.farrier),
        public_id=visit.public_id,
        kept_on=now.date(),
        work=[],
        words="",
        outcomes=[],
        reason="Another day.",
        now=now,
    )


def _take_back(cast: Cast, visit: Visit, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    visit_void(access=farrier, public_id=visit.public_id, reason="Not this horse.", now=now)


def _examine(cast: Cast, visit: Visit, now: datetime) -> None:
    vet_visit_keep(cast.access(cast.vet), now.date(), now)


def _exam_moved(cast: Cast, visit: Visit, now: datetime) -> None:
    vet_visit_follow(cast.access(cast.vet), _told_at(visit), (now - DAY).date(), now)


def _exam_taken_back(cast: Cast, visit: Visit, now: datetime) -> None:
    vet_visit_follow(cast.access(cast.vet), _told_at(visit), None, now)


def _exam_taken_back_beside(cast: Cast, visit: Visit, now: datetime) -> None:
    _visit(cast, VisitStatus.PLANNED, Visit.Kind.VET, now)
    _exam_taken_back(cast, visit, now)


def _report(cast: Cast, visit: Visit, now: datetime) -> None:
    visit_report(access=cast.access(cast.owner), on=now.date(), visit_id=visit.public_id, now=now)


def _deny(cast: Cast, visit: Visit, now: datetime) -> None:
    visit_deny(access=cast.access(cast.carer), public_id=visit.public_id, now=now)


def _vouch(cast: Cast, visit: Visit, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    report_confirm(access=farrier, public_id=visit.public_id, left="barefoot", now=now)


def _unsay(cast: Cast, visit: Visit, now: datetime) -> None:
    owner = cast.access(cast.owner)
    report_take_back(access=owner, public_id=visit.public_id, reason="Another day.", now=now)


def _unsay_alone(cast: Cast, visit: Visit, now: datetime) -> None:
    beside = _visit(cast, VisitStatus.PLANNED, Visit.Kind.FARRIER, now)
    Visit.objects.filter(pk=beside.pk).update(recorded_at=now)  # in another breath
    _unsay(cast, visit, now)


def _told_at(visit: Visit) -> datetime:
    assert visit.changed_at is not None
    return visit.changed_at


class Way(NamedTuple):
    """A deed of a service, and the change that it is to the visit."""

    change: VisitChange
    do: Callable[[Cast, Visit, datetime], None]
    kind: str = Visit.Kind.FARRIER


WAYS = (
    Way(VisitChange.MOVE, _move),
    Way(VisitChange.CONFIRM, _confirm),
    Way(VisitChange.CANCEL, _cancel),
    Way(VisitChange.CANCEL, _pause),
    Way(VisitChange.UNHEARD, _nothing_heard),
    Way(VisitChange.WRITE_UP, _write_up),
    Way(VisitChange.CORRECT, _correct),
    Way(VisitChange.TAKE_BACK, _take_back),
    Way(VisitChange.REPORT, _report),
    Way(VisitChange.DENY, _deny),
    Way(VisitChange.VOUCH, _vouch),
    Way(VisitChange.UNSAY, _unsay),
    Way(VisitChange.UNSAY_ALONE, _unsay_alone),
    Way(VisitChange.EXAMINE, _examine, Visit.Kind.VET),
    Way(VisitChange.EXAM_MOVED, _exam_moved, Visit.Kind.VET),
    Way(VisitChange.EXAM_TAKEN_BACK, _exam_taken_back, Visit.Kind.VET),
    Way(VisitChange.EXAM_TAKEN_BACK_BESIDE, _exam_taken_back_beside, Visit.Kind.VET),
)


def _visit(cast: Cast, status: str, kind: str, now: datetime) -> Visit:
    """A row in the status, however it may have come there."""
    who, role = (cast.vet, Role.VET) if kind == Visit.Kind.VET else (cast.farrier, Role.FARRIER)
    means = MEANING[VisitStatus(status)]
    written = means.written_up
    said = status in (VisitStatus.REPORTED, VisitStatus.NOT_KEPT)
    return Visit.objects.create(
        horse=cast.horse,
        case=cast.case,
        kind=kind,
        status=status,
        planned_on=now.date(),
        kept_on=now.date() if written or means.took_place else None,
        planned_for=who,
        planned_by_role=role,
        person=who if written else None,
        person_name=str(who) if written else "",
        person_role=role if written else "",
        reported_by=cast.owner if said else None,
        reported_name=str(cast.owner) if said else "",
        reported_role=Role.OWNER if said else "",
        reported_at=now - DAY if said else None,
        recorded_at=now - 9 * DAY,
        changed_at=now - DAY,
    )


@pytest.mark.parametrize("status", VisitStatus)
@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.do.__name__.strip("_"))
def test_each_deed_makes_of_a_visit_what_the_table_says_or_leaves_it(
    cast: Cast, now: datetime, way: Way, status: VisitStatus
) -> None:
    visit = _visit(cast, status, way.kind, now)
    with suppress(*REFUSED):
        way.do(cast, visit, now)
    visit.refresh_from_db()
    allowed = LIFE[status].get(way.change)
    assert visit.status == (allowed or status)
    assert (visit.changed_at == now) is (allowed is not None)


def test_every_status_has_its_meaning_and_every_change_a_deed_that_was_walked() -> None:
    assert set(LIFE) == set(MEANING) == set(VisitStatus)
    assert {way.change for way in WAYS} == set(VisitChange)


@pytest.mark.parametrize("status", VisitStatus)
def test_a_change_that_the_table_does_not_name_is_never_written(status: VisitStatus) -> None:
    for change in set(VisitChange) - set(LIFE[status]):
        with pytest.raises(NoSuchTurn):
            status_after(status, change)


def test_from_a_new_day_every_status_is_reached() -> None:
    reached = {VisitStatus.PLANNED}
    for _ in VisitStatus:
        reached |= {after for status in reached for after in LIFE[status].values()}
    assert reached == set(VisitStatus)


def test_a_visit_that_was_cancelled_or_struck_through_ends_there() -> None:
    assert [LIFE[status] for status in (VisitStatus.CANCELLED, VisitStatus.VOIDED)] == [{}, {}]


@pytest.mark.parametrize(
    "status", [VisitStatus.CANCELLED, VisitStatus.NOT_KEPT, VisitStatus.VOIDED]
)
def test_a_visit_that_did_not_take_place_or_was_taken_back_is_read_by_nothing(
    status: VisitStatus, cast: Cast, now: datetime
) -> None:
    visit = visit_plan(access=cast.access(cast.owner), on=now.date() + 9 * DAY, now=now)
    assert list(Visit.objects.counting()) == [visit]
    Visit.objects.filter(pk=visit.pk).update(status=status)
    assert list(Visit.objects.counting()) == []

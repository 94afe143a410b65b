"""Planned, confirmed, kept, late, cancelled, not written up; and what follows from it."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from horses.models import Alert, Horse, Person, Visit
from horses.queries.visit_statistics import outcome_words, rhythm_for
from horses.rules.calendar import stand_in_offered, visit_overdue
from horses.rules.engine import evaluate
from horses.rules.missed_visits import UNHEARD_AFTER
from horses.services.deed import DeedRefused
from horses.services.exams import exam_record
from horses.services.visit_planning import (
    visit_cancel,
    visit_confirm,
    visit_plan,
)
from horses.services.visit_word import visit_deny
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of, verbs

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def plan(
    cast: Cast, by: Person, days: int, now: datetime, *, seen: int | None = None, **more: Any
) -> Visit:
    at = now + seen * DAY if seen is not None else now
    return visit_plan(access=cast.access(by), on=at.date() + days * DAY, now=at, **more)


def unheard(cast: Cast, now: datetime, days_ago: int) -> Visit:
    """A visit planned for that many days ago of which nobody has said a word."""
    at = now - (days_ago + 7) * DAY
    visit = visit_plan(access=cast.access(cast.farrier), on=(now - days_ago * DAY).date(), now=at)
    evaluate(cast.horse, now=at + 7 * DAY + UNHEARD_AFTER + DAY)
    visit.refresh_from_db()
    return visit


def test_a_visit_is_for_the_farrier_who_planned_it(cast: Cast, now: datetime) -> None:
    assert plan(cast, cast.farrier, 9, now).planned_for == cast.farrier


def test_the_owner_plans_for_the_only_farrier_who_is_not_a_stand_in(
    cast: Cast, now: datetime
) -> None:
    assert plan(cast, cast.owner, 9, now).planned_for == cast.farrier


def test_somebody_who_left_the_team_cannot_be_expected(cast: Cast, now: datetime) -> None:
    gone = cast.case.memberships.get(person=cast.removed)
    with pytest.raises(DeedRefused):
        plan(cast, cast.owner, 9, now, member_id=gone.public_id)


def test_the_other_side_confirms_and_moving_takes_it_back(cast: Cast, now: datetime) -> None:
    visit = plan(cast, cast.farrier, 9, now)
    confirmed = visit_confirm(access=cast.access(cast.owner), public_id=visit.public_id, now=now)
    assert (confirmed.confirmed_name, outcome_words(confirmed)) == ("Ola Owner", "confirmed")
    assert plan(cast, cast.owner, 12, now).confirmed_at is None


def test_ones_own_side_does_not_confirm_its_own_day(cast: Cast, now: datetime) -> None:
    visit = plan(cast, cast.farrier, 9, now)
    with pytest.raises(DeedRefused):
        visit_confirm(access=cast.access(cast.stand_in), public_id=visit.public_id, now=now)


@pytest.mark.parametrize(("days", "status"), [(3, "planned"), (4, "missed")])
def test_three_days_after_its_day_a_visit_counts_as_not_heard_from(
    cast: Cast, now: datetime, days: int, status: str
) -> None:
    at = now - 20 * DAY
    visit = visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    evaluate(cast.horse, now=at + days * DAY)
    visit.refresh_from_db()
    assert visit.status == status
    assert ("visit.unheard" in verbs(cast.case)) == (status == "missed")


def test_a_paused_horse_has_no_visit_that_nobody_heard_of(cast: Cast, now: datetime) -> None:
    visit = plan(cast, cast.farrier, 1, now)
    Horse.objects.filter(pk=cast.horse.pk).update(state="paused")
    evaluate(cast.horse, now=now + 20 * DAY)
    visit.refresh_from_db()
    assert visit.status == "planned"


def test_a_day_that_nobody_spoke_of_raises_no_alert(cast: Cast, now: datetime) -> None:
    unheard(cast, now, 6)
    assert not Alert.objects.filter(rule__startswith="visit.").exists()


def test_a_visit_written_up_after_all_is_that_visit_kept_late(cast: Cast, now: datetime) -> None:
    visit = unheard(cast, now, 6)
    done = build.visit(cast.access(cast.farrier), now, now.date())
    assert done.pk == visit.pk
    assert outcome_words(done) == "kept 6 days late"


def test_the_stand_ins_visit_does_not_undo_that_nothing_was_heard(
    cast: Cast, now: datetime
) -> None:
    visit = unheard(cast, now, 6)
    build.visit(cast.access(cast.stand_in), now, now.date())
    visit.refresh_from_db()
    assert visit.status == "missed"


def test_planning_anew_leaves_the_unheard_day_as_it_was(cast: Cast, now: datetime) -> None:
    at = now - 10 * DAY
    old = visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    new = plan(cast, cast.owner, 5, now)
    old.refresh_from_db()
    assert (old.pk != new.pk, old.status) == (True, "missed")


def denied(cast: Cast, now: datetime, days: int) -> None:
    visit = unheard(cast, now, days)
    visit_deny(access=cast.access(cast.owner), public_id=visit.public_id, now=now)


def test_silence_offers_no_stand_in(cast: Cast, now: datetime) -> None:
    for days in (30, 20, 6):
        unheard(cast, now, days)
    assert list(stand_in_offered(cast.horse, now)) == []


def test_one_denied_visit_offers_nobody_and_two_offer_the_stand_in(
    cast: Cast, now: datetime
) -> None:
    denied(cast, now, 20)
    assert list(stand_in_offered(cast.horse, now)) == []
    denied(cast, now, 6)
    (finding,) = stand_in_offered(cast.horse, now)
    assert "The last 2 planned visits did not take place, as people on this board say" in (
        finding.sentence
    )
    assert "Stina Standin could come instead" in finding.sentence


def test_the_offer_ends_when_the_stand_in_is_asked_or_a_visit_is_kept(
    cast: Cast, now: datetime
) -> None:
    for days in (20, 6):
        denied(cast, now, days)
    member = cast.case.memberships.get(person=cast.stand_in)
    asked = plan(cast, cast.owner, 2, now, member_id=member.public_id)
    assert list(stand_in_offered(cast.horse, now)) == []
    visit_cancel(access=cast.access(cast.owner), public_id=asked.public_id, reason="Rain", now=now)
    assert len(list(stand_in_offered(cast.horse, now))) == 1
    build.visit(cast.access(cast.stand_in), now, now.date())
    assert list(stand_in_offered(cast.horse, now)) == []


def test_without_a_stand_in_the_owner_is_told_to_invite_one(cast: Cast, now: datetime) -> None:
    for days in (20, 6):
        denied(cast, now, days)
    cast.case.memberships.filter(person=cast.stand_in).update(left_at=now)
    (finding,) = stand_in_offered(cast.horse, now)
    assert "The owner can invite a stand-in farrier" in finding.sentence


def test_the_counts_are_plain_and_by_farrier(cast: Cast, now: datetime) -> None:
    first = now - 120 * DAY
    build.visit(cast.access(cast.farrier), first, first.date())
    second = now - 78 * DAY
    visit_plan(access=cast.access(cast.farrier), on=second.date(), now=first)
    build.visit(
        cast.access(cast.farrier),
        second,
        second.date(),
        planned_id=Visit.objects.get(status="planned").public_id,
    )
    denied(cast, now, 20)
    build.visit(cast.access(cast.stand_in), now, (now - 10 * DAY).date())
    counts = {one.name: one for one in rhythm_for(cast.access(cast.owner)).farriers}
    finn, stina = counts["Finn Farrier"], counts["Stina Standin"]
    assert (finn.kept, finn.late, finn.denied, finn.average_days) == (2, 0, 1, 42)
    assert (stina.kept, stina.average_days) == (1, 68)


def test_the_counts_are_of_this_case_only(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, now.date())
    assert rhythm_for(cast.access(cast.farrier, cast.concern)).farriers == []
    page = text_of(Door(cast.other_farrier, cast.other_case).get("visits"))
    assert "Finn Farrier" not in page


def test_the_page_shows_the_counts_to_the_team(
    cast: Cast, now: datetime, clock_stands: datetime
) -> None:
    denied(cast, now, 6)
    page = text_of(Door(cast.owner, cast.case).get("visits"))
    assert "did not take place, as Ola Owner says" in page
    assert "<dt>Did not take place, as somebody said</dt><dd>1</dd>" in page


def test_a_day_that_nobody_spoke_of_counts_for_nobody(
    cast: Cast, now: datetime, clock_stands: datetime
) -> None:
    unheard(cast, now, 6)
    assert "How the days were kept" not in text_of(Door(cast.owner, cast.case).get("visits"))


def test_a_vet_visit_stands_beside_the_farriers(cast: Cast, now: datetime) -> None:
    farriers = plan(cast, cast.farrier, 9, now)
    vets = plan(cast, cast.owner, 5, now, kind="vet")
    assert (vets.kind, vets.planned_for) == ("vet", cast.vet)
    farriers.refresh_from_db()
    assert farriers.status == "planned"


@pytest.mark.parametrize(("days", "status"), [(3, "kept"), (20, "planned")])
def test_an_examination_about_then_is_the_vet_visit_kept(
    cast: Cast, now: datetime, days: int, status: str
) -> None:
    visit = plan(cast, cast.owner, days, now, kind="vet")
    exam_record(
        access=cast.access(cast.vet),
        examined_at=now,
        feet=[],
        grade=None,
        words="Sound.",
        now=now,
    )
    visit.refresh_from_db()
    assert visit.status == status


def test_a_vet_visit_does_not_make_the_farrier_overdue_or_due(cast: Cast, now: datetime) -> None:
    plan(cast, cast.owner, 2, now, kind="vet")
    assert list(visit_overdue(cast.horse, now)) == []


def test_the_planning_page_offers_the_stand_in_when_asked(
    cast: Cast, clock_stands: datetime
) -> None:
    page = text_of(Door(cast.owner, cast.case).get("visit_plan", who="stand_in"))
    member = cast.case.memberships.get(person=cast.stand_in)
    assert f'value="{member.public_id}" id="id_who_1" checked' in " ".join(page.split()) or (
        "checked" in page.split(member.public_id)[1][:120]
    )


def test_a_vet_visit_is_planned_on_its_own_page(cast: Cast, clock_stands: datetime) -> None:
    door = Door(cast.owner, cast.case)
    day = date(2026, 11, 12)
    answer = door.post(
        "visit_plan", query="kind=vet", version="0", quick="day", on=str(day), who="", words=""
    )
    assert answer.status_code == 302
    assert Visit.objects.get().kind == "vet"

"""A visit that was written up by mistake: struck through everywhere, and reckoned from nowhere."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from caseboard.lib.errors import Conflict
from horses.models import FlagAnswer, Membership, PlanItemOutcome, Trim, Visit
from horses.queries.board import flag_is_open, last_trimmed_on, next_visit
from horses.queries.day_list import round_for
from horses.queries.herd import herd_for
from horses.queries.shoes import last_shoeing, shoes_now
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version
from horses.services.team import member_remove
from horses.services.visits import ItemOutcome, WorkDone
from measurements.models import Reading
from measurements.queries.numbers import current_readings, numbers_of
from measurements.services.visit_record import visit_write_up
from measurements.services.visit_void import visit_take_back
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, text_of, told, verbs

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
WHY = "It was Bramble's visit."


def wrong_visit(cast: Cast, now: datetime, **more: object) -> Visit:
    """Written up an hour ago on the wrong horse: a new shoe, two readings, a next day."""
    at = now - timedelta(hours=1)
    fields: dict[str, object] = {
        "work": [WorkDone("LF", trimmed=True, shoeing_left="shod", shoe="new", size="5")],
        "readings": [build.taken("LF", "toe_angle", 52), build.taken("RF", "toe_angle", 51)],
        "words": "Front shoes.",
        "next_on": (now + timedelta(days=40)).date(),
        **more,
    }
    farrier = cast.access(cast.farrier)
    return visit_write_up(access=farrier, kept_on=at.date(), now=at, **fields)  # type: ignore[arg-type]


def take_back(cast: Cast, visit: Visit, now: datetime) -> Visit:
    return visit_take_back(
        access=cast.access(cast.farrier), public_id=visit.public_id, reason=WHY, now=now
    )


def test_its_readings_are_kept_and_count_no_more(cast: Cast, now: datetime) -> None:
    before = build.reading(cast.access(cast.owner), now, "LF", "toe_angle", 50, date(2026, 9, 1))
    take_back(cast, wrong_visit(cast, now), now)
    assert list(current_readings(cast.horse)) == [before]
    assert Reading.objects.filter(visit__isnull=False, is_void=False).count() == 2
    assert [
        r.value for r in numbers_of(cast.horse, today=now.date()).readings["LF", "toe_angle"]
    ] == [50]


def test_its_trims_and_its_shoe_are_taken_back(cast: Cast, now: datetime) -> None:
    take_back(cast, wrong_visit(cast, now), now)
    assert not Trim.objects.in_force().filter(horse=cast.horse).exists()
    assert numbers_of(cast.horse, today=now.date()).trim_days("LF") == []
    assert last_trimmed_on(cast.horse) is None
    assert last_shoeing(cast.horse) == {}
    assert shoes_now(cast.horse).feet == {}


def test_its_trims_count_neither_in_the_herd_nor_on_the_round(cast: Cast, now: datetime) -> None:
    """It is due from the trim before."""
    trimmed, today = now - timedelta(days=60), now.date()
    build.visit(cast.access(cast.farrier), trimmed, trimmed.date())
    visit = wrong_visit(cast, now, next_on=None)

    def said() -> tuple[date | None, list[int]]:
        [line] = herd_for(cast.farrier, today=today)
        stops = round_for(cast.farrier, first=today, last=today, today=today).unplanned
        return line.last_trim_on, [stop.due.days for stop in stops]

    assert said() == (today, [])
    take_back(cast, visit, now)
    assert said() == (trimmed.date(), [-11])


def test_a_trim_that_another_reading_of_the_day_speaks_of_stays(cast: Cast, now: datetime) -> None:
    visit = wrong_visit(cast, now, readings=[])
    assert visit.kept_on is not None
    build.reading(cast.access(cast.vet), now, "LF", "toe_angle", 50, visit.kept_on)
    take_back(cast, visit, now)
    assert list(Trim.objects.in_force().values_list("foot", flat=True)) == ["LF"]


def test_the_next_day_planned_with_it_goes_unless_it_was_confirmed(
    cast: Cast, now: datetime
) -> None:
    first = wrong_visit(cast, now)
    take_back(cast, first, now)
    assert next_visit(cast.horse) is None
    second = wrong_visit(cast, now + timedelta(minutes=5))
    Visit.objects.filter(status="planned").update(confirmed_at=now)
    take_back(cast, second, now + timedelta(minutes=9))
    assert next_visit(cast.horse) is not None


def test_who_when_and_why_stand_on_every_page(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.vet), now, who_does="farrier")
    outcome = ItemOutcome(latest_version(item).public_id, PlanItemOutcome.Result.DONE)
    visit = take_back(cast, wrong_visit(cast, now, outcomes=[outcome]), now)
    assert (visit.voided_name, visit.voided_at) == ("Finn Farrier", now)
    owner = Door(cast.owner, cast.case)
    for page in (owner.get("board"), owner.get("visits"), owner.get("history")):
        assert "It was Bramble&#x27;s visit." in text_of(page)
    assert "<s><b>" in text_of(owner.get("board"))
    assert "visit taken back" in text_of(owner.get("plan_item", item.public_id))
    series = text_of(owner.get("series", "LF", "toe_angle"))
    assert "<s>52" in series
    assert "Visit taken back: It was" in series
    assert verbs(cast.case)[-3:] == ["visit.voided", "visit.cancelled", "readings.voided"]
    assert last_line(cast.case, "visit.voided").after["items"] == [1]  # type: ignore[index]
    assert "Ola Owner" in told(cast.case, "visit.voided")


def test_a_lost_shoe_that_it_had_settled_is_lost_again(cast: Cast, now: datetime) -> None:
    owner = cast.access(cast.owner)
    flag = build.flag(owner, now - timedelta(days=2), "lost_shoe", feet=["LF"])
    visit = wrong_visit(cast, now)
    assert not flag_is_open(flag)
    take_back(cast, visit, now)
    assert flag_is_open(flag)
    assert flag.answers.latest("pk").kind == FlagAnswer.Kind.REOPENED
    assert not shoes_now(cast.horse).feet["LF"].is_shod
    page = text_of(Door(cast.owner, cast.case).client.get("/horses/"))
    assert "flag" in page


def test_a_colleague_may_not_take_it_back_while_the_writer_is_there(
    cast: Cast, now: datetime
) -> None:
    visit = wrong_visit(cast, now)
    asked = {"public_id": visit.public_id, "reason": WHY, "now": now}
    with pytest.raises(PermissionDenied, match="Finn Farrier wrote this visit up"):
        visit_take_back(access=cast.access(cast.stand_in), **asked)  # type: ignore[arg-type]
    for board in (cast.case, cast.concern):
        member = Membership.objects.get(case=board, person=cast.farrier, left_at=None)
        member_remove(
            access=cast.access(cast.owner, board), membership_id=member.public_id, now=now
        )
    visit_take_back(access=cast.access(cast.stand_in), **asked)  # type: ignore[arg-type]
    visit.refresh_from_db()
    assert visit.status == Visit.Status.VOIDED


def test_it_needs_a_reason(cast: Cast, now: datetime) -> None:
    visit = wrong_visit(cast, now)
    with pytest.raises(DeedRefused):
        visit_take_back(
            access=cast.access(cast.farrier), public_id=visit.public_id, reason=" ", now=now
        )
    page = Door(cast.farrier, cast.case).post("visit_void", visit.public_id, reason="")
    assert page.status_code == 422
    assert "Say why" in text_of(page)


def test_twice_with_the_same_words_is_once_and_with_others_a_conflict(
    cast: Cast, now: datetime
) -> None:
    visit = wrong_visit(cast, now)
    take_back(cast, visit, now)
    lines = len(verbs(cast.case))
    take_back(cast, visit, now)
    assert len(verbs(cast.case)) == lines
    farrier = replace(cast.access(cast.farrier))
    with pytest.raises(Conflict):
        visit_take_back(access=farrier, public_id=visit.public_id, reason="Other", now=now)
    page = Door(cast.farrier, cast.case).post("visit_void", visit.public_id, reason="Other")
    assert page.status_code == 409
    assert WHY.replace("'", "&#x27;") in text_of(page)


def test_the_page_says_what_goes_with_it_and_the_list_leads_there(
    cast: Cast, now: datetime
) -> None:
    visit = wrong_visit(cast, now)
    door = Door(cast.farrier, cast.case)
    assert "2 measurements: struck through" in text_of(door.get("visit_void", visit.public_id))
    assert door.address("visit_void", visit.public_id) in text_of(door.get("visits"))
    other = Door(cast.stand_in, cast.case)
    assert "take-back" not in text_of(other.get("visits"))
    sent = door.post("visit_void", visit.public_id, reason=WHY)
    assert sent.status_code == 302
    assert "taken back" in text_of(door.client.get(sent["Location"]))

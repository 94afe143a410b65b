"""A visit written up on the wrong horse is carried over to the right one, in one step."""

import re
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse

from caseboard.lib.errors import Conflict
from horses.ledger.verify import broken_lines
from horses.models import Role, Visit
from horses.queries.board import last_trimmed_on, next_visit, visits_for
from horses.queries.shoes import shoes_now
from horses.services.deed import DeedRefused
from horses.services.visit_planning import visit_plan
from horses.services.visits import WorkDone
from measurements.models import Reading
from measurements.queries.numbers import current_readings
from measurements.services.visit_other_horse import visit_to_other_horse
from measurements.services.visit_record import visit_write_up
from measurements.services.visit_void import visit_take_back
from tests import build
from tests.cast import Cast, join
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
WHY = "It was the other bay."


@pytest.fixture
def visit(cast: Cast, now: datetime) -> Visit:
    """An hour ago on the wrong horse; the farrier is on the other horse's team as well."""
    join(cast.other_case, cast.farrier, Role.FARRIER, now - timedelta(days=9))
    at = now - timedelta(hours=1)
    return visit_write_up(
        access=cast.access(cast.farrier),
        kept_on=at.date(),
        words="Front shoes.",
        now=at,
        work=[WorkDone("LF", trimmed=True, shoeing_left="shod", shoe="new", size="5", nails=6)],
        readings=[
            build.taken("LF", "toe_angle", 50, trim_state="before", shoe_then="on"),
            build.taken("LF", "toe_angle", 52),
        ],
        next_on=(now + timedelta(days=40)).date(),
    )


def there(cast: Cast) -> Any:
    return cast.access(cast.farrier, cast.other_case)


def carry(cast: Cast, visit: Visit, now: datetime, **more: Any) -> Visit:
    fields = {"access": cast.access(cast.farrier), "to": there(cast), "reason": WHY, **more}
    return visit_to_other_horse(public_id=visit.public_id, now=now, **fields)


def send(cast: Cast, visit: Visit, **more: str) -> HttpResponse:
    fields = {"reason": WHY, "other": cast.other_case.public_id, **more}
    return Door(cast.farrier, cast.case).post("visit_void", visit.public_id, **fields)


def said(rows: Any) -> list[tuple[Any, ...]]:
    names = ("foot", "quantity", "value", "entered_text", "method", "trim_state", "shoe_then")
    return [tuple(getattr(row, name) for name in names) for row in rows.order_by("pk")]


def test_the_old_one_is_struck_through_and_the_new_one_says_the_same(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    before = said(current_readings(cast.horse))
    new = carry(cast, visit, now)
    visit.refresh_from_db()
    assert (visit.status, visit.status_reason) == (Visit.Status.VOIDED, WHY)
    assert not current_readings(cast.horse).exists()
    assert last_trimmed_on(cast.horse) is None
    assert (new.horse, new.kept_on, new.words) == (
        cast.other_case.horse,
        visit.kept_on,
        "Front shoes.",
    )
    assert said(current_readings(new.horse)) == before
    assert shoes_now(new.horse).shod == {"LF"}
    [work] = new.work.all()
    assert (work.shoe, work.size, work.nails) == ("new", "5", 6)
    assert next_visit(cast.horse) is None
    planned = next_visit(new.horse)
    assert planned is not None
    assert planned.planned_on == (now + timedelta(days=40)).date()


def test_both_histories_say_so_and_both_teams_are_told(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    carry(cast, visit, now)
    assert "visit.voided" in verbs(cast.case)
    assert "visit.kept" in verbs(cast.other_case)
    assert list(broken_lines(cast.case)) == list(broken_lines(cast.other_case)) == []
    assert "Ola Owner" in told(cast.case, "visit.voided")
    assert told(cast.other_case, "visit.kept")


def test_the_one_team_does_not_learn_of_the_other_horse(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    carry(cast, visit, now)
    owner = Door(cast.owner, cast.case)
    for page in ("board", "visits", "history"):
        assert cast.other_case.horse.name not in text_of(owner.get(page))


def test_how_the_other_horses_foot_came_is_its_own(cast: Cast, now: datetime, visit: Visit) -> None:
    day = now.date() - timedelta(days=40)
    bare = [WorkDone("LF", trimmed=True, shoeing_left="barefoot")]
    build.visit(cast.access(cast.other_farrier, cast.other_case), now, day, work=bare)
    new = carry(cast, visit, now)
    rows = Reading.objects.filter(visit=new)
    assert rows.get(trim_state="before").shoeing == "barefoot"
    assert rows.get(trim_state="after").shoeing == "shod"


def test_the_visit_that_was_booked_for_that_day_is_it(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    assert visit.kept_on is not None
    booked = visit_plan(access=there(cast), on=visit.kept_on, now=now)
    new = carry(cast, visit, now)
    assert new.pk == booked.pk
    assert visits_for(there(cast)).filter(status=Visit.Status.KEPT).count() == 1


def test_the_same_form_twice_carries_it_over_once(cast: Cast, now: datetime, visit: Visit) -> None:
    for _ in range(2):
        assert send(cast, visit, client_key="one").status_code == 302
    assert Visit.objects.filter(horse=cast.other_case.horse, status="kept").count() == 1


def test_one_that_was_taken_back_is_not_carried_over(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    visit_take_back(
        access=cast.access(cast.farrier), public_id=visit.public_id, reason="No.", now=now
    )
    with pytest.raises(Conflict):
        carry(cast, visit, now)
    assert send(cast, visit).status_code == 409
    assert not Visit.objects.filter(horse=cast.other_case.horse).exists()


def test_the_right_on_the_other_horse_is_asked(cast: Cast, now: datetime, visit: Visit) -> None:
    strange = cast.access(cast.owner)
    with pytest.raises(PermissionDenied):
        carry(cast, visit, now, to=strange)
    with pytest.raises(DeedRefused):
        carry(cast, visit, now, to=cast.access(cast.farrier, cast.concern))
    shut(cast.other_case, now)
    with pytest.raises(PermissionDenied):
        carry(cast, visit, now)
    visit.refresh_from_db()
    assert visit.status == Visit.Status.KEPT
    assert not Visit.objects.filter(horse=cast.other_case.horse).exists()


def test_somebody_elses_visit_is_not_carried_over(cast: Cast, now: datetime, visit: Visit) -> None:
    join(cast.other_case, cast.stand_in, Role.FARRIER, now)
    stand_in = {"access": cast.access(cast.stand_in)}
    with pytest.raises(PermissionDenied):
        carry(cast, visit, now, to=cast.access(cast.stand_in, cast.other_case), **stand_in)
    with pytest.raises(Http404):
        visit_to_other_horse(
            access=there(cast),
            to=cast.access(cast.farrier),
            public_id=visit.public_id,
            reason=WHY,
            now=now,
        )


def test_the_page_offers_the_persons_own_other_horses_only(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    page = Door(cast.farrier, cast.case).get("visit_void", visit.public_id)
    choices = re.findall(r'<option value="([^"]*)"', text_of(page))
    assert choices == ["", cast.other_case.public_id]
    answer = send(cast, visit, other=cast.concern.public_id)
    assert answer.status_code == 422
    assert "Choose one of your own horses from the list." in text_of(answer)


def test_the_page_leads_to_the_other_horse_and_says_what_happened(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    door = Door(cast.farrier, cast.case)
    fields = {"reason": WHY, "other": cast.other_case.public_id}
    answer = door.post("visit_void", visit.public_id, **fields)
    there_too = Door(cast.farrier, cast.other_case)
    assert answer["Location"] == there_too.address("visits")
    page = text_of(door.client.get(answer["Location"]))
    assert f"stands here on {cast.other_case.horse.name}" in page
    assert "Correct this visit" in page


def test_values_that_do_not_fit_the_other_horse_are_asked_about(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    day = now.date() - timedelta(days=18)
    build.reading(there(cast), now, "LF", "toe_angle", 66, day)
    answer = send(cast, visit, client_key="k")
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Measured again and still 50°?" in page
    assert 'name="sure"' in page
    visit.refresh_from_db()
    assert visit.status == Visit.Status.KEPT
    assert send(cast, visit, client_key="k", sure="on").status_code == 302


def test_a_second_visit_of_that_day_is_asked_about(cast: Cast, now: datetime, visit: Visit) -> None:
    assert visit.kept_on is not None
    build.visit(cast.access(cast.other_farrier, cast.other_case), now, visit.kept_on)
    answer = send(cast, visit)
    assert answer.status_code == 422
    assert "has a visit of this day already, by Fia Other (" in text_of(answer)


def test_a_shoe_set_again_on_a_bare_foot_is_asked_about(
    cast: Cast, now: datetime, visit: Visit
) -> None:
    at, day = now - timedelta(minutes=30), now.date() - timedelta(days=40)
    bare = [WorkDone("LF", trimmed=True, shoeing_left="barefoot")]
    build.visit(cast.access(cast.other_farrier, cast.other_case), now, day, work=bare)
    reset = visit_write_up(
        access=cast.access(cast.farrier),
        kept_on=at.date(),
        now=at,
        readings=[],
        work=[WorkDone("LF", trimmed=True, shoeing_left="shod", shoe="reset")],
    )
    answer = send(cast, reset)
    assert answer.status_code == 422
    assert "Left fore: barefoot before that day, and the visit says shoe reset." in text_of(answer)
    assert send(cast, visit).status_code == 302  # a new shoe goes on a bare foot

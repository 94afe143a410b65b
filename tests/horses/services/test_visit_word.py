"""The word of somebody who did not do the work: what counts from it, who confirms, what is undone."""

from datetime import datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from horses.access import access_get, access_of, access_on
from horses.models import FootWork, HistoryLine, Horse, Membership, Notice, Trim, Visit
from horses.queries.board import last_trimmed_on, next_visit
from horses.queries.visit_questions import boards_at_place, words_for
from horses.rules.missed_visits import visits_unheard
from horses.services.deed import DeedRefused
from horses.services.visit_planning import vet_visit_keep, visit_plan
from horses.services.visit_vouch import report_confirm
from horses.services.visit_word import (
    report_take_back,
    visit_deny,
    visit_report,
    visits_report,
)
from horses.services.visits import WorkDone
from measurements.queries.numbers import numbers_of
from measurements.services.report_back import reports_take_back
from measurements.services.visit_record import visit_write_up
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
TEN = timedelta(minutes=10)
SECOND = timedelta(seconds=1)


def said(cast: Cast, now: datetime, days_ago: int = 0, who: str = "owner", **more: object) -> Visit:
    access = cast.access(getattr(cast, who))
    return visit_report(access=access, on=now.date() - days_ago * DAY, now=now, **more)  # type: ignore[arg-type]


def trims(cast: Cast) -> set[tuple[str, str]]:
    rows = Trim.objects.in_force().filter(horse=cast.horse)
    return {(t.foot, str(t.trimmed_on)) for t in rows}


@pytest.mark.parametrize("who", ["owner", "carer", "vet"])
def test_a_reported_visit_dates_the_trim_of_all_four_feet(
    cast: Cast, now: datetime, who: str
) -> None:
    visit = said(cast, now, 2, who)
    assert last_trimmed_on(cast.horse) == now.date() - 2 * DAY
    assert len(trims(cast)) == 4
    assert visit.word_of == f"reported by {getattr(cast, who)}, not yet confirmed by Finn Farrier"


def test_nothing_is_made_up_about_a_foot_that_nobody_described(cast: Cast, now: datetime) -> None:
    said(cast, now)
    assert not FootWork.objects.exists()


def test_a_reading_counts_its_cycle_from_a_reported_trim(cast: Cast, now: datetime) -> None:
    said(cast, now, 20)
    owner = cast.access(cast.owner)
    build.reading(owner, now, "LF", "toe_angle", 50, now.date(), trim_state="between")
    (reading,) = numbers_of(cast.horse, today=now.date()).series("LF", "toe_angle")
    assert reading.days_since_trim == 20


def test_a_planned_day_of_about_then_is_the_visit_that_is_reported(
    cast: Cast, now: datetime
) -> None:
    at = now - 5 * DAY
    planned = visit_plan(access=cast.access(cast.farrier), on=now.date() - 3 * DAY, now=at)
    assert said(cast, now, 2).pk == planned.pk
    assert next_visit(cast.horse) is None


def test_a_trim_of_long_ago_leaves_the_planned_day_alone(cast: Cast, now: datetime) -> None:
    planned = visit_plan(access=cast.access(cast.owner), on=now.date() + 10 * DAY, now=now)
    assert said(cast, now, 35).pk != planned.pk
    assert next_visit(cast.horse) == planned


def test_the_next_day_is_planned_with_the_report_also_by_a_carer(cast: Cast, now: datetime) -> None:
    said(cast, now, who="carer", next_on=now.date() + 42 * DAY)
    planned = next_visit(cast.horse)
    assert planned is not None
    assert (planned.planned_on, planned.planned_for) == (now.date() + 42 * DAY, cast.farrier)


def test_what_has_been_said_of_a_day_is_not_said_twice(cast: Cast, now: datetime) -> None:
    said(cast, now)
    with pytest.raises(DeedRefused, match="Ola Owner has said so already"):
        said(cast, now, who="carer")


def test_a_visit_that_the_farrier_wrote_up_needs_no_report(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, now.date())
    with pytest.raises(DeedRefused, match="Finn Farrier has written up"):
        said(cast, now)


def test_a_day_to_come_cannot_have_been(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="still to come"):
        said(cast, now, -1)


def test_the_others_are_told_and_the_reporter_is_not(cast: Cast, now: datetime) -> None:
    said(cast, now)
    told = Notice.objects.filter(verb="visit.reported")
    assert cast.farrier.pk in set(told.values_list("person", flat=True))
    assert cast.owner.pk not in set(told.values_list("person", flat=True))


# -- confirmed


def test_the_farrier_confirms_with_one_tap_in_a_row_of_their_own(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now - 50 * DAY, (now - 50 * DAY).date())
    report = said(cast, now, 1)
    visit = report_confirm(access=cast.access(cast.farrier), public_id=report.public_id, now=now)
    report.refresh_from_db()
    assert (visit.pk != report.pk, visit.corrects, report.status) == (True, report, "voided")
    assert (visit.person, visit.reported_name) == (cast.farrier, "Ola Owner")
    assert visit.word_of == "first reported by Ola Owner"
    work = {w.foot: (w.trimmed, w.shoe, w.shoeing_left) for w in visit.work.all()}
    assert work == dict.fromkeys(("LF", "RF", "LH", "RH"), (True, "none", "shod"))


def test_the_same_tap_twice_confirms_once(cast: Cast, now: datetime) -> None:
    report = said(cast, now)
    access = cast.access(cast.farrier)
    one, two = (
        report_confirm(access=access, public_id=report.public_id, left="barefoot", now=now)
        for _ in range(2)
    )
    assert one == two
    assert HistoryLine.objects.filter(verb="visit.vouched").count() == 1


@pytest.mark.parametrize("who", ["owner", "carer"])
def test_only_a_farrier_confirms_the_farriers_work(cast: Cast, now: datetime, who: str) -> None:
    report = said(cast, now)
    with pytest.raises(PermissionDenied):
        report_confirm(access=cast.access(getattr(cast, who)), public_id=report.public_id, now=now)


def test_a_vet_does_not_confirm_the_farriers_work(cast: Cast, now: datetime) -> None:
    report = said(cast, now)
    with pytest.raises(PermissionDenied, match="Only a farrier confirms"):
        report_confirm(access=cast.access(cast.vet), public_id=report.public_id, now=now)


def test_one_tap_is_not_enough_where_nobody_knows_how_the_feet_are(
    cast: Cast, now: datetime
) -> None:
    report = said(cast, now)
    with pytest.raises(DeedRefused, match="not known yet"):
        report_confirm(access=cast.access(cast.farrier), public_id=report.public_id, now=now)


def test_one_tap_does_not_put_a_lost_shoe_back(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now - 50 * DAY, (now - 50 * DAY).date())
    build.flag(cast.access(cast.owner), now - 2 * DAY, "lost_shoe", feet=["RH"])
    report = said(cast, now)
    with pytest.raises(DeedRefused, match="a shoe was lost"):
        report_confirm(access=cast.access(cast.farrier), public_id=report.public_id, now=now)


def test_the_farriers_write_up_stands_in_the_reports_place(cast: Cast, now: datetime) -> None:
    report = said(cast, now, 3)
    work = [WorkDone(foot=foot, trimmed=True, shoeing_left="shod") for foot in ("LF", "RF")]
    visit = visit_write_up(
        access=cast.access(cast.farrier),
        kept_on=now.date() - 2 * DAY,
        work=work,
        readings=[],
        now=now,
    )
    report.refresh_from_db()
    assert (visit.corrects, report.status) == (report, "voided")
    day = str(now.date() - 2 * DAY)
    assert trims(cast) == {("LF", day), ("RF", day)}
    line = HistoryLine.objects.get(verb="visit.kept")
    assert (line.after or {})["reported"]["by"] == "Ola Owner"


# -- undone


def test_a_wrong_tap_is_undone_within_ten_minutes_and_the_line_stays(
    cast: Cast, now: datetime
) -> None:
    report = said(cast, now, next_on=now.date() + 42 * DAY)
    undone = report_take_back(
        access=cast.access(cast.owner), public_id=report.public_id, now=now + TEN
    )
    assert (undone.status, trims(cast), next_visit(cast.horse)) == ("voided", set(), None)
    verbs = list(HistoryLine.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs[-4:] == ["visit.reported", "visit.planned", "visit.cancelled", "visit.unsaid"]


def test_after_ten_minutes_a_reason_is_asked(cast: Cast, now: datetime) -> None:
    report, late = said(cast, now), now + TEN + SECOND
    owner = cast.access(cast.owner)
    with pytest.raises(DeedRefused, match="Say why"):
        report_take_back(access=owner, public_id=report.public_id, now=late)
    report_take_back(access=owner, public_id=report.public_id, reason="Other day.", now=late)
    assert trims(cast) == set()


def test_another_persons_report_is_theirs_to_take_back(cast: Cast, now: datetime) -> None:
    report = said(cast, now)
    with pytest.raises(PermissionDenied, match="Ola Owner said this"):
        report_take_back(
            access=cast.access(cast.carer), public_id=report.public_id, reason="No.", now=now
        )


def test_a_planned_day_is_planned_again_when_its_report_is_undone(
    cast: Cast, now: datetime
) -> None:
    planned = visit_plan(access=cast.access(cast.farrier), on=now.date(), now=now - DAY)
    report = said(cast, now)
    report_take_back(access=cast.access(cast.owner), public_id=report.public_id, now=now)
    planned.refresh_from_db()
    assert (planned.status, planned.reported_name, planned.kept_on) == ("planned", "", None)


def test_a_trim_that_a_reading_speaks_of_stays_when_the_report_goes(
    cast: Cast, now: datetime
) -> None:
    report, owner = said(cast, now), cast.access(cast.owner)
    build.reading(owner, now, "LF", "toe_angle", 50, now.date())
    reports_take_back(said=[(owner, report)], now=now)
    assert trims(cast) == {("LF", str(now.date()))}


def test_a_confirmed_report_is_not_its_reporters_any_more(cast: Cast, now: datetime) -> None:
    report = said(cast, now)
    farrier = cast.access(cast.farrier)
    report_confirm(access=farrier, public_id=report.public_id, left="shod", now=now)
    with pytest.raises(DeedRefused, match="stands no more"):
        report_take_back(access=cast.access(cast.owner), public_id=report.public_id, now=now)


# -- asked about


def test_a_day_that_passed_is_asked_about_until_somebody_answers(cast: Cast, now: datetime) -> None:
    at = now - 10 * DAY
    visit = visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    visits_unheard(cast.horse, now)
    carer = cast.access(cast.carer)

    def asked() -> list[str]:
        found = words_for(carer, today=now.date(), undo_from=now)
        return [question.words for question in found.questions]

    assert asked() == [f"Did Finn Farrier come on {at:%A} {at:%-d %b %Y}?"]
    visit_deny(access=carer, public_id=visit.public_id, now=now)
    assert asked() == []


def test_whoever_was_to_come_is_asked_whether_they_were_here(cast: Cast, now: datetime) -> None:
    at = now - 2 * DAY
    visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    found = words_for(cast.access(cast.farrier), today=now.date(), undo_from=now)
    assert [question.words for question in found.questions] == [
        f"Were you here on {at:%A} {at:%-d %b %Y}?"
    ]


def test_a_visit_kept_since_answers_the_question_before(cast: Cast, now: datetime) -> None:
    at = now - 10 * DAY
    visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    visits_unheard(cast.horse, now)
    build.visit(cast.access(cast.stand_in), now, now.date())
    found = words_for(cast.access(cast.owner), today=now.date(), undo_from=now)
    assert found.questions == []


def test_moved_answers_the_question_and_plans_the_new_day(cast: Cast, now: datetime) -> None:
    at = now - 10 * DAY
    passed = visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    visits_unheard(cast.horse, now)
    owner = cast.access(cast.owner)
    visit_plan(access=owner, on=now.date() + 2 * DAY, moved_id=passed.public_id, now=now)
    passed.refresh_from_db()
    assert passed.is_denied
    assert words_for(owner, today=now.date(), undo_from=now).questions == []


def test_no_is_undone_like_a_report(cast: Cast, now: datetime) -> None:
    at = now - 2 * DAY
    visit = visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    owner = cast.access(cast.owner)
    visit_deny(access=owner, public_id=visit.public_id, now=now)
    assert report_take_back(access=owner, public_id=visit.public_id, now=now).is_planned


# -- many at once


def test_several_horses_are_reported_at_once_and_each_on_its_own_board(
    cast: Cast, now: datetime
) -> None:
    boards = [cast.access(cast.owner), cast.access(cast.owner, cast.concern)]
    made, not_made = visits_report(boards=boards, on=now.date(), client_key="one key", now=now)
    assert len(made) == 1
    assert not_made == [f"{cast.horse.name}: Ola Owner has said so already, for 2 Nov 2026."]
    again, _ = visits_report(boards=boards, on=now.date(), client_key="one key", now=now)
    assert again == made


@pytest.mark.parametrize("days_apart", [1, 7])
def test_two_who_report_one_visit_on_two_days_of_a_week_date_one_trim(
    cast: Cast, now: datetime, days_apart: int
) -> None:
    said(cast, now, days_apart)
    with pytest.raises(DeedRefused, match="Ola Owner has said so already"):
        said(cast, now, 0, "carer")
    assert {on for _, on in trims(cast)} == {str(now.date() - days_apart * DAY)}


def test_a_report_beside_a_visit_that_is_written_up_dates_no_second_trim(
    cast: Cast, now: datetime
) -> None:
    build.visit(cast.access(cast.farrier), now, now.date() - DAY)
    with pytest.raises(DeedRefused, match="Finn Farrier has written up the visit of 1 Nov"):
        said(cast, now, 0, "carer")
    assert len(trims(cast)) == 4


def test_a_report_beside_a_trim_that_a_reading_dates_is_refused(cast: Cast, now: datetime) -> None:
    owner = cast.access(cast.owner)
    build.reading(owner, now, "LF", "toe_angle", 50, now.date() - DAY)
    with pytest.raises(DeedRefused, match="The trim of 1 Nov 2026 is on the board already"):
        said(cast, now)
    said(cast, now, 1)
    assert len(trims(cast)) == 4


def test_a_report_of_another_cycle_or_after_a_visit_without_a_trim_stands(
    cast: Cast, now: datetime
) -> None:
    said(cast, now, 20)
    work = [WorkDone(foot="LF", trimmed=False, shoeing_left="shod", shoe="reset")]
    build.visit(cast.access(cast.farrier), now, now.date() - 3 * DAY, work=work)
    said(cast, now)
    assert len(trims(cast)) == 8


def test_a_day_that_was_planned_beside_a_trim_may_be_said_to_have_been(
    cast: Cast, now: datetime
) -> None:
    at = now - 9 * DAY
    planned = visit_plan(access=cast.access(cast.owner), on=now.date() - DAY, now=at)
    build.reading(cast.access(cast.vet), now, "LF", "toe_angle", 50, now.date() - 5 * DAY)
    assert said(cast, now, 1).pk == planned.pk


def test_of_two_reports_the_one_of_the_nearest_day_is_the_visit_that_is_written_up(
    cast: Cast, now: datetime
) -> None:
    said(cast, now, 9)
    said(cast, now, 1)
    build.visit(cast.access(cast.farrier), now, now.date() - 8 * DAY)
    days = {on for _, on in trims(cast)}
    assert days == {str(now.date() - 8 * DAY), str(now.date() - DAY)}


def test_a_yes_about_a_vet_visit_that_took_place_on_another_day_makes_no_second_one(
    cast: Cast, now: datetime
) -> None:
    """A page left open: the vet examined the horse meanwhile, two days after the planned one."""
    at = now - 9 * DAY
    planned = visit_plan(
        access=cast.access(cast.owner), on=now.date() - 3 * DAY, kind="vet", now=at
    )
    vet_visit_keep(cast.access(cast.vet), now.date() - DAY, now)
    with pytest.raises(DeedRefused, match="Somebody has said meanwhile"):
        said(cast, now, 3, kind="vet", visit_id=planned.public_id)
    assert Visit.objects.took_place().count() == 1


def test_who_manages_the_yard_says_it_for_all_its_horses_at_once(cast: Cast, now: datetime) -> None:
    Membership.objects.filter(person=cast.carer).update(runs_yard=True)
    Horse.objects.filter(pk__in=(cast.horse.pk, cast.other_case.horse_id)).update(yard="Low Barn")
    Membership.objects.create(
        case=cast.other_case, person=cast.carer, role="carer", runs_yard=True, joined_at=now
    )
    boards = boards_at_place(cast.carer, cast.access(cast.carer))
    made, not_made = visits_report(boards=boards, on=now.date(), now=now)
    assert (len(made), not_made) == (2, [])


def test_whoever_has_an_access_by_a_membership_has_all_that_it_gives(cast: Cast) -> None:
    for marks in ({"runs_yard": True}, {"holds": True}):
        Membership.objects.filter(person=cast.carer, case=cast.case).update(**marks)
        member = Membership.objects.get(person=cast.carer, case=cast.case)
        by_id = access_get(cast.carer, cast.case.public_id)
        assert access_of(cast.carer, member) == by_id == access_on(cast.carer, cast.case)

"""The four feet at a glance: the word is the most urgent thing, and claims no more than is known."""

from datetime import datetime, timedelta

import pytest

from caseboard.board import board_for
from caseboard.case_reading import CaseReading
from caseboard.glance.feet import (
    CANNOT_TELL,
    LONG_AGO,
    NO_CHANGE,
    NOT_LOOKED,
    NOT_MEASURED,
    FootGlance,
    Rim,
    Tone,
    Way,
)
from caseboard.glance.screen import FirstScreen, first_screen
from horses.domain.finding import Finding
from horses.models import Case, Horse, Person, PlanItem
from horses.services.alerts import alert_answer
from horses.services.plan import latest_version, plan_item_decide
from horses.services.visit_planning import visit_plan
from measurements.models import FootVerdict
from measurements.queries.numbers import numbers_of
from measurements.rules.schedule import SILENT_AFTER
from measurements.verdicts.judge import foot_judge
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def screen_of(cast: Cast, who: Person, now: datetime) -> FirstScreen:
    reading = CaseReading(cast.access(who), now)
    return first_screen(board_for(reading, seen_seq=0), reading.numbers)


def measured(cast: Cast, now: datetime, count: int) -> None:
    build.series(cast.access(cast.farrier), now, [50.0] * count)


def judged(cast: Cast, now: datetime) -> FootVerdict | None:
    return foot_judge(numbers_of(cast.horse, today=now.date()), "LF", now=now)


def left_fore(cast: Cast, now: datetime) -> FootGlance:
    return screen_of(cast, cast.owner, now).feet[0]


def test_a_foot_without_numbers_is_not_measured(cast: Cast, now: datetime) -> None:
    foot = left_fore(cast, now)
    assert (foot.word, foot.tone, foot.value) == (NOT_MEASURED, Tone.BLANK, "")


def test_a_few_readings_cannot_tell_yet(cast: Cast, now: datetime) -> None:
    measured(cast, now, 2)
    judged(cast, now)
    foot = left_fore(cast, now)
    assert (foot.word, foot.way, foot.value) == (CANNOT_TELL, Way.UNKNOWN, "50°")


def test_a_quiet_foot_says_no_more_than_that_no_change_is_seen(cast: Cast, now: datetime) -> None:
    measured(cast, now, 8)
    judged(cast, now)
    foot = left_fore(cast, now)
    assert (foot.word, foot.way, foot.tone) == (NO_CHANGE, Way.LEVEL, Tone.CALM)


def test_a_foot_that_nobody_has_measured_for_long_is_not_called_unchanged(
    cast: Cast, now: datetime
) -> None:
    """Also where another foot was measured today, and the horse is not silent."""
    measured(cast, now, 8)
    judged(cast, now)
    later = now + SILENT_AFTER - timedelta(days=10)
    build.reading(cast.access(cast.farrier), later, "RF", "toe_angle", 50, later.date())
    foot = left_fore(cast, later)
    assert (foot.word, foot.way, foot.tone) == (LONG_AGO, Way.UNKNOWN, Tone.CALM)
    assert left_fore(cast, later - timedelta(days=1)).word == NO_CHANGE


def test_numbers_that_nobody_looked_at_since_are_not_called_unchanged(
    cast: Cast, now: datetime
) -> None:
    measured(cast, now, 8)
    judged(cast, now)
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 44, now.date())
    assert left_fore(cast, now).word == NOT_LOOKED


def test_the_numbers_of_a_horse_at_rest_say_nothing(cast: Cast, now: datetime) -> None:
    measured(cast, now, 8)
    judged(cast, now)
    Horse.objects.filter(pk=cast.horse.pk).update(state=Horse.State.PAUSED)
    foot = left_fore(cast, now)
    assert (foot.word, foot.way) == ("", Way.NONE)


def test_an_alert_about_a_pair_marks_both_feet(cast: Cast, now: datetime) -> None:
    measured(cast, now, 8)
    finding = Finding("shape.uneven_pair", "LF-RF", "Front feet differ", "By 5.5°.")
    build.alert(cast.horse, finding, now)
    screen = screen_of(cast, cast.owner, now)
    assert [foot.word for foot in screen.feet if foot.tone is Tone.NEEDS] == ["pair differs"] * 2


def test_under_what_needs_a_person_no_comfort_is_said(cast: Cast, now: datetime) -> None:
    measured(cast, now, 8)
    judged(cast, now)
    build.flag(cast.access(cast.carer), now, "heat", feet=["LF"])
    foot = left_fore(cast, now)
    assert (foot.word, foot.way, foot.way_words) == ("warm", Way.NONE, "")


def test_what_i_answered_is_known_and_no_longer_filled(cast: Cast, now: datetime) -> None:
    measured(cast, now, 8)
    finding = Finding("foot.drift", "LF", "Left fore: slow change", "It has fallen.")
    alert = build.alert(cast.horse, finding, now)
    alert_answer(
        access=cast.access(cast.owner), alert_id=alert.public_id, words="Gus knows.", now=now
    )
    foot = left_fore(cast, now)
    assert (foot.tone, foot.word) == (Tone.KNOWN, "slow change, known")


def test_the_rim_says_shod_bare_or_that_it_is_not_known(cast: Cast, now: datetime) -> None:
    assert left_fore(cast, now).rim is Rim.UNSAID
    build.visit(cast.access(cast.farrier), now, now.date() - timedelta(days=3))
    screen = screen_of(cast, cast.owner, now)
    assert screen.feet[0].rim is Rim.SHOD
    assert "Rim: shod." in screen.caption


# -- the next visit


def planned(cast: Cast, now: datetime, days: int) -> None:
    visit_plan(access=cast.access(cast.farrier), on=now.date() + timedelta(days=days), now=now)


def test_the_days_to_the_next_visit_are_counted(cast: Cast, now: datetime) -> None:
    planned(cast, now, 3)
    line = screen_of(cast, cast.owner, now).visit
    assert (line.count, line.unit, line.head) == ("3", "days", "Thu 5 Nov")


def test_no_comfortable_count_of_days_stands_under_an_emergency(cast: Cast, now: datetime) -> None:
    planned(cast, now, 24)
    build.flag(cast.access(cast.carer), now, "in_sole", feet=["RH"])
    line = screen_of(cast, cast.owner, now).visit
    assert line.count == ""
    assert "not before the vet has spoken" in line.below


def test_a_lost_shoe_without_a_day_of_its_own_says_so(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, now.date() - timedelta(days=30))
    planned(cast, now, 24)
    build.flag(cast.access(cast.carer), now, "lost_shoe", feet=["RF"])
    line = screen_of(cast, cast.owner, now).visit
    assert "too late for the lost shoe" in line.below
    assert line.confirms == ""


def test_without_a_planned_day_who_may_plan_is_led_there(cast: Cast, now: datetime) -> None:
    line = screen_of(cast, cast.owner, now).visit
    assert line.head == "No visit planned"
    assert line.plans


def test_a_closed_case_offers_no_day(cast: Cast, now: datetime) -> None:
    Case.objects.filter(pk=cast.case.pk).update(closed_at=now)
    assert screen_of(cast, cast.owner, now).visit.plans == ""


def test_a_quiet_board_says_that_nothing_waits_for_this_person(cast: Cast, now: datetime) -> None:
    words = screen_of(cast, cast.owner, now).quiet_words
    assert words.startswith("Nothing waits for you.")


# -- the day on which all three have agreed


def agree(cast: Cast, item: PlanItem, now: datetime, *people: Person) -> None:
    for person in people:
        plan_item_decide(
            access=cast.access(person),
            item_id=item.public_id,
            decision="agree",
            now=now,
            seen_hash=latest_version(item).content_hash,
        )


def test_two_of_three_are_no_agreement(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.farrier), now)
    agree(cast, item, now, cast.vet)
    assert screen_of(cast, cast.owner, now).agreed_words == ""


def test_the_last_word_of_three_is_a_good_moment_for_that_day(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.farrier), now)
    agree(cast, item, now, cast.vet, cast.owner)
    assert screen_of(cast, cast.owner, now).agreed_words == "Plan item 1: all three have agreed"
    assert screen_of(cast, cast.owner, now + timedelta(days=1)).agreed_words == ""


def test_another_board_of_a_horse_that_is_not_measured_claims_nothing_of_its_numbers(
    cast: Cast, now: datetime
) -> None:
    """The alert about the silence stands on the board of the standing care alone."""
    measured(cast, now, 3)
    concern = cast.access(cast.owner, cast.concern)
    for days, words in (
        (0, "Nothing found in the numbers."),
        (90, "Nothing has been measured since"),
    ):
        board = board_for(CaseReading(concern, now + timedelta(days=days)), seen_seq=0)
        assert board.numbers_words.startswith(words)
